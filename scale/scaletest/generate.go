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
		r := sample(scale.UnitGram)
		r.Number, _ = scale.ParseDecimal(text)
		r.Unit = rapid.SampledFrom(c.can.Units).Draw(t, "unit")
		modes := []scale.Mode{scale.ModeGross, scale.ModeNet}
		if c.can.Tare {
			modes = append(modes, scale.ModeTare)
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

// reading is a still gross weight in the first unit of the shape, as the shape
// gives it back.
func (c codec) reading(t require.TestingT, number string) scale.Reading {
	d, err := scale.ParseDecimal(number)
	require.NoError(t, err)
	return c.can.say(scale.Reading{Number: d, HasNumber: true, Unit: c.can.Units[0], Mode: scale.ModeGross, Motion: scale.MotionStill})
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
			data = append(data, junk().Draw(t, "junk")...)
			exposed = len(data) > 0 && !strings.ContainsRune("\r\n\x03", rune(data[len(data)-1]))
		}
		r := c.weight().Draw(t, "reading")
		data = c.Encode(data, r)
		want = append(want, sent{c.can.say(r), exposed})
	}
	return append(data, junk().Draw(t, "tail")...), want
}

// junk is noise of any length: bytes of any kind, or of the kind that lines
// are made of.
func junk() *rapid.Generator[[]byte] {
	return rapid.OneOf(
		rapid.SliceOfN(rapid.Byte(), 0, 3*scale.MaxPiece),
		rapid.SliceOfN(rapid.SampledFrom([]byte("0123456789.+-, \r\n\x03gkGNSTUOL1Z")), 0, 3*scale.MaxPiece),
	)
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
