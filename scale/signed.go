package scale

// Signed reads lines of a sign, a right-justified value and a unit:
//
//	01         11
//	+   412.60 g   CR LF               16 bytes
//	N     +   412.60 g   CR LF         22 bytes, with a label in front
//
// The sign is +, - or a blank, the value has nine characters with its point, a
// blank, and a unit of three, left-justified. The unit is blank while the weight
// is not stable: the number is then told, but in no unit, and can be no weight.
// That rule is from memory for this shape; it is documented for another one. One
// letter in the number field says H for overload, L for underload, C for
// calibrating; "Err nnn" is an error. It is described in manuals of balances and
// in the notes of several projects that read them.
type Signed struct {
	Label bool // lines have the label, and one without is a fragment
}

const (
	signedWidth = 14 // without CR LF and label
	signedLabel = 6
	signedUnit  = 11
)

// Name is "signed", or "signed-label".
func (c Signed) Name() string {
	if c.Label {
		return "signed-label"
	}
	return "signed"
}

// Split ends a line at CR, LF or ETX. What stands in front of the last whole
// frame of a line is a piece of its own.
func (c Signed) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	advance, text := cutLine(data, atEOF, signedWidth+signedLabel)
	if text == 0 {
		return advance, nil, nil
	}
	if at := text - signedWidth; at > 0 && advance > text && (data[at] == '+' || data[at] == '-') {
		if at >= signedLabel {
			if _, ok := signedMode(data[at-signedLabel : at]); ok || c.Label {
				at -= signedLabel
			}
		}
		if at > 0 {
			advance = at
		}
	}
	return advance, data[:advance], nil
}

// Decode reads one line by its columns.
func (c Signed) Decode(piece []byte) (r Reading, err error) {
	if at, reason := c.decode(piece, &r); reason != "" {
		return Reading{}, refused(piece, lineEnds, at, reason)
	}
	return r, nil
}

func (c Signed) decode(piece []byte, r *Reading) (at int, reason string) {
	line, start := trimEnds(piece), 0
	switch {
	case len(line) == len(piece):
		return max(len(piece)-1, 0), noLineEnd
	case len(line) == signedWidth+signedLabel:
		var ok bool
		if r.Mode, ok = signedMode(line[:signedLabel]); !ok {
			return 0, "the label is not that of a live weight"
		}
		start = signedLabel
	case c.Label || len(line) != signedWidth:
		return 0, "a fragment or another shape: a line is sign, nine characters of value, a blank and three of unit, or the same behind a label of six"
	}
	at, reason = signedValue(line[start:], r)
	if reason != "" && signedSpecial(line[start:], r) {
		return 0, ""
	}
	return start + at, reason
}

// signedValue reads what both forms have.
func signedValue(line []byte, r *Reading) (at int, reason string) {
	if line[0] != ' ' && line[0] != '+' && line[0] != '-' {
		return 0, "the sign is none of +, - and blank"
	}
	if line[signedUnit-1] != ' ' {
		return signedUnit - 1, "there is no blank behind the value"
	}
	d, err := scanUnsigned(line[1 : signedUnit-1])
	if err != nil {
		return 1, "the value is " + err.Error()
	}
	d.Negative = line[0] == '-'
	unit := line[signedUnit:]
	if allBlank(unit) {
		r.Motion = MotionMoving
		r.setNumber(d)
		return 0, ""
	}
	u, ok := blankUnit(unit)
	if !ok || unit[0] == ' ' {
		return signedUnit, "the unit is not known"
	}
	r.Unit, r.Motion = u, MotionStill
	r.setNumber(d)
	return 0, ""
}

// signedMode reads a label. Only N is described; G and T are from memory.
func signedMode(label []byte) (m Mode, ok bool) {
	if string(label[1:]) == "     " {
		switch label[0] {
		case 'N':
			return ModeNet, true
		case 'G':
			return ModeGross, true
		case 'T':
			return ModeTare, true
		case ' ':
			return ModeUnknown, true
		}
	}
	return ModeUnknown, false
}
