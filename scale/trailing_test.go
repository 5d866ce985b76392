package scale

import "testing"

// Shape S6, described in two balance manuals and, in an older form, in a third;
// the widths of their fields differ.
func TestTrailingLines(t *testing.T) {
	readsAs(t, Trailing{}, []lineCase{
		{"     412.60 g  \r\n", "412.60", stillGram, "412.6"},
		{"     412.60 g ?\r\n", "412.60", movingGram, "412.6"},
		{"      -3.25 g ?\r\n", "-3.25", movingGram, "-3.25"},
		{"     1.2500 kg    NET\r\n", "1.2500", Reading{Unit: UnitKilogram, Mode: ModeNet, Motion: MotionStill}, "1250"},
		{"     412.60 g ? NET\r\n", "412.60", Reading{Unit: UnitGram, Mode: ModeNet, Motion: MotionMoving}, "412.6"},
		{"     412.60 g\r\n", "412.60", stillGram, "412.6"},
		// The width varies with the unit and the point, and the older form has 9
		// characters of weight, a blank, 5 of mode and the mark.
		{"       412 g  \r\n", "412", stillGram, "412"},
		{"      412.60 ozt  \r\n", "412.60", Reading{Unit: UnitTroyOunce, Motion: MotionStill}, "12833.294528"},
		{"   412.60 g    ?\r\n", "412.60", movingGram, "412.6"},
		{"   412.60 g     \r\n", "412.60", stillGram, "412.6"},
		{"     412.60 g    12:34:56\r\n", "412.60", stillGram, "412.6"},
		{"         24 PCS  \r\n", "24", Reading{Unit: UnitPieces, Motion: MotionStill, Status: StatusCount}, ""},
		{"       98.2 %  \r\n", "98.2", Reading{Unit: UnitPercent, Motion: MotionStill, Status: StatusCount}, ""},
		{"ES\r\n", "", Reading{Status: StatusNotReady}, ""},
	})
	refuses(t, Trailing{}, map[string]string{
		"     412.60 g    TOTAL\r\n":      "no legend of a live weight",
		"     412.60 g    T\r\n":          "no legend of a live weight",
		"     412.60 g    12.6 g\r\n":     "no legend of a live weight",
		"     412.60 g ?? \r\n":           "no legend of a live weight",
		"     412.60 g ?NET\r\n":          "no legend of a live weight",
		"     412.60\r\n":                 "the unit is missing",
		"     412.60 xy\r\n":              "the unit is missing or not known",
		"     41 2.60 g  \r\n":            "does not end at the 9th",
		"     -   3.25 g ?\r\n":           "does not end at the 9th", // the sign is adjacent in this shape
		"       4.12.6 g  \r\n":           "does not end at the 9th",
		"      4.12.6 g  \r\n":            "not a plain decimal number",
		"12.60 g  \r\n":                   "does not begin with a blank",
		"123456789.1 g  \r\n":             "does not begin with a blank", // it may have lost a digit
		" 412.60 g  \r\n":                 "does not end at the 9th",
		"      412.60412.60 g  \r\n":      "does not end at the 9th",
		"     412.60 g       412.60 g\r":  "no legend of a live weight",
		"   -------- g  \r\n":             "not a plain decimal number",
		"               \r\n":             "does not end at the 9th",
		"     412\x0060 g  \r\n":          "a zero byte",
		"     412.60 g  ":                 "the line end is missing",
		"\r\n":                            "does not begin with a blank",
		"     412.60 g    1234:56\r\n":    "no legend of a live weight",
		"     412.60 g    12345678\r\n":   "no legend of a live weight",
		"     412.60 g    NET TOTAL\r\n":  "no legend of a live weight",
		"ES       412.60 g  \r\n":         "does not begin with a blank",
		"     8:08.5 l/o\r\n":             "not a plain decimal number",
		"     412.60 g    NET   12.6 g\r": "no legend of a live weight",
	})
	sends(t, Trailing{}, "      412.6 g  \r\n", Reading{Mode: ModeTare}, Reading{Status: StatusOver}, Reading{Status: StatusTareError})
	splits(t, Trailing{}, map[string][]string{
		"2.60 g  \r\n     412.60 g  \r\n     4": {"2.60 g  \r", "     412.60 g  \r", "     4"},
	})
	// From memory: no document was at hand.
	obeys(t, Trailing{}, map[Request]string{RequestWeight: "IP\r\n", RequestStream: "CP\r\n"})
}
