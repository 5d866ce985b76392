package simulator

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The cut lets through exactly as many bytes as it was told, wherever in a
// frame that is, and the line is back when its time is over.
func TestCutAfterSomeBytes(t *testing.T) {
	for n := range 45 { // two frames of 20 bytes, and a bit of the third
		b := New(Options{Codec: smaCodec(t)})
		assert.False(t, b.CutAfter(n, time.Second), "nobody is connected")
		w, err := b.Dial()
		require.NoError(t, err)
		b.Tick(350 * time.Millisecond) // three frames wait
		require.True(t, b.CutAfter(n, time.Second))
		var got []byte
		buf := make([]byte, 64)
		for err == nil {
			var k int
			k, err = w.Read(buf)
			got = append(got, buf[:k]...)
		}
		assert.ErrorIs(t, err, ErrUnplugged)
		assert.Len(t, got, n)
		assert.True(t, b.Unplugged())
		_, err = b.Dial()
		assert.ErrorIs(t, err, ErrUnplugged)
		b.Tick(time.Second)
		again, err := b.Dial()
		require.NoError(t, err)
		b.Tick(150 * time.Millisecond)
		k, err := again.Read(buf)
		require.NoError(t, err)
		assert.Equal(t, 20, k, "a whole frame, and no cut")
		require.NoError(t, again.Close())
	}
}
