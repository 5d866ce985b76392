package port

import (
	"bytes"
	"math/bits"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// lines are a second or two of what a shape sends while a cup is filled.
func linesOf(c scale.Codec) (out []byte) {
	for i := range int64(40) {
		out = append(out, line(c, 1204+i*37, i%3 == 0)...)
	}
	return out
}

// withParity is what seven bits and a parity bit look like to who reads eight.
func withParity(b []byte, odd int) []byte {
	out := bytes.Clone(b)
	for i, c := range out {
		if bits.OnesCount8(c)%2 != odd {
			out[i] |= 0x80
		}
	}
	return out
}

func TestTheCauseOfRubbish(t *testing.T) {
	csv := linesOf(scale.CSV{})
	nuls := bytes.Clone(csv)
	random := rand.New(rand.NewPCG(1, 1))
	for i := range nuls {
		if random.IntN(3) == 0 { // about as many as have the other parity bit
			nuls[i] = 0
		}
	}
	noise := make([]byte, 1000)
	for i := range noise {
		noise[i] = byte(random.Uint32())
	}
	stops := bytes.Clone(csv)
	for i := range stops {
		stops[i] |= 0x80
	}
	// FF, flags, 412.6 in pairs of digits from the least, gram or kilogram: the
	// layout of the shape without a codec.
	binary := bytes.Repeat([]byte{0xFF, 0x41, 0x26, 0x41, 0x00, 0x00}, 40)
	for _, c := range []struct {
		name, want string
		codec      scale.Codec
		sample     []byte
	}{
		{"even parity", "the scale sends 7E1, so set the line to that", scale.CSV{}, withParity(csv, 0)},
		{"odd parity", "the scale sends 7O1, so set the line to that", scale.CSV{}, withParity(csv, 1)},
		{"stop bit", "the scale sends 7N2, so set the line to that", scale.CSV{}, stops},
		{"even parity, another shape", "7E1, so set the line to that; and the lines look like csv, not sma", scale.SMA{}, withParity(csv, 0)},
		{"NULs", "NUL bytes come in place of characters", scale.CSV{}, nuls},
		{"binary", "the lines are binary, unsupported", scale.CSV{}, binary},
		{"another shape", "the lines look like csv, not sma: set the line shape to csv", scale.SMA{}, csv},
		{"wrong speed", "the bytes are no text: the speed is probably wrong", scale.CSV{}, noise},
		{"prose", "text comes, but no known shape of line reads it", scale.CSV{}, bytes.Repeat([]byte("hello, is anybody there?\r\n"), 30)},
	} {
		assert.Contains(t, likelyCause(c.sample, c.codec), c.want, c.name)
	}
	likelyCause(nil, scale.CSV{})
}

// Every shape is told from every other, or at least one is named that reads the
// same bytes.
func TestEveryOtherShapeIsNamed(t *testing.T) {
	for _, sends := range everyShape() {
		sample := linesOf(sends)
		for _, set := range everyShape() {
			if goodIn(sample, set) > 0 {
				continue // it is read
			}
			name := otherShape(sample, set)
			if !assert.NotEmpty(t, name, "%s read as %s", sends.Name(), set.Name()) {
				continue
			}
			named, err := scale.CodecByName(name)
			require.NoError(t, err)
			assert.GreaterOrEqual(t, goodIn(sample, named), goodIn(sample, sends), "%s read as %s is called %s", sends.Name(), set.Name(), name)
		}
	}
}

func TestThePortSaysTheCause(t *testing.T) {
	bubble(t, func(t *testing.T) {
		sc := &script{}
		d := newDiary(t)
		p, stop := start(t, Config{Codec: scale.CSV{}, Open: sc.open(func(string) (string, time.Duration) { return "", 0 })}, d)
		time.Sleep(ms(10))
		send := func(b []byte) {
			t.Helper()
			sc.write(t, b)
			time.Sleep(ms(100))
		}
		good := line(scale.CSV{}, 4126, false)
		for range 19 {
			send(withParity(good, 0))
		}
		assert.Empty(t, p.Stats().Problem)
		for range 5 {
			send(withParity(good, 0))
		}
		assert.Contains(t, p.Stats().Problem, "the scale sends 7E1")
		assert.EqualValues(t, 1, p.Stats().Opens, "said before the wire is given up")
		for range 3 {
			send(good)
		}
		assert.Empty(t, p.Stats().Problem)
		require.Len(t, d.all("found"), 1)
		// Somebody changes the setting on the scale in mid-work.
		for range 29 {
			send(withParity(good, 1))
		}
		time.Sleep(ms(300))
		require.Len(t, d.all("lost"), 1)
		assert.Contains(t, d.all("lost")[0].text, "the scale sends 7O1")
		stop()
	})
}
