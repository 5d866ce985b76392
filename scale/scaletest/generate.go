package scaletest

import (
	"io"
	"math/rand/v2"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/scale"
)

// weight is a reading as a scale shows one: up to six digits, so that it fits
// every field, and one of the metric units that every family has.
func weight() *rapid.Generator[scale.Reading] {
	return rapid.Custom(func(t *rapid.T) scale.Reading {
		number := rapid.StringMatching(`-?([0-9]{1,6}|[0-9]{1,3}\.[0-9]{1,3}|\.[0-9]{1,5})`).Draw(t, "number")
		d, err := scale.ParseDecimal(number)
		if err != nil {
			t.Fatalf("the generator is wrong: %v", err)
		}
		return scale.Reading{
			Number: d, HasNumber: true,
			Unit:   rapid.SampledFrom([]scale.Unit{scale.UnitGram, scale.UnitKilogram, scale.UnitPound, scale.UnitOunce}).Draw(t, "unit"),
			Mode:   rapid.SampledFrom([]scale.Mode{scale.ModeGross, scale.ModeNet, scale.ModeTare}).Draw(t, "mode"),
			Motion: rapid.SampledFrom([]scale.Motion{scale.MotionStill, scale.MotionMoving}).Draw(t, "motion"),
		}
	})
}

// grams is a reading for the checks that need just some frame.
func grams(t require.TestingT, number string) scale.Reading {
	d, err := scale.ParseDecimal(number)
	require.NoError(t, err)
	return scale.Reading{Number: d, HasNumber: true, Unit: scale.UnitGram, Mode: scale.ModeGross, Motion: scale.MotionStill}
}

// stream is frames with junk before, between and after, and what they mean.
func (c codec) stream(t *rapid.T) (data []byte, want []scale.Reading) {
	for range rapid.IntRange(0, 8).Draw(t, "frames") {
		if rapid.Bool().Draw(t, "junk") {
			data = append(data, junk().Draw(t, "junk")...)
		}
		r := weight().Draw(t, "reading")
		data = c.Encode(data, r)
		want = append(want, r)
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
