package scale

import "testing"

// Shape S2, described in two balance manuals and seen by two projects that read
// such balances: header, sign, eight characters of value, three of unit.
func TestHeaderLines(t *testing.T) {
	readsAs(t, Header{}, []lineCase{
		{"ST,+00412.60  g\r\n", "00412.60", stillGram, "412.6"},
		{"US,-00003.25  g\r\n", "-00003.25", movingGram, "-3.25"},
		{"ST,+001.2500 kg\r\n", "001.2500", Reading{Unit: UnitKilogram, Motion: MotionStill}, "1250"},
		{"ST,+0000.000  g\r\n", "0000.000", stillGram, "0"},
		{"ST,+00000412  g\r\n", "00000412", stillGram, "412"},
		{"ST,+00412.60 oz\r\n", "00412.60", Reading{Unit: UnitOunce, Motion: MotionStill}, "11697.013241"},
		{"ST,+00412.60ozt\r", "00412.60", Reading{Unit: UnitTroyOunce, Motion: MotionStill}, "12833.294528"},
		{"ST,+00412.60 lb\n", "00412.60", Reading{Unit: UnitPound, Motion: MotionStill}, "187152.211862"},
		// Counts and percentages are no weight, whatever their header says.
		{"QT,+00000024 PC\r\n", "00000024", Reading{Unit: UnitPieces, Motion: MotionStill, Status: StatusCount}, ""},
		{"US,+00000024 PC\r\n", "00000024", Reading{Unit: UnitPieces, Motion: MotionMoving, Status: StatusCount}, ""},
		{"ST,+0098.200  %\r\n", "0098.200", Reading{Unit: UnitPercent, Motion: MotionStill, Status: StatusCount}, ""},
		{"QT,+00000024  g\r\n", "00000024", Reading{Unit: UnitGram, Motion: MotionStill, Status: StatusCount}, ""},
		// All nines under the header OL: the sign shows which end.
		{"OL,+99999.99  g\r\n", "", Reading{Unit: UnitGram, Status: StatusOver}, ""},
		{"OL,-99999.99  g\r\n", "", Reading{Unit: UnitGram, Status: StatusUnder}, ""},
	})
	refuses(t, Header{}, map[string]string{
		"ST,+00412.60 tl\r\n":                "the unit is missing or not known", // a tael has several sizes
		"ST,+00412.60   \r\n":                "the unit is missing or not known",
		"ST,+  412.60  g\r\n":                "padded with zeros",
		"ST, 00412.60  g\r\n":                "the sign",
		"ST,+0041-.60  g\r\n":                "not a plain decimal number",
		"ST,+00.12.60  g\r\n":                "not a plain decimal number",
		"ST,+00412.60 g\r\n":                 "a fragment",
		"ST,+000412.60  g\r\n":               "a fragment",
		"ST,GS,+  412.6 g\r\n":               "a fragment", // the shape with a mode
		"XX,+00412.60  g\r\n":                "the header",
		"T,+00412.60  g\r\n":                 "a fragment",
		"ST,+00412.60  g":                    "the line end is missing",
		"ST,+00\x00412.6  g\r\n":             "a zero byte",
		"ST,+00412.60\x00 g\r\n":             "a zero byte",
		"\r\n":                               "a fragment",
		"":                                   "the line end is missing",
		"ST,+00412.60  gST,+00412.60  g\r\n": "a fragment",
	})
	sends(t, Header{}, "ST,+000412.6  g\r\n", Reading{Status: StatusTareError}, Reading{Status: StatusNotReady}, Reading{Mode: ModeTare})
	splits(t, Header{}, map[string][]string{
		"0412.60  g\r\nST,+00412.60  g\r\n": {"0412.60  g\r", "ST,+00412.60  g\r"},
		"ST,+0041ST,+00412.60  g\r\n":       {"ST,+0041", "ST,+00412.60  g\r"},
	})
	// From memory: no document was at hand.
	obeys(t, Header{}, map[Request]string{RequestWeight: "Q\r\n", RequestZero: "Z\r\n", RequestTare: "T\r\n"})
}
