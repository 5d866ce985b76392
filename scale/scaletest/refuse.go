package scaletest

import (
	"bytes"
	"strings"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/scale"
)

func (c codec) unknownUnit(t rapid.TB) {
	if !c.can.UnitText {
		return // the unit is a bit, or a setting
	}
	r := c.reading(t, "1.25")
	r.Unit = scale.UnitKilogram
	frame := c.Encode(nil, r)
	require.Equal(t, 1, bytes.Count(frame, []byte("kg")))
	for _, unit := range []string{"xy", "k9", "g1", "  ", "gg", "--", "k.", "?g"} {
		all := c.drain(t, bytes.NewReader(bytes.Replace(frame, []byte("kg"), []byte(unit), 1)))
		require.Len(t, all, 1)
		if _, ok := all[0].r.Weight(); unit == "  " && !ok {
			continue // a blank unit may stand for a weight that still moves
		}
		assert.NotEmpty(t, all[0].bad, "unit %q", unit)
	}
}

// oneUnit puts a second unit into a line: what was pressed in mid-line must not
// make a weight of it. And where a checksum goes over the line, the beginning of
// a line in one unit with the end of a line in another is none.
func (c codec) oneUnit(t rapid.TB) {
	if !c.can.UnitText {
		return
	}
	r := c.reading(t, "1.25")
	grams := c.Encode(nil, r)
	r.Unit = scale.UnitKilogram
	frame := c.Encode(nil, r)
	if bytes.HasSuffix(frame, []byte("kg")) {
		return // the line ends with its unit, and what comes behind is no part of it
	}
	for _, units := range []string{"kg g", "g kg", "kgg", "gkg", "kg kg", "g,kg", "kg 3 g", "g -1 kg"} {
		spoilt := bytes.Replace(frame, []byte("kg"), []byte(units), 1)
		assert.Empty(t, c.numbers(t, spoilt), "%q", spoilt)
	}
	if !c.can.Checksum || len(grams) != len(frame) {
		return // a splice in the middle of the digits can not be told
	}
	for i := range frame {
		for _, splice := range [][]byte{append(bytes.Clone(grams[:i]), frame[i:]...), append(bytes.Clone(frame[:i]), grams[i:]...)} {
			if !bytes.Equal(splice, grams) && !bytes.Equal(splice, frame) {
				assert.Empty(t, c.numbers(t, splice), "%q", splice)
			}
		}
	}
}

// count sends what a counting scale shows, with its status and without, and
// writes the unit of it over that of a weight.
func (c codec) count(t rapid.TB) {
	for _, unit := range []scale.Unit{scale.UnitPieces, scale.UnitPercent, scale.UnitNone} {
		for _, status := range []scale.Status{scale.StatusOK, scale.StatusZero, scale.StatusCount} {
			r := c.reading(t, "24")
			r.Unit, r.Status = unit, status
			c.noWeight(t, c.Encode(nil, r))
		}
	}
	if !c.can.UnitText {
		return
	}
	r := c.reading(t, "24")
	r.Unit = scale.UnitKilogram
	frame := c.Encode(nil, r)
	for _, unit := range []string{"pc", "PC", " %"} {
		c.noWeight(t, bytes.Replace(frame, []byte("kg"), []byte(unit), 1))
	}
}

// totals are words of live weights, and those that the same scales write in front
// of a total or behind it.
var totals = [...]struct{ live, total string }{
	{"ST,GS,", "ST,TW,"}, {"ST,GS", "ST,TN"}, {"ST,NT,", "ST,TW,"}, {"ST,NT", "ST,TN"},
	{"Gross:", "GT:"}, {"Net:", "GT:"}, {"Gross:", "Total:"}, {"Net:", "Total:"}, {" NET", " TOTAL"},
}

// total writes the word for a total over that for a weight.
func (c codec) total(t rapid.TB) {
	for _, mode := range []scale.Mode{scale.ModeGross, scale.ModeNet} {
		r := c.reading(t, "412.6")
		r.Mode = mode
		frame := string(c.Encode(nil, r))
		for _, word := range totals {
			if strings.Contains(frame, word.live) {
				c.noWeight(t, []byte(strings.Replace(frame, word.live, word.total, 1)))
			}
		}
	}
}

// noWeight holds that no piece of a stream can be used as a weight.
func (c codec) noWeight(t rapid.TB, stream []byte) {
	for _, p := range c.drain(t, bytes.NewReader(stream)) {
		_, usable := p.r.Weight()
		assert.False(t, usable, "%q became %+v", stream, p.r)
	}
}

// zeroByte puts a zero byte between the characters of the number. Taking it out
// again would make a number of what was damaged.
func (c codec) zeroByte(t rapid.TB) {
	frame := c.Encode(nil, c.reading(t, "123.4"))
	inNumber := func(b byte) bool { return b-'0' <= 9 || b == '.' }
	tried := 0
	for i := 1; i < len(frame); i++ {
		if inNumber(frame[i-1]) && inNumber(frame[i]) {
			spoilt := append(append(bytes.Clone(frame[:i]), 0), frame[i:]...)
			assert.Empty(t, c.numbers(t, spoilt), "%q", spoilt)
			tried++
		}
	}
	assert.Positive(t, tried)
}

// checksum changes each byte of a frame to every other, where one digit that
// changes is noticed.
func (c codec) checksum(t rapid.TB) {
	if !c.can.Checksum {
		return
	}
	good := c.Encode(nil, c.reading(t, "23.4"))
	for i := range good {
		for change := 1; change < 256; change++ {
			frame := bytes.Clone(good)
			frame[i] ^= byte(change)
			require.Empty(t, c.weights(frame), "byte %d is %#x", i, frame[i])
		}
	}
	frame := bytes.Replace(good, []byte("3"), []byte("4"), 1)
	all := c.drain(t, bytes.NewReader(frame))
	require.Len(t, all, 1)
	assert.Regexp(t, "check(sum)? is wrong", all[0].bad)
}
