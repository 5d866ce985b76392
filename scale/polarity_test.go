package scale

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Shape S7, described in a balance manual in two widths; the letters of the
// second status character are from memory.
func TestPolarityLines(t *testing.T) {
	short := []lineCase{
		{"+ 412.60 g S\r\n", "412.60", stillGram, "412.6"},
		{"-   3.25 g U\r\n", "-3.25", movingGram, "-3.25"},
		{"    0.00 g S\r\n", "0.00", stillGram, "0"},
		{"- 412.60 gHS\r\n", "-412.60", stillGram, "-412.6"}, // a comparator's result
		{"+ 412.60 g  \r\n", "412.60", Reading{Unit: UnitGram}, "412.6"},
		{"+ 1.2500kg S\r\n", "1.2500", Reading{Unit: UnitKilogram, Motion: MotionStill}, "1250"},
		{"+     24pc S\r\n", "24", Reading{Unit: UnitPieces, Motion: MotionStill, Status: StatusCount}, ""},
		{"+   98.2 % S\r\n", "98.2", Reading{Unit: UnitPercent, Motion: MotionStill, Status: StatusCount}, ""},
		{"+        g E\r\n", "", Reading{Unit: UnitGram, Status: StatusNotReady}, ""},
		{"+ 412.60 g E\r\n", "", Reading{Unit: UnitGram, Status: StatusNotReady}, ""},
	}
	wide := []lineCase{
		{"+  412.60 g S\r\n", "412.60", stillGram, "412.6"},
		{"-12345.67 g U\r\n", "-12345.67", movingGram, "-12345.67"},
		{"+         g E\r\n", "", Reading{Unit: UnitGram, Status: StatusNotReady}, ""},
	}
	readsAs(t, Polarity{}, short)
	readsAs(t, Polarity{Wide: true}, wide)
	for _, l := range short {
		refuses(t, Polarity{Wide: true}, map[string]string{l.line: "a fragment"})
	}
	for _, l := range wide {
		refuses(t, Polarity{}, map[string]string{l.line: "a fragment"})
	}
	refuses(t, Polarity{}, map[string]string{
		"+ 412.60tl S\r\n":         "the unit",
		"+ 412.60mo S\r\n":         "the unit",
		"+ 412.60   S\r\n":         "the unit",
		"+ 412.60 g X\r\n":         "the status",
		"+ 412.60 gS\r\n":          "a fragment",
		"+ 41 2.6 g S\r\n":         "not a plain decimal number",
		"+ -12.60 g S\r\n":         "not a plain decimal number",
		"+        g S\r\n":         "no number",
		"5 412.60 g S\r\n":         "the sign",
		"+ 412.60 g\x00S\r\n":      "a zero byte",
		"+ 41\x00.60 g S\r\n":      "a zero byte",
		"+ 4x2.60 g E\r\n":         "not a plain decimal number",
		"+ 412.60 g S":             "the line end is missing",
		" 412.60 g S\r\n":          "a fragment",
		"+ 412.60 g S 3.1 g S\r\n": "a fragment",
	})
	mute := []Reading{{Mode: ModeTare}, {Status: StatusTareError}, {Status: StatusUnder}, {Unit: UnitTroyOunce}}
	sends(t, Polarity{}, "+  412.6 g S\r\n", mute...)
	sends(t, Polarity{Wide: true}, "+   412.6 g S\r\n", mute...)
	splits(t, Polarity{}, map[string][]string{
		"x+ 412.60 g S\r\n":               {"x", "+ 412.60 g S\r"},
		"+ 412.+ 412.60 g S\r\n":          {"+ 412.", "+ 412.60 g S\r"},
		"+ 412.60 g S\r\n.60 g S\r\n+ 41": {"+ 412.60 g S\r", ".60 g S\r", "+ 41"},
	})
	obeysNothing(t, Polarity{})
}

// obeysNothing checks a shape for which no command is described.
func obeysNothing(t *testing.T, c Codec) {
	t.Helper()
	for r := RequestUnknown; r <= RequestInfoNext; r++ {
		_, ok := c.Request(nil, r)
		assert.False(t, ok)
	}
	_, n := c.ParseRequest([]byte("#"))
	assert.Equal(t, 1, n)
}

// The wide form with its sign cut off must not be read as a positive weight, not
// even where something stands in front of it.
func TestPolarityDoesNotLoseASign(t *testing.T) {
	for _, line := range []string{"-   33.25 g U\r\n", "    33.25 g U\r\n", "-12345.67 g U\r\n"} {
		for _, front := range []string{"", "x", "+", "\r\n", "   "} {
			f := NewFramer(Polarity{})
			f.Feed([]byte(front + line + line))
			f.Flush()
			for r, _, ok := f.Next(); ok; r, _, ok = f.Next() {
				assert.False(t, r.HasNumber, "%q: %+v", front+line, r)
			}
		}
	}
}
