package simulator

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

func decoded(c scale.Codec, p []byte) (good, bad int) {
	f := scale.NewFramer(c)
	f.Feed(p)
	for {
		_, err, ok := f.Next()
		switch {
		case !ok:
			return good, bad
		case err != nil:
			bad++
		default:
			good++
		}
	}
}

func TestUARTLinkCarriesAStream(t *testing.T) {
	b := New(Options{Codec: scale.CSV{}})
	l := NewUARTLink(b, UARTOptions{Far: set(2400, 7, 'e', 1)})
	l.Set(set(2400, 7, 'e', 1))
	good, bad := decoded(scale.CSV{}, l.Listen(3*time.Second))
	assert.Zero(t, bad)
	assert.InDelta(t, 30, good, 2)
	assert.Equal(t, 3*time.Second, l.Now())
}

// TestUARTLinkCutIsNothing: how the waiting is cut changes no byte.
func TestUARTLinkCutIsNothing(t *testing.T) {
	whole := NewUARTLink(New(Options{Codec: scale.SMA{}}), UARTOptions{Far: set(9600, 8, 'n', 1)})
	cut := NewUARTLink(New(Options{Codec: scale.SMA{}}), UARTOptions{Far: set(9600, 8, 'n', 1)})
	want := whole.Listen(1500 * time.Millisecond)
	var got []byte
	for range 500 {
		got = append(got, cut.Listen(3*time.Millisecond)...)
	}
	assert.Equal(t, want, got)
}

// TestUARTLinkAsk: the scale hears the host through the same physics, and only
// where both are set alike.
func TestUARTLinkAsk(t *testing.T) {
	far := set(9600, 7, 'e', 1)
	l := NewUARTLink(New(Options{Codec: scale.Polled{}, OnRequest: true}), UARTOptions{Far: far})
	for _, s := range []UARTSetting{set(9600, 8, 'n', 1), set(9600, 7, 'o', 1), set(2400, 7, 'e', 1)} {
		l.Set(s)
		l.Write([]byte("W\r"))
		good, _ := decoded(scale.Polled{}, l.Listen(300*time.Millisecond))
		assert.Zero(t, good, "%s", s)
	}
	l.Listen(time.Second)
	l.Set(far)
	l.Write([]byte("\rW\r")) // the first ends what it heard wrongly
	good, _ := decoded(scale.Polled{}, l.Listen(300*time.Millisecond))
	assert.Equal(t, 1, good, "the weight, and no answer to what was heard before")
}

// TestUARTLinkSlowLineSkips: twenty frames a second do not fit 1200 baud; whole
// ones are lost, none is cut.
func TestUARTLinkSlowLineSkips(t *testing.T) {
	far := set(1200, 7, 'e', 1)
	l := NewUARTLink(New(Options{Codec: scale.CSV{}, FrameEvery: 50 * time.Millisecond}), UARTOptions{Far: far})
	l.Set(far)
	good, bad := decoded(scale.CSV{}, l.Listen(5*time.Second))
	assert.Zero(t, bad)
	assert.InDelta(t, 5*120/18, good, 2)
}

func TestUARTLinkForgetsWithoutAGap(t *testing.T) {
	l := NewUARTLink(New(Options{Codec: scale.CSV{}, FrameEvery: 50 * time.Millisecond}), UARTOptions{Far: set(9600, 8, 'n', 1)})
	good, bad := 0, 0
	f := scale.NewFramer(scale.CSV{})
	for range 60 {
		f.Feed(l.Listen(time.Second))
		for {
			_, err, ok := f.Next()
			if !ok {
				break
			}
			if err != nil {
				bad++
			} else {
				good++
			}
		}
	}
	assert.Zero(t, bad)
	assert.InDelta(t, 1200, good, 2)
	assert.Less(t, len(l.up.turns), 10_000)
}

// TestUARTLinkInterference: pulses damage some lines and leave others.
func TestUARTLinkInterference(t *testing.T) {
	l := NewUARTLink(New(Options{Codec: scale.SMA{}}), UARTOptions{Far: set(9600, 8, 'n', 1), PulsesPerS: 10, Seed: 1})
	good, bad := decoded(scale.SMA{}, l.Listen(20*time.Second))
	require.Greater(t, bad, 10)
	require.Greater(t, good, 100)
}
