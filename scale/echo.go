package scale

// Echo reads answers that begin with the command that was sent. Two column maps
// exist, one character apart, each described in manuals of balances; both are
// read, told apart by their length, and Wide says which one Encode writes:
//
//	SI ? -     3.25 g   CR LF     21 bytes: command 1–3, mark 4, sign 6, mass 7–15, unit 17–19
//	SU  ? -     3.25 g   CR LF    22 bytes: command 1–3, mark 5, sign 7, mass 8–16, unit 18–20
//
// The mark is blank for stable, ? for unstable, ^ for above and v for below the
// range; with ^ and v there is no weight, whatever stands in the field. The mass
// is right-justified, the sign (a minus or a blank) may stand far from it, the
// unit is left-justified. Before a weight come acknowledgements, which are read
// as answers: "S A" accepted, "S D" done, "S I" not now, "S E" gave up waiting
// for a stable weight, "S ^" and "S v" out of range, "ES" unknown.
type Echo struct {
	Wide bool // Encode writes 22 bytes
}

// echoWidth is the length of the shorter map without CR LF.
const echoWidth = 19

// Name is "echo", or "echo-wide".
func (c Echo) Name() string {
	if c.Wide {
		return "echo-wide"
	}
	return "echo"
}

// Split ends a line at CR, LF or ETX. Junk in front of a whole frame on the same
// line is a piece of its own.
func (Echo) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	advance, text := cutLine(data, atEOF, echoWidth+1)
	switch {
	case text == 0:
		return advance, nil, nil
	case advance == text: // no end was seen
	case text > echoWidth+1 && echoColumns(data[text-echoWidth-1:text]):
		advance = text - echoWidth - 1
	case text > echoWidth && echoColumns(data[text-echoWidth:text]):
		advance = text - echoWidth
	}
	return advance, data[:advance], nil
}

// echoColumns reports whether a line has an echo, and blanks where its map wants
// them.
func echoColumns(line []byte) bool {
	wide := len(line) - echoWidth
	return (wide == 0 || wide == 1 && line[3] == ' ') && echoed(line[:3]) && line[4+wide] == ' ' && line[15+wide] == ' '
}

// echoed reports one of the commands that ask for a weight, filled with blanks.
func echoed(b []byte) bool {
	switch string(b) {
	case "S  ", "SI ", "SU ", "SUI":
		return true
	}
	return false
}

// Decode reads one line.
func (Echo) Decode(piece []byte) (r Reading, err error) {
	if at, reason := echoDecode(piece, &r); reason != "" {
		return Reading{}, refused(piece, lineEnds, at, reason)
	}
	return r, nil
}

func echoDecode(piece []byte, r *Reading) (at int, reason string) {
	line := trimEnds(piece)
	if len(line) == len(piece) {
		return max(len(piece)-1, 0), noLineEnd
	}
	if !echoColumns(line) {
		return 0, echoAnswer(line, r)
	}
	line = line[len(line)-echoWidth:] // from here on both maps are one
	switch line[3] {
	case ' ':
		r.Motion = MotionStill
	case '?':
		r.Motion = MotionMoving
	case '^':
		r.Status = StatusOver
	case 'v':
		r.Status = StatusUnder
	default:
		return 3, "the stability mark is none of blank, ?, ^ and v"
	}
	var ok bool
	r.Unit, ok = blankUnit(line[16:])
	if r.Status != StatusOK {
		if firstUnprintable(piece, lineEnds) >= 0 {
			return 0, notText
		}
		return 0, ""
	}
	if line[5] != ' ' && line[5] != '-' {
		return 5, "the sign is neither blank nor a minus"
	}
	d, err := scanField(line[5:15])
	switch {
	case err != nil:
		return 5, "the mass is " + err.Error()
	case !ok || line[16] == ' ':
		return 16, "the unit is missing or not known"
	}
	r.setNumber(d)
	return 0, ""
}
