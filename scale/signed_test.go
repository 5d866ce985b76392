package scale

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Shape S5, described in three balance manuals; that the unit is blank while the
// weight moves is from memory, and documented for a shape with STX and ETX.
func TestSignedLines(t *testing.T) {
	net := Reading{Unit: UnitGram, Mode: ModeNet, Motion: MotionStill}
	short := []lineCase{
		{"+   412.60 g  \r\n", "412.60", stillGram, "412.6"},
		{"      0.00 g  \r\n", "0.00", stillGram, "0"},
		{"-     3.25 g  \r\n", "-3.25", stillGram, "-3.25"},
		{"+   1.2500 kg \r", "1.2500", Reading{Unit: UnitKilogram, Motion: MotionStill}, "1250"},
		// Moving: a number in no unit is no weight.
		{"-     3.25    \r\n", "-3.25", Reading{Motion: MotionMoving}, ""},
		{"+       24 pcs\r\n", "24", Reading{Unit: UnitPieces, Motion: MotionStill, Status: StatusCount}, ""},
		{"+     98.2 %  \r\n", "98.2", Reading{Unit: UnitPercent, Motion: MotionStill, Status: StatusCount}, ""},
		// One letter in the number field, wherever it stands.
		{"     H        \r\n", "", Reading{Status: StatusOver}, ""},
		{"      H       \r\n", "", Reading{Status: StatusOver}, ""},
		{"     L        \r\n", "", Reading{Status: StatusUnder}, ""},
		{"     C        \r\n", "", Reading{Status: StatusNotReady}, ""},
		{"   Err 054    \r\n", "", Reading{Status: StatusNotReady}, ""},
		{"Err 54        \r\n", "", Reading{Status: StatusNotReady}, ""},
	}
	labelled := []lineCase{
		{"N     +   412.60 g  \r\n", "412.60", net, "412.6"},
		{"      +   412.60 g  \r\n", "412.60", stillGram, "412.6"},
		{"N     -     3.25    \r\n", "-3.25", Reading{Mode: ModeNet, Motion: MotionMoving}, ""},
		{"T     +   185.00 g  \r\n", "185.00", Reading{Unit: UnitGram, Mode: ModeTare, Motion: MotionStill}, ""},
		{"           H        \r\n", "", Reading{Status: StatusOver}, ""},
	}
	readsAs(t, Signed{}, append(short, labelled...))
	readsAs(t, Signed{Label: true}, labelled)
	refuses(t, Signed{Label: true}, map[string]string{short[0].line: "a fragment"})
	refuses(t, Signed{}, map[string]string{
		"+   412.60 xy \r\n":       "the unit is not known",
		"+   412.60  g \r\n":       "the unit is not known", // not left-justified
		"+   412.60g   \r\n":       "no blank behind the value",
		"+  -412.60 g  \r\n":       "not a plain decimal number",
		"+   41 2.6 g  \r\n":       "not a plain decimal number",
		"+          g  \r\n":       "no number",
		"              \r\n":       "no number",
		"    H   L     \r\n":       "not a plain decimal number",
		"     H     g  \r\n":       "not a plain decimal number", // a letter and a unit: no line of this shape
		"     X        \r\n":       "not a plain decimal number",
		"   Err x54    \r\n":       "not a plain decimal number",
		"5   412.60 g  \r\n":       "the sign",
		"   412.60 g  \r\n":        "a fragment",
		"+   412.60 g\r\n":         "a fragment",
		"SUM   +   412.60 g  \r\n": "the label", // a sum is not the live weight
		"+   41\x002.6 g  \r\n":    "a zero byte",
		"+   412.60 \x00  \r\n":    "a zero byte",
		"+   412.60 g  ":           "the line end is missing",
	})
	mute := []Reading{{Mode: ModeTare}, {Status: StatusTareError}, {Status: StatusUnknownCommand}}
	sends(t, Signed{}, "+    412.6 g  \r\n", mute...)
	sends(t, Signed{Label: true}, "      +    412.6 g  \r\n", mute[1:]...)
	splits(t, Signed{}, map[string][]string{
		"x+   412.60 g  \r\n":                  {"x", "+   412.60 g  \r"},
		"xN     +   412.60 g  \r\n":            {"x", "N     +   412.60 g  \r"},
		"+   412.+   412.60 g  \r\n":           {"+   412.", "+   412.60 g  \r"},
		"+   412.60 g  +   412.61 g  \r\n":     {"+   412.60 g  ", "+   412.61 g  \r"},
		"N     +   412.60 g  \r\n60 g  \r\n+ ": {"N     +   412.60 g  \r", "60 g  \r", "+ "},
	})
	obeys(t, Signed{}, map[Request]string{RequestWeight: "\x1bP\r\n", RequestTare: "\x1bT\r\n"})
}

// A weight that moves comes back as what the line says, and never as a weight.
func TestSignedMovingHasNoUnit(t *testing.T) {
	r := movingGram
	r.Number, r.HasNumber = Decimal{Coefficient: 325, Places: 2, Lead: 1, Negative: true}, true
	assert.Equal(t, "-     3.25    \r\n", string(Signed{}.Encode(nil, r)))
	r.Unit = UnitNone
	assert.Equal(t, "-     3.25    \r\n", string(Signed{}.Encode(nil, r)))
	assert.Len(t, Signed{}.Encode(nil, r), 16)
	assert.Len(t, Signed{Label: true}.Encode(nil, r), 22)
}
