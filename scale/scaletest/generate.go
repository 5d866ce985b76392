package scaletest

import (
	"io"
	"math/rand/v2"
	"strings"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/scale"
)

// weight is a reading as a display of this shape has one: up to six digits, of
// which the line then says what it can.
func (c codec) weight() *rapid.Generator[scale.Reading] {
	return rapid.Custom(func(t *rapid.T) scale.Reading {
		text := rapid.StringMatching(`-?([0-9]{1,6}|[0-9]{1,3}\.[0-9]{1,3}|\.[0-9]{1,5})`).
			Filter(func(s string) bool { d, err := scale.ParseDecimal(s); return err == nil && c.fits(d) }).
			Draw(t, "number")
		r := c.can.sample(scale.UnitGram)
		r.Number, _ = scale.ParseDecimal(text)
		r.Unit = rapid.SampledFrom(c.can.Units).Draw(t, "unit")
		modes := c.can.Live
		if c.can.Tare {
			modes = append(modes[:len(modes):len(modes)], scale.ModeTare)
		}
		r.Mode = rapid.SampledFrom(modes).Draw(t, "mode")
		r.Motion = rapid.SampledFrom([]scale.Motion{scale.MotionStill, scale.MotionMoving}).Draw(t, "motion")
		return r
	})
}

// fits tells whether the shape has room for the number.
func (c codec) fits(d scale.Decimal) bool {
	digits := len(strings.Trim(d.String(), "-.")) - strings.Count(strings.Trim(d.String(), "-."), ".")
	return max(digits, int(d.Places)+1) <= c.can.Digits && int(d.Places) <= c.can.Places
}

// reading is a still weight in the first unit of the shape, as the shape gives
// it back.
func (c codec) reading(t require.TestingT, number string) scale.Reading {
	d, err := scale.ParseDecimal(number)
	require.NoError(t, err)
	r := c.can.sample(c.can.Units[0])
	r.Number = d
	return c.can.say(r)
}

// plain takes from a decoded reading what depends on the width of the field
// alone: zeros in front of a number that the shape pads with them.
func (c codec) plain(r scale.Reading) scale.Reading {
	if r.HasNumber && !c.can.Lead {
		r.Number.Lead = 0
	}
	return r
}

// sent is a frame of a stream. It is exposed where junk without an end stands
// in front of it.
type sent struct {
	r       scale.Reading
	exposed bool
}

// stream is frames with junk before, between and after, and what they mean.
func (c codec) stream(t *rapid.T) (data []byte, want []sent) {
	for range rapid.IntRange(0, 8).Draw(t, "frames") {
		exposed := false
		if rapid.Bool().Draw(t, "junk") {
			data = append(data, c.noise().Draw(t, "junk")...)
			exposed = len(data) > 0 && !strings.ContainsRune("\r\n\x03", rune(data[len(data)-1]))
		}
		r := c.weight().Draw(t, "reading")
		data = c.Encode(data, r)
		want = append(want, sent{c.can.say(r), exposed})
	}
	return append(data, c.noise().Draw(t, "tail")...), want
}

// noise is junk of any length: bytes of any kind, of the kind that lines are
// made of, or of the kind that the lines of this shape are made of. It holds no
// frame by chance. Where a fragment can not be told from a line, it has no digits
// and an end.
func (c codec) noise() *rapid.Generator[[]byte] {
	some := func(bytes *rapid.Generator[byte]) *rapid.Generator[[]byte] {
		return rapid.SliceOfN(bytes, 0, 3*scale.MaxPiece)
	}
	if c.can.Loose {
		mute := some(rapid.Byte().Filter(func(b byte) bool { return b-'0' > 9 }))
		return rapid.Map(mute, func(b []byte) []byte { return append(b, '\r') })
	}
	own := c.can.Frames
	return rapid.OneOf(
		some(rapid.Byte()),
		some(rapid.SampledFrom([]byte("0123456789.+-, \r\n\x03gkGNSTUOL1Z"))),
		some(rapid.SampledFrom(own)),
	).Filter(func(b []byte) bool { return len(c.weights(append(b[:len(b):len(b)], "\r\n\x03"...))) == 0 })
}

// weights are the numbers of a stream, for what is no test yet.
func (c codec) weights(stream []byte) (all []scale.Reading) {
	f := scale.NewFramer(c)
	f.Feed(stream)
	f.Flush()
	for r, _, ok := f.Next(); ok; r, _, ok = f.Next() {
		if r.HasNumber {
			all = append(all, r)
		}
	}
	return all
}

// cutter hands out its data in pieces of any length, and sometimes nothing, as
// a serial port does when its time is over.
type cutter struct {
	data   []byte
	random *rand.Rand
}

func (c *cutter) Read(p []byte) (int, error) {
	if len(c.data) == 0 {
		return 0, io.EOF
	}
	n := copy(p, c.data[:c.random.IntN(min(len(c.data), 90)+1)])
	c.data = c.data[n:]
	return n, nil
}
