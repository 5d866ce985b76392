package scale

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Shape S4, described in two balance manuals whose column maps differ by one
// character: 21 bytes and 22.
func TestEchoLines(t *testing.T) {
	over, under := Reading{Unit: UnitGram, Status: StatusOver}, Reading{Unit: UnitGram, Status: StatusUnder}
	readsAs(t, Echo{}, []lineCase{
		{"SI        412.6 g  \r\n", "412.6", stillGram, "412.6"},
		{"SI ? -     3.25 g  \r\n", "-3.25", movingGram, "-3.25"},
		{"SU         412.6 g  \r\n", "412.6", stillGram, "412.6"},
		{"SUI ? -     3.25 g  \r\n", "-3.25", movingGram, "-3.25"},
		{"S         412.6 g  \r\n", "412.6", stillGram, "412.6"},
		{"S          412.6 g  \r\n", "412.6", stillGram, "412.6"},
		{"SI       1.2500 kg \r\n", "1.2500", Reading{Unit: UnitKilogram, Motion: MotionStill}, "1250"},
		{"SI         -0.5 g  \r\n", "-0.5", stillGram, "-0.5"},
		{"SI   -123456.78 g  \r\n", "-123456.78", stillGram, "-123456.78"},
		{"SI           24 pcs\r\n", "24", Reading{Unit: UnitPieces, Motion: MotionStill, Status: StatusCount}, ""},
		// A mark for out of range: no weight, whatever stands in the field.
		{"SI ^     6200.5 g  \r\n", "", over, ""},
		{"SI ^            g  \r\n", "", over, ""},
		{"SI v -     25.5 g  \r\n", "", under, ""},
		{"SU  ^     6200.5 g  \r\n", "", over, ""},
		// Acknowledgements.
		{"S A\r\n", "", Reading{Status: StatusInfo}, ""},
		{"SUI A\r\n", "", Reading{Status: StatusInfo}, ""},
		{"Z D\r\n", "", Reading{Status: StatusInfo}, ""},
		{"S I\r\n", "", Reading{Status: StatusNotReady}, ""},
		{"S E\r\n", "", Reading{Status: StatusNotReady}, ""},
		{"SI ^\r\n", "", Reading{Status: StatusOver}, ""},
		{"SI v\r\n", "", Reading{Status: StatusUnder}, ""},
		{"Z ^\r\n", "", Reading{Status: StatusZeroError}, ""},
		{"T v\r\n", "", Reading{Status: StatusTareError}, ""},
		{"ES\r\n", "", Reading{Status: StatusUnknownCommand}, ""},
	})
	refuses(t, Echo{}, map[string]string{
		"SI        412.6    \r\n":    "the unit is missing",
		"SI        412.6  g \r\n":    "the unit is missing or not known", // not left-justified: another map
		"SI        412.6 xy \r\n":    "the unit",
		"SI !      412.6 g  \r\n":    "the stability mark",
		"SI   +    412.6 g  \r\n":    "the sign",
		"SI   - -   12.6 g  \r\n":    "not a plain decimal number",
		"SI      41 2.60 g  \r\n":    "not a plain decimal number",
		"SI              g  \r\n":    "no number",
		"SI        412.6xg  \r\n":    "neither a weight", // 412.6x, or 412.6 in xg
		"SI x      412.6 g  \r\n":    "the stability mark",
		"I        412.6 g  \r\n":     "neither a weight",
		"XI        412.6 g  \r\n":    "neither a weight",
		"SI       412.6 g  \r\n":     "neither a weight",
		"SU          412.6 g  \r\n":  "neither a weight",
		"S X\r\n":                    "the answer is none of",
		"s A\r\n":                    "neither a weight",
		"SI        4\x002.6 g  \r\n": "a zero byte",
		"SI ^      4\x002.6 g  \r\n": "a zero byte",
		"SI        412.6 g  ":        "the line end is missing",
	})
	sends(t, Echo{}, "SI        412.6 g  \r\n", Reading{Mode: ModeTare}, Reading{Status: StatusInitialZeroError})
	sends(t, Echo{Wide: true}, "SU         412.6 g  \r\n", Reading{Mode: ModeTare})
	splits(t, Echo{}, map[string][]string{
		"xSI        412.6 g  \r\n":                 {"x", "SI        412.6 g  \r"},
		"SSI        412.6 g  \r\n":                 {"S", "SI        412.6 g  \r"},
		"SSU         412.6 g  \r\nS A\r\n":         {"S", "SU         412.6 g  \r", "S A\r"},
		"SI       4SUI ?      412.6 g  \r\n":       {"SI       4", "SUI ?      412.6 g  \r"},
		"SI        412.6 g  SI        412.6 g  \r": {"SI        412.6 g  ", "SI        412.6 g  \r"},
	})
	// C1 is given from memory.
	obeys(t, Echo{}, map[Request]string{RequestWeight: "SI\r\n", RequestStream: "C1\r\n", RequestZero: "Z\r\n", RequestTare: "T\r\n"})
}

// The two maps have the lengths that the manuals give.
func TestEchoLengths(t *testing.T) {
	r := Reading{Number: Decimal{Coefficient: 325, Places: 2, Lead: 1, Negative: true}, HasNumber: true, Unit: UnitGram, Motion: MotionMoving}
	assert.Equal(t, "SI ? -     3.25 g  \r\n", string(Echo{}.Encode(nil, r)))
	assert.Len(t, Echo{}.Encode(nil, r), 21)
	assert.Len(t, Echo{Wide: true}.Encode(nil, r), 22)
}
