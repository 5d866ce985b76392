package scale

import "testing"

// Shape S3, described in a manual of laboratory balances; the letters of the
// errors are given from memory.
func TestLettersLines(t *testing.T) {
	readsAs(t, Letters{}, []lineCase{
		{"S S     412.60 g\r\n", "412.60", stillGram, "412.6"},
		{"S D      -0.45 g\r\n", "-0.45", movingGram, "-0.45"},
		{"S S     1.2500 kg\r\n", "1.2500", Reading{Unit: UnitKilogram, Motion: MotionStill}, "1250"},
		// Widths and padding differ; a sign may stand apart.
		{"S S 412.60 g\r\n", "412.60", stillGram, "412.6"},
		{"S S       412.60   g  \r", "412.60", stillGram, "412.6"},
		{"S D  -    0.45 g\n", "-0.45", movingGram, "-0.45"},
		{"S S         24 pcs\r\n", "24", Reading{Unit: UnitPieces, Motion: MotionStill, Status: StatusCount}, ""},
		{"S S       98.2 %\r\n", "98.2", Reading{Unit: UnitPercent, Motion: MotionStill, Status: StatusCount}, ""},
		// Answers without a value.
		{"S I\r\n", "", Reading{Status: StatusNotReady}, ""},
		{"S +\r\n", "", Reading{Status: StatusOver}, ""},
		{"S -\r\n", "", Reading{Status: StatusUnder}, ""},
		{"ES\r\n", "", Reading{Status: StatusUnknownCommand}, ""},
		{"EL\r\n", "", Reading{Status: StatusUnknownCommand}, ""},
		{"ET\r\n", "", Reading{Status: StatusDamagedCommand}, ""},
		{"Z I\r\n", "", Reading{Status: StatusZeroError}, ""},
		{"T +\r\n", "", Reading{Status: StatusTareError}, ""},
		{"Z A\r\n", "", Reading{Status: StatusInfo}, ""},
	})
	refuses(t, Letters{}, map[string]string{
		"S S     412.60\r\n":         "the unit is missing",
		"S S            g\r\n":       "no number",
		"S S     412.60 g 3.1 g\r\n": "longer than ten characters",
		"S S   4.6 3.1 g\r\n":        "not a plain decimal number",
		"S S 1234567890.1 g\r\n":     "longer than ten characters",
		"S S     412.60 xy\r\n":      "the unit is not known",
		"S S     4,12 g\r\n":         "not a plain decimal number",
		"S S   ------ g\r\n":         "not a plain decimal number",
		"S X     412.60 g\r\n":       "neither an answer nor a weight",
		" S      412.60 g\r\n":       "neither an answer nor a weight",
		"T S     185.00 g\r\n":       "neither an answer nor a weight", // a tare is no live weight
		"S +     412.60 g\r\n":       "neither an answer nor a weight",
		"S A\r\n":                    "neither an answer nor a weight",
		"S S \r\n":                   "no number",
		"S S     412\x00.60 g\r\n":   "a zero byte",
		"S S     412.60 g":           "the line end is missing",
	})
	sends(t, Letters{}, "S S      412.6 g\r\n", Reading{Mode: ModeTare}, Reading{Status: StatusInitialZeroError})
	splits(t, Letters{}, map[string][]string{
		"S S    4S S     412.60 g\r\n":             {"S S    4", "S S     412.60 g\r"},
		"S S S     412.60 g\r\nS I\r\n":            {"S ", "S S     412.60 g\r", "S I\r"},
		"S S     412.60 gS D     412.60 g\r\n":     {"S S     412.60 g", "S D     412.60 g\r"},
		"12.60 g\r\n\r\nS S     412.60 g\r\nS S 4": {"12.60 g\r", "S S     412.60 g\r", "S S 4"},
	})
	obeys(t, Letters{}, map[Request]string{
		RequestWeight: "SI\r\n", RequestStream: "SIR\r\n", RequestZero: "ZI\r\n", RequestTare: "TI\r\n",
		RequestClearTare: "TAC\r\n", RequestReset: "@\r\n",
	})
}
