package scale_test

import (
	"bytes"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"

	"gramcup/scale"
	"gramcup/scale/scaletest"
)

// The suite must be able to fail: each codec with a mistake is caught, by the rule
// that is meant to catch it, and each rule catches something.
func TestTheSuiteSeesMistakes(t *testing.T) {
	grams := scale.UnitGram
	never := map[string]bool{}
	for _, rule := range scaletest.Rules() {
		never[rule] = true
	}
	for _, m := range []struct {
		mistake string
		codec   scale.Codec
		rule    string
	}{
		{"three digits are enough", narrow{scale.Reversed{Unit: grams}}, "it has room for what a bench scale shows"},
		{"a blank in front is a digit", reads(scale.CSV{}, func(r *scale.Reading) { r.Number.Coefficient *= 10 }), "a weight comes back as it went"},
		{"any label is the wanted one", rewrites(scale.Labelled{}, "Net", "Gross"), "a weight comes back as it went"},
		{"the sign is lost", reads(scale.CSV{}, func(r *scale.Reading) { r.Number.Negative = false }), "it has room for what a bench scale shows"},
		{"ounces have a digit too many", reads(scale.Prefix{}, func(r *scale.Reading) {
			if r.Unit == scale.UnitOunce {
				r.Number.Coefficient++
			}
		}), "a weight comes back as it went"},
		{"what does not fit is cut", cuts{scale.Reversed{Unit: grams}}, "a number that does not fit is no other number"},
		{"an error is taken for a weight", reads(scale.SMA{}, func(r *scale.Reading) { r.Status = scale.StatusOK }), "what is no weight never becomes one"},
		{"a stored tare is taken for a weight", reads(scale.Labelled{}, func(r *scale.Reading) { r.Mode = scale.ModeGross }), "what is no weight never becomes one"},
		{"zero has no sign", reads(scale.XorDigits{Unit: grams}, func(r *scale.Reading) {
			r.Number.Negative = r.Number.Negative && r.Number.Coefficient > 0
		}), "zero and full scale"},
		{"above the range is a weight where digits are shown", over{scale.SMA{}}, "overload has no weight"},
		{"the sign is lost where it stands apart", rewrites(scale.Bare{Unit: grams, Width: 8}, "- +", "  "), "the sign may stand far from the digits"},
		{"what is not known is kilograms", rewrites(scale.CSV{}, "xy", "kg"), "an unknown unit is refused"},
		{"the first of two units counts", rewrites(scale.CSV{}, "kg g", "kg"), "a line has one unit"},
		{"a unit that changes in mid-line is the last one", rewrites(scale.Labelled{}, "g,kg", "kg"), "a line has one unit"},
		{"pieces are grams", reads(scale.Header{}, pieces), "a count is no weight"},
		{"pieces are grams here too", reads(scale.CRFirst{}, pieces), "a count is no weight"},
		{"a total is the gross weight", rewrites(scale.CSV{}, "T[WN]", "GS"), "a total is no weight"},
		{"a total is the gross weight of a print", rewrites(scale.Labelled{}, "GT|Total", "Gross"), "a total is no weight"},
		{"TOTAL is passed over", rewrites(scale.Trailing{}, " TOTAL", ""), "a total is no weight"},
		{"what came is a piece", greedy{scale.CSV{}}, "any chunking gives the same frames"},
		{"a refused piece has a reading", leaves{scale.Framed{}}, "junk costs no whole frame"},
		{"a frame is lost behind noise now and then", rewrites(scale.CSV{}, "US", "xx"), "junk costs no whole frame"},
		{"the line end may be missing", rewrites(scale.Bare{Unit: grams, Width: 8}, "([0-9])$", "$1\r"), "a truncated frame is no weight"},
		{"the front may be missing", rewrites(scale.Polarity{}, "^([0-9.]+ g S\r\n?)$", "+  $1"), "a truncated frame is no weight"},
		{"a high bit is taken for a blank", maps{scale.CSV{}, func(b byte) byte {
			if b >= 0x80 {
				return ' '
			}
			return b
		}}, "a byte with the high bit is no weight"},
		{"zero bytes are cleaned out", rewrites(scale.CSV{}, "\x00", ""), "a zero byte in a number is no weight"},
		{"zero bytes are cleaned out of a bare number", rewrites(scale.Bare{Unit: grams}, "\x00", ""), "a zero byte in a number is no weight"},
		{"the checksum leaves out the sign", signFree{scale.XorDigits{Unit: grams}}, "the checksum sees every changed byte"},
		{"the eighth bit is cut off", maps{scale.Letters{}, func(b byte) byte { return b & 0x7F }}, "parity read as data is told"},
		{"a piece may be of any length", endless{scale.Echo{}}, "nothing panics and pieces are bounded"},
		{"tare and zero are mixed up", deaf{scale.Polled{}}, "requests come back as they went"},
		{"a frame is copied", rewrites(scale.CSV{}, "x", "x"), "a good frame costs no allocation"},
	} {
		assert.True(t, scaletest.Breaks(m.codec, m.rule), "%s: %s", m.codec.Name(), m.mistake)
		delete(never, m.rule)
	}
	assert.Empty(t, never, "no mistake shows that these rules can fail")
	for _, c := range []scale.Codec{scale.CSV{}, scale.Reversed{Unit: grams}, scale.Labelled{}} {
		for _, rule := range scaletest.Rules() {
			assert.False(t, scaletest.Breaks(c, rule), "%s: %s", c.Name(), rule)
		}
	}
}

// What a codec no longer says is not asked for by the suite. There the table of
// conformance changes.
func TestTheTableSeesMistakes(t *testing.T) {
	for name, c := range map[string]scale.Codec{
		"always still": reads(scale.CSV{}, func(r *scale.Reading) { r.Motion = scale.MotionStill }),
		"always grams": reads(scale.CSV{}, func(r *scale.Reading) { r.Unit = scale.UnitGram }),
		"always gross": reads(scale.CSV{}, func(r *scale.Reading) { r.Mode = scale.ModeGross }),
		"never over":   reads(scale.CSV{}, func(r *scale.Reading) { r.Status = scale.StatusOK }),
		"M is still":   reads(scale.Framed{Unit: scale.UnitGram, Short: true}, func(r *scale.Reading) { r.Motion = scale.MotionStill }),
	} {
		honest := c.(interface{ honest() scale.Codec }).honest()
		assert.NotEqual(t, columns(honest), columns(c), name)
	}
}

func pieces(r *scale.Reading) {
	if r.Unit == scale.UnitPieces {
		r.Unit, r.Status = scale.UnitGram, scale.StatusOK
	}
}

// spoilt is a codec with a mistake in what it reads.
type spoilt struct {
	scale.Codec
	spoil func(r *scale.Reading)
}

func reads(c scale.Codec, spoil func(r *scale.Reading)) scale.Codec { return spoilt{c, spoil} }

func (s spoilt) honest() scale.Codec { return s.Codec }

func (s spoilt) Decode(piece []byte) (scale.Reading, error) {
	r, err := s.Codec.Decode(piece)
	if err == nil {
		s.spoil(&r)
	}
	return r, err
}

// rewritten is a codec that changes what it is given.
type rewritten struct {
	scale.Codec
	find *regexp.Regexp
	with []byte
}

func rewrites(c scale.Codec, find, with string) scale.Codec {
	return rewritten{c, regexp.MustCompile(find), []byte(with)}
}

func (s rewritten) honest() scale.Codec { return s.Codec }

func (s rewritten) Decode(piece []byte) (scale.Reading, error) {
	return s.Codec.Decode(s.find.ReplaceAll(piece, s.with))
}

// maps changes every byte of a piece.
type maps struct {
	scale.Codec
	change func(b byte) byte
}

func (s maps) Decode(piece []byte) (scale.Reading, error) {
	changed := bytes.Clone(piece)
	for i, b := range changed {
		changed[i] = s.change(b)
	}
	return s.Codec.Decode(changed)
}

// narrow sends nothing above three digits.
type narrow struct{ scale.Codec }

func (s narrow) Encode(dst []byte, r scale.Reading) []byte {
	if r.Number.Coefficient > 999 && r.Number.Coefficient != 4126 {
		return dst
	}
	return s.Codec.Encode(dst, r)
}

// cuts sends the last four digits of a number.
type cuts struct{ scale.Codec }

func (s cuts) Encode(dst []byte, r scale.Reading) []byte {
	out := s.Codec.Encode(dst, r)
	if len(out) == len(dst) {
		r.Number.Coefficient, r.Number.Places, r.Number.Lead = r.Number.Coefficient%10_000, 1, 3
		out = s.Codec.Encode(dst, r)
	}
	return out
}

// over calls digits above the range a weight.
type over struct{ scale.Codec }

func (s over) Decode(piece []byte) (scale.Reading, error) {
	r, err := s.Codec.Decode(piece)
	if r.Status == scale.StatusOver && r.Number.Coefficient > 60_000 {
		r.Status = scale.StatusOK
	}
	return r, err
}

// greedy hands out what is there.
type greedy struct{ scale.Codec }

func (s greedy) Split(data []byte, atEOF bool) (int, []byte, error) {
	if n := min(len(data), scale.MaxPiece); n > 40 {
		return n, data[:n], nil
	}
	return s.Codec.Split(data, atEOF)
}

// leaves returns a reading with its error.
type leaves struct{ scale.Codec }

func (s leaves) Decode(piece []byte) (scale.Reading, error) {
	r, err := s.Codec.Decode(piece)
	if err != nil {
		r.Unit = scale.UnitGram
	}
	return r, err
}

// signFree takes a frame whose checksum fits the other sign.
type signFree struct{ scale.Codec }

func (s signFree) Decode(piece []byte) (scale.Reading, error) {
	r, err := s.Codec.Decode(piece)
	if err != nil && len(piece) == 12 {
		other := bytes.Clone(piece)
		other[1] ^= '+' ^ '-'
		if r, err := s.Codec.Decode(other); err == nil {
			return r, nil
		}
	}
	return r, err
}

// endless waits for an end, however long it takes.
type endless struct{ scale.Codec }

func (s endless) Split(data []byte, atEOF bool) (int, []byte, error) {
	if !atEOF && !bytes.ContainsAny(data, "\r\n\x03") {
		return 0, nil, nil
	}
	return s.Codec.Split(data, atEOF)
}

// deaf takes one command for another.
type deaf struct{ scale.Codec }

func (s deaf) ParseRequest(data []byte) (scale.Request, int) {
	r, n := s.Codec.ParseRequest(data)
	if r == scale.RequestTare {
		r = scale.RequestZero
	}
	return r, n
}
