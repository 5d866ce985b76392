package port

import (
	"context"
	"io"
	"math/rand/v2"
	"net"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// A scale of status lines, read as bare numbers: its 00 is no weight.
func TestStatusLinesAreNoWeights(t *testing.T) {
	bubble(t, func(t *testing.T) {
		bare, err := scale.CodecByName("bare-g")
		require.NoError(t, err)
		d, remembered := newDiary(t), 0
		b := &benchScale{codec: scale.Polled{}, talks: true, tenths: 4126}
		p, stop := start(t, Config{Open: b.pipes(), Identity: "bench", Codec: bare, Stream: true, Remember: func(Known) { remembered++ }}, d)
		time.Sleep(ms(5010))
		stop()
		assert.Empty(t, d.all("reading", "found"), "not one of them was shown")
		assert.Zero(t, remembered, "and nothing was learned from them")
		assert.Equal(t, "many of its lines can not be read as bare-g, and polled reads them all: no weight is shown, because what is read as bare-g may be no weight; set the line shape to polled, or let gramcup scale find look for it", p.Stats().Problem)
		assert.Equal(t, uint64(1), p.Stats().Opens, "it is there: nothing is reopened")
	})
}

// The output of a scale is switched over while it is read, and back.
func TestTheShapeChangesOnALiveLine(t *testing.T) {
	bubble(t, func(t *testing.T) {
		bare, err := scale.CodecByName("bare-g")
		require.NoError(t, err)
		d := newDiary(t)
		b := &benchScale{codec: bare, talks: true, tenths: 4126}
		p, stop := start(t, Config{Open: b.pipes(), Identity: "bench", Codec: bare}, d)
		time.Sleep(ms(3010))
		before := len(d.all("reading"))
		assert.Greater(t, before, 25)
		b.set(func(b *benchScale) { b.codec = scale.Polled{} })
		time.Sleep(ms(5000))
		shown := len(d.all("reading"))
		assert.LessOrEqual(t, shown-before, nextBlock, "at most what comes until a block is full")
		lost := d.all("lost")
		assert.Contains(t, lost[len(lost)-1].text, "polled reads them all")
		assert.Contains(t, p.Stats().Problem, "polled reads them all")
		b.set(func(b *benchScale) { b.codec = bare })
		time.Sleep(ms(4000))
		assert.Greater(t, len(d.all("reading")), shown, "it is read again")
		assert.Len(t, d.all("found"), 2)
		stop()
	})
}

// A line that damages every second frame is no other shape: what is whole is shown.
func TestADamagedLineIsNoOtherShape(t *testing.T) {
	for _, codec := range everyShape() {
		if _, ok := codec.(scale.Handshake); ok {
			continue // sends only what it is asked for
		}
		random := rand.New(rand.NewPCG(1, 2))
		bubble(t, func(t *testing.T) {
			d := newDiary(t)
			near, far := net.Pipe()
			_, stop := start(t, Config{Open: func(context.Context) (io.ReadWriteCloser, error) { return near, nil }, Identity: "bench", Codec: codec}, d)
			for i := range 120 {
				frame := line(codec, 4126, false)
				if i > 6 && i%2 == 0 {
					frame[random.IntN(len(frame))] ^= 0x80
				}
				_, err := far.Write(frame)
				require.NoError(t, err)
				time.Sleep(ms(100))
			}
			for _, e := range d.all("lost") {
				assert.NotContains(t, e.text, "reads them all", codec.Name())
			}
			assert.Greater(t, len(d.all("reading")), 30, codec.Name())
			stop()
			require.NoError(t, far.Close())
		})
	}
}
