package find

import (
	"fmt"
	"slices"

	"gramcup/scale"
)

// report puts what was found into words.
func (s *search) report(out outcome) Report {
	v := s.top
	r := Report{Sure: NotSure, Setting: v.setting, Spent: s.spent}
	if v.best == nil {
		return s.nothing(r, out)
	}
	b := v.best
	r.Codec, r.Line, r.Sure, r.Asked = b.codec, b.codec.Name(), v.sure, v.asked
	r.Found = r.Sure != NotSure
	r.Unit, r.TellUnit = unitOf(b)
	r.Division = division(b.lines, r.Unit)
	r.Sample = sample(b.lines)
	for _, o := range slices.Concat(v.open, v.similar, v.choice) {
		r.Others = append(r.Others, Candidate{Codec: o.codec, Line: o.codec.Name(), Lines: len(o.lines)})
	}
	r.Why = why(v)
	r.Settles = settles(v, r.TellUnit)
	return r
}

// unitOf is the unit that the lines say. Where none could, a person has to.
func unitOf(b *score) (u scale.Unit, tell bool) {
	if !b.says {
		return scale.UnitNone, true
	}
	for _, l := range b.lines {
		if l.reading.Unit != scale.UnitNone {
			u = l.reading.Unit
		}
	}
	return u, false
}

// division is the display step: what the decimals say, and where every one of
// several numbers is a multiple of two, five or more of them, that.
func division(lines []line, u scale.Unit) scale.Mass {
	const several = 5
	if u == scale.UnitNone || len(lines) == 0 {
		return 0
	}
	seen, common := map[uint64]bool{}, uint64(0)
	for _, l := range lines {
		c := l.reading.Number.Coefficient
		seen[c] = true
		for a, b := common, c; ; a, b = b, a%b {
			if b == 0 {
				common = a
				break
			}
		}
	}
	last := lines[len(lines)-1].reading
	step := scale.Reading{Number: last.Number, Unit: u}.Step()
	for _, by := range []uint64{50, 20, 10, 5, 2} {
		if len(seen) >= several && common%by == 0 {
			return step * scale.Mass(by)
		}
	}
	return step
}

// sample shows the last lines as they came, and what they say.
func sample(lines []line) []string {
	const few = 3
	var out []string
	for _, l := range lines[max(0, len(lines)-few):] {
		out = append(out, fmt.Sprintf(`"%s" is %s`, scale.AppendEscaped(nil, l.piece), say(l.reading)))
	}
	return out
}

func say(r scale.Reading) string {
	text := r.Number.String()
	if r.Unit != scale.UnitNone {
		text += " " + r.Unit.String()
	}
	if m := r.Mode.String(); m != "" {
		text += ", " + m
	}
	switch r.Motion {
	case scale.MotionStill:
		text += ", still"
	case scale.MotionMoving:
		text += ", moving"
	}
	return text
}

func why(v verdict) []string {
	b := v.best
	out := []string{fmt.Sprintf("%d whole lines of the shape %s came at %s, %d of them in succession.",
		len(b.lines)+v.before, b.codec.Name(), v.setting, b.run)}
	switch b.kind {
	case kindChecksum:
		out = append(out, "Each has a checksum, and it is right.")
	case kindFixed:
		out = append(out, "Everything stands in its column.")
	case kindNumber:
		out = append(out, "The lines are numbers and nothing else, so they could come from something that is no scale.")
	}
	if b.refused > 0 {
		out = append(out, fmt.Sprintf("%d pieces between them were refused: noise, or damaged lines.", b.refused))
	}
	for _, o := range v.open {
		out = append(out, fmt.Sprintf("The shape %s would read the same lines as something else.", o.codec.Name()))
	}
	for _, o := range v.similar {
		out = append(out, fmt.Sprintf("So far the shape %s reads the same lines alike; other lines it would not.", o.codec.Name()))
	}
	for _, o := range v.choice {
		out = append(out, fmt.Sprintf("It prints another weight too, which the shape %s reads.", o.codec.Name()))
	}
	if v.asked {
		out = append(out, "It sends nothing by itself and answers when it is asked.")
	}
	return out
}

// settles names what a person can do about what is open.
func settles(v verdict, tell bool) string {
	b := v.best
	switch {
	case len(v.open) > 0:
		return "Put something on the pan, leave it there until the number stands still, and try again."
	case v.sure == NotSure && len(b.lines) < linesLikely:
		return "Too few lines came: set the output of the scale to continuous, or press its print key five times while this runs."
	case v.sure == NotSure:
		return "Put something on the pan while this runs: if the numbers follow it, they come from a scale."
	case len(v.similar) > 0:
		return "Touch the pan while this runs, so that lines of a moving weight come."
	case len(v.choice) > 0:
		return "This scale prints several weights: choose the line that you want, " + b.codec.Name() + " or " + v.choice[0].codec.Name() + "."
	case tell:
		return "These lines say no unit: put something of known weight on the pan, and tell the unit that makes the number right."
	case b.units == 0:
		return "Leave the pan alone: the scale says its unit only when the weight stands still."
	}
	return ""
}

// nothing is the report where no line of a shape was read.
func (s *search) nothing(r Report, out outcome) Report {
	const told = 16 // bytes of text in succession, before a person is told of it
	r.Setting = raw(bauds[0])
	switch {
	case s.binary:
		r.Trouble = TroubleBinary
		r.Why = []string{"Frames of six bytes that begin with FF came: a binary output, which is not read here."}
		r.Settles = "Set the output of the scale to text: look in its menu for output, print or data format."
	case s.longest >= told && s.talk.DataBits == 7 && s.talk.Parity != 'n':
		r.Trouble, r.Setting = TroubleParity, s.talk
		r.Why = []string{fmt.Sprintf("Text came at %s: 7 bits with parity. No shape that is known reads it.", s.talk)}
		r.Settles = "Describe the line yourself, or choose another data format in the menu of the scale."
	case s.longest >= told:
		r.Trouble, r.Setting = TroubleUnknown, s.talk
		r.Why = []string{fmt.Sprintf("Text came at %s. No shape that is known reads it: another data format, or no scale.", s.talk)}
		r.Settles = "Describe the line yourself, or choose another data format in the menu of the scale."
	case s.all >= enough || out == outGarbage:
		r.Trouble = TroubleNoise
		r.Why = []string{"Bytes came, and at no speed did they make sense."}
		r.Settles = "Look up speed, data bits and parity in the menu of the scale, and check the cable and its ground."
	default:
		r.Trouble = TroubleSilent
		r.Why = []string{s.silence()}
		r.Settles = "Look in the menu of the scale for output, print or interface and set it to continuous; or press its print key while this runs. Check the cable, and that receive and send are crossed."
	}
	return r
}

func (s *search) silence() string {
	if s.options.Quiet {
		return "Nothing came, and nothing was asked. Many scales send only after a press on their print key, or when they are asked."
	}
	return "Nothing came, and no ask was answered. On many scales the output is switched off when they are new."
}
