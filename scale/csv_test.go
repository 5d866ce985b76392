package scale

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The four column maps as manuals of several makers describe them; the weights
// are invented. Widths differ between makers.
func TestCSVLines(t *testing.T) {
	still := Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill}
	over := Reading{Unit: UnitGram, Mode: ModeGross, Status: StatusOver}
	under := Reading{Unit: UnitGram, Mode: ModeGross, Status: StatusUnder}
	for _, c := range []struct {
		line   string
		number string
		want   Reading
		grams  string
	}{
		{"ST,GS,+  412.6 g\r\n", "412.6", still, "412.6"},
		{"US,NT,-   3.25 g\r\n", "-3.25", Reading{Unit: UnitGram, Mode: ModeNet, Motion: MotionMoving}, "-3.25"},
		{"ST,GS,+ 1.2500kg\r\n", "1.2500", Reading{Unit: UnitKilogram, Mode: ModeGross, Motion: MotionStill}, "1250"},
		{"ST,NT,-   3.25, g\r\n", "-3.25", Reading{Unit: UnitGram, Mode: ModeNet, Motion: MotionStill}, "-3.25"},
		{"ST,GS+  412.6, g\r\n", "412.6", still, "412.6"},
		{"ST,GS    412.6 g  \r\n", "412.6", still, "412.6"},
		{"ST,NT     -3.2 kg \r\n", "-3.2", Reading{Unit: UnitKilogram, Mode: ModeNet, Motion: MotionStill}, "-3200"},
		// A blank for plus, zeros for blanks, and each end of a line.
		{"ST,GS,   412.6 g\r", "412.6", still, "412.6"},
		{"ST,GS,+0000412.6 g\n", "0000412.6", still, "412.6"},
		{"ST,GS,-0000012.5 g\x03", "-0000012.5", still, "-12.5"},
		{"ST,GS,+    412 g\r\n", "412", still, "412"},
		// The short modes, with a blank.
		{"ST,G ,+  412.6 g\r\n", "412.6", still, "412.6"},
		{"ST,N ,+  412.6lb\r\n", "412.6", Reading{Unit: UnitPound, Mode: ModeNet, Motion: MotionStill}, "187152.211862"},
		// A stored tare is not the live weight.
		{"ST,TR,+  185.0 g\r\n", "185.0", Reading{Unit: UnitGram, Mode: ModeTare, Motion: MotionStill}, ""},
		{"ST,T ,+  185.0 g\r\n", "185.0", Reading{Unit: UnitGram, Mode: ModeTare, Motion: MotionStill}, ""},
		{"ST,PT,+  185.0 g\r\n", "185.0", Reading{Unit: UnitGram, Mode: ModeTare, Motion: MotionStill}, ""},
		// Overload: nines, or blanks with the point kept. The sign shows the end.
		{"OL,GS,+ 9999.9 g\r\n", "", over, ""},
		{"OL,GS,+     .  g\r\n", "", over, ""},
		{"OL,GS,-99999.9 g\r\n", "", under, ""},
		{"OL,GS,-     .  g\r\n", "", under, ""},
		{"OL,GS          g\r\n", "", over, ""},
		// Counts and percentages are not weights.
		{"QT,GS,+     24pc\r\n", "24", Reading{Unit: UnitPieces, Mode: ModeGross, Motion: MotionStill, Status: StatusCount}, ""},
		{"QT,GS,+     24 g\r\n", "24", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill, Status: StatusCount}, ""},
		{"US,NT,+   98.2 %\r\n", "98.2", Reading{Unit: UnitPercent, Mode: ModeNet, Motion: MotionMoving, Status: StatusCount}, ""},
	} {
		got, err := CSV{}.Decode([]byte(c.line))
		require.NoError(t, err, "%q", c.line)
		assert.Equal(t, c.number != "", got.HasNumber, "%q", c.line)
		if c.number != "" {
			assert.Equal(t, c.number, got.Number.String(), "%q", c.line)
		}
		m, ok := got.Weight()
		assert.Equal(t, c.grams != "", ok, "%q", c.line)
		if ok {
			assert.Equal(t, c.grams, string(m.AppendGrams(nil)), "%q", c.line)
		}
		got.Number, got.HasNumber = Decimal{}, false
		assert.Equal(t, c.want, got, "%q", c.line)
	}
}

func TestCSVRefuses(t *testing.T) {
	for line, reason := range map[string]string{
		"ST,TW,+  412.6 g\r\n":           "a total line, not the live weight",
		"ST,TN,+  412.6 g\r\n":           "a total line, not the live weight",
		"ST,GS,+  412.6  \r\n":           "the unit is missing",
		"ST,GS,+  412.6, \r\n":           "the unit is missing",
		"ST,GS,+  412.6xy\r\n":           "the unit is not known",
		"ST,GS,+  412.6 g 3.1 g\r\n":     "the unit is not known",
		"ST,GS,+  412.6g3\r\n":           "the unit is not known",
		"ST,GS,+ 41 2.6 g\r\n":           "not a plain decimal number",
		"ST,GS,+ 4.12.6 g\r\n":           "not a plain decimal number",
		"ST,GS,+-  12.6 g\r\n":           "not a plain decimal number",
		"ST,GS,+  412,6 g\r\n":           "the unit is not known",
		"ST,GS,+      . g\r\n":           "no number",
		"ST,GS,+        g\r\n":           "no number",
		"OL,GS,+ 12-3.4 g\r\n":           "not a plain decimal number",
		"OL,GS,+ 9999.9  \r\n":           "the unit is missing",
		"ST,GX,+  412.6 g\r\n":           "the mode",
		"SX,GS,+  412.6 g\r\n":           "the status",
		"st,gs,+  412.6 g\r\n":           "the status",
		"T,GS,+  412.6 g\r\n":            "a fragment",
		"  412.6 g\r\n":                  "a fragment",
		"ST,GS\r\n":                      "a fragment",
		"ST,GS,+  412.6 g":               "the line end is missing",
		"\r\n":                           "a fragment",
		"":                               "the line end is missing",
		"ST,GS,+  4\x002.6 g\r\n":        "a zero byte",
		"ST,GS,+  4\x022.6 g\r\n":        "no text",
		"\x02ST,GS,+  412.6 g\r\n":       "no text",
		"ST,GS,+  4ST,GS,+  412.6 g\r\n": "the unit is not known",
		// 7 bits, even parity, read as 8 bits.
		"S\xd4\xacGS\xac+\xa0\xa0\xb4\xb1\xb2.6\xa0\xe7\x8d\n": "looks like 7 data bits with parity read as 8 bits",
		// The same with one byte that does not fit: noise.
		"S\xd4\xacGS\xac+\xa0\xa0\xb4\xb1\xb2.7\xa0\xe7\x8d\n": "a byte that is no text",
	} {
		got, err := CSV{}.Decode([]byte(line))
		var fault *FrameError
		require.ErrorAs(t, err, &fault, "%q", line)
		assert.Contains(t, fault.Reason, reason, "%q", line)
		assert.Equal(t, Reading{}, got, "%q", line)
	}
}

func TestCSVSplit(t *testing.T) {
	const line = "ST,GS,+  412.6 g"
	for stream, want := range map[string][]string{
		line + "\r\n" + line + "\r\n":                {line + "\r", line + "\r"},
		line + "\n" + line + "\x03":                  {line + "\n", line + "\x03"},
		"\r\n\r\n" + line + "\r\r\n\x03":             {line + "\r"},
		"6 g\r\n" + line + "\r\n":                    {"6 g\r", line + "\r"},
		line + "\r\nST,GS":                           {line + "\r", "ST,GS"},
		"ST,GS,+  4" + line + "\r\n":                 {"ST,GS,+  4", line + "\r"},
		"\x00\xff" + line + "\r\n":                   {"\x00\xff", line + "\r"},
		line + line + "\r\n":                         {line, line + "\r"},
		strings.Repeat("x", 63) + line + "\r":        {strings.Repeat("x", 62), "x", line + "\r"},
		strings.Repeat("x", 61) + line + "\r":        {strings.Repeat("x", 61), line + "\r"},
		strings.Repeat("x", 70) + line + "\r":        {strings.Repeat("x", 62), strings.Repeat("x", 8), line + "\r"},
		strings.Repeat("x", 64) + line + "\r":        {strings.Repeat("x", 62), "xx", line + "\r"},
		strings.Repeat("x", 63) + "\r" + line + "\r": {strings.Repeat("x", 63) + "\r", line + "\r"},
	} {
		var got []string
		for data := []byte(stream); len(data) > 0; {
			advance, piece, err := CSV{}.Split(data, true)
			require.NoError(t, err)
			require.Positive(t, advance)
			if piece != nil {
				got = append(got, string(piece))
			}
			data = data[advance:]
		}
		assert.Equal(t, want, got, "%q", stream)
	}
}

func TestCSVEncode(t *testing.T) {
	r := Reading{Number: Decimal{Coefficient: 4126, Places: 1, Lead: 3}, HasNumber: true, Unit: UnitGram, Mode: ModeGross, Motion: MotionStill}
	for column, want := range map[byte]string{
		0:   "ST,GS,+  412.6 g\r\n",
		'a': "ST,GS,+  412.6 g\r\n",
		'b': "ST,GS,+  412.6, g\r\n",
		'c': "ST,GS+  412.6, g\r\n",
		'd': "ST,GS    412.6 g  \r\n",
	} {
		assert.Equal(t, want, string(CSV{Map: column}.Encode(nil, r)))
	}
	r.Status = StatusUnder
	assert.Equal(t, "OL,GS,-99999.9 g\r\n", string(CSV{}.Encode(nil, r)))
	r.Status = StatusTareError
	assert.Equal(t, "ST,GS,+     .  g\r\n", string(CSV{}.Encode(nil, r)))
	r = Reading{Number: Decimal{Coefficient: 24, Lead: 2}, HasNumber: true, Unit: UnitPieces, Status: StatusCount}
	assert.Equal(t, "QT,GS,+     24pc\r\n", string(CSV{}.Encode(nil, r)))
}

// These scales stream; what they obey differs from maker to maker.
func TestCSVKnowsNoRequest(t *testing.T) {
	for r := RequestUnknown; r <= RequestInfoNext; r++ {
		out, ok := CSV{}.Request([]byte("kept"), r)
		assert.False(t, ok)
		assert.Equal(t, "kept", string(out))
	}
	r, n := CSV{}.ParseRequest([]byte("Q\r\n"))
	assert.Equal(t, RequestUnknown, r)
	assert.Equal(t, 3, n)
}
