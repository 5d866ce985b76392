package ui

import (
	"encoding/json"
	"math"
	"strconv"

	"gramcup/mix"
)

// appendWeight appends the live weight as a Weight message up to its age: the
// age is only known when the bytes leave, so it comes last and is put on by
// appendAge. Written by hand because it happens with every frame of the scale
// and must not allocate.
func appendWeight(dst []byte, l *mix.Live) []byte {
	dst = append(dst, `{"type":"weight","seq":`...)
	dst = strconv.AppendUint(dst, l.Seq, 10)
	dst = append(dst, `,"valid":`...)
	dst = strconv.AppendBool(dst, l.Valid)
	dst = append(dst, `,"trouble":`...)
	dst = appendText(dst, string(l.Trouble))
	dst = append(dst, `,"still":`...)
	dst = strconv.AppendBool(dst, l.Still)
	dst = append(dst, `,"shown_g":`...)
	dst = l.Shown.AppendGrams(dst)
	dst = append(dst, `,"net_g":`...)
	dst = l.Net.AppendGrams(dst)
	dst = append(dst, `,"amount_g":`...)
	dst = l.Amount.AppendGrams(dst)
	dst = append(dst, `,"to_go_g":`...)
	dst = l.ToGo.AppendGrams(dst)
	dst = append(dst, `,"flow_g_s":`...)
	dst = appendFlow(dst, l.FlowGS)
	dst = append(dst, `,"predicted_g":`...)
	dst = l.Predicted.AppendGrams(dst)
	dst = append(dst, `,"line":`...)
	dst = appendText(dst, string(l.Line))
	dst = append(dst, `,"cue":`...)
	dst = appendText(dst, string(l.Cue))
	return append(dst, `,"age_ms":`...)
}

// appendAge closes a message that appendWeight began.
func appendAge(dst []byte, ageMS int64) []byte {
	dst = strconv.AppendInt(dst, max(ageMS, 0), 10)
	return append(dst, '}')
}

// maxFlowGS is far beyond any pour (100 kg in a second): what is faster is a
// slip of arithmetic, and JSON has no word for infinity.
const maxFlowGS = 100_000

// appendFlow writes grams a second to the milligram; what is no number is 0.
func appendFlow(dst []byte, flow float64) []byte {
	if math.IsNaN(flow) {
		return append(dst, '0')
	}
	flow = min(max(flow, -maxFlowGS), maxFlowGS)
	return strconv.AppendFloat(dst, math.Round(flow*1000)/1000, 'f', -1, 64)
}

// appendText writes a JSON string. The words of a Live are plain constants;
// anything else takes the slow and careful way.
func appendText(dst []byte, s string) []byte {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c >= 0x7f || c == '"' || c == '\\' {
			slow, err := json.Marshal(s)
			if err != nil {
				return append(dst, `""`...)
			}
			return append(dst, slow...)
		}
	}
	dst = append(dst, '"')
	dst = append(dst, s...)
	return append(dst, '"')
}
