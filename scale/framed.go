package scale

// Framed reads a weight between STX and ETX, shape S14, printed as a table in a
// public paper. It has two formats, and both are read:
//
//	STX sign weight(7) status ETX                     short, 11 bytes
//	STX sign weight(7) status(4) unit(3) ETX          long, 17 bytes
//
// The table counts seven characters of weight, examples show eight, so a frame
// is taken apart from both ends. The short status is one letter: G gross, N net,
// U under, O over, M moving, E error; M hides the mode, and no unit is said. The
// long status is G, N, U, O or E; M or blank; Z (zero) or blank; the range. The
// long unit is blank while the weight moves; it stays unknown here, for whoever
// remembers the last one. In the short format it is a setting, and without that
// the reading can not be used.
type Framed struct {
	Unit  Unit // of the short format; UnitNone: not usable until it is set
	Short bool // Encode writes the short format
}

const (
	framedWeight = 7 // characters behind the sign
	framedTail   = 7 // status and unit of the long format
	framedShort  = 1 + framedWeight + 1
	framedLong   = 1 + framedWeight + framedTail
)

// Name is "framed", with what is set: "framed-short-g".
func (c Framed) Name() string { return named("framed", c.Short, "-short", c.Unit) }

// Split takes a frame from its STX to its ETX.
func (Framed) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	return splitFrames(data, atEOF, byteSTX, framedFrame)
}

func framedFrame(b []byte) int {
	const most = framedLong + 1
	end := 1 + textLength(b[1:min(len(b), most+2)])
	switch {
	case end > most+1:
		return 0
	case end == len(b):
		return needMore
	case b[end] == byteETX:
		return end + 1
	}
	return 0
}

// Decode reads one frame.
func (c Framed) Decode(piece []byte) (r Reading, err error) {
	if at, reason := c.decode(piece, &r); reason != "" {
		return Reading{}, notAFrame(piece, at, reason)
	}
	return r, nil
}

func (c Framed) decode(piece []byte, r *Reading) (at int, reason string) {
	n := len(piece)
	if n < 2 || n > framedLong+3 || piece[0] != byteSTX || piece[n-1] != byteETX || !allText(piece[1:n-1]) {
		return 0, "a fragment or another shape: STX, sign, weight, status and ETX are expected"
	}
	body := piece[1 : n-1]
	at = len(body)
	switch len(body) {
	case framedShort, framedShort + 1:
		at--
		r.Unit = c.Unit
		reason = framedLetter(body[at], r)
	case framedLong, framedLong + 1:
		at -= framedTail
		reason = framedStatus(body[at:], r)
	default:
		reason = "neither of the two formats has this length"
	}
	if reason != "" {
		return min(at+1, n-1), reason
	}
	if r.Status > StatusZero {
		return 0, ""
	}
	d, err := scanField(body[:at]) // the sign may stand at either end of the blanks
	if err != nil {
		return 1, "the weight is " + err.Error()
	}
	r.setNumber(d)
	return 0, ""
}

// framedLetter reads the status of the short format.
func framedLetter(c byte, r *Reading) (reason string) {
	switch c {
	case 'M':
		r.Motion = MotionMoving
		return ""
	case 'G', 'N':
		r.Motion = MotionStill
	}
	return framedMode(c, r)
}

func framedMode(c byte, r *Reading) (reason string) {
	switch c {
	case 'G':
		r.Mode = ModeGross
	case 'N':
		r.Mode = ModeNet
	case 'U':
		r.Status = StatusUnder
	case 'O':
		r.Status = StatusOver
	case 'E':
		r.Status = StatusNotReady
	default:
		return "the status is none of the letters of this shape"
	}
	return ""
}

// framedStatus reads status and unit of the long format.
func framedStatus(b []byte, r *Reading) (reason string) {
	if reason := framedMode(b[0], r); reason != "" {
		return reason
	}
	switch b[1] {
	case ' ':
		r.Motion = MotionStill
	case 'M':
		r.Motion = MotionMoving
	default:
		return "the motion mark is neither M nor blank"
	}
	if b[2] != ' ' && b[2] != 'Z' {
		return "the zero mark is neither Z nor blank"
	}
	if b[3] != ' ' && !isDigit(b[3]) {
		return "the range is neither a digit nor blank"
	}
	if b[2] == 'Z' && r.Status == StatusOK {
		r.Status = StatusZero
	}
	unit := b[4:]
	if unit[0] == ' ' && unit[1] == ' ' && unit[2] == ' ' {
		if r.Motion == MotionMoving || r.Status > StatusZero {
			return ""
		}
		return "the unit is missing although the weight is still"
	}
	var ok bool
	if r.Unit, ok = blankUnit(unit); !ok {
		return "the unit is not known"
	}
	return ""
}
