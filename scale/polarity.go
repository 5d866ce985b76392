package scale

// Polarity reads lines of a sign, digits with a floating point, a unit of two
// characters and two of status:
//
//	01      8 10
//	+ 412.60 g S CR LF        14 bytes, or 15 with a digit more
//
// The sign is +, - or a blank; leading zeros are blanks; the first status
// character is the result of a comparator and is passed over, the second tells
// S stable, U unstable, E error or overload (a blank where the balance does not
// say; the letters are from memory). Which of error and overload it is can not
// be told, so E reads as "not ready". It is described in a manual of balances.
//
// The longer form with its sign cut off looks like the shorter one of a positive
// weight. So each is read only when it is set.
//
// A near relative of this shape answers to a "#" with a letter for the response
// and one for the unit. Its letters are not described, and it is not read.
type Polarity struct {
	Wide bool // lines have 15 bytes
}

const polarityWidth = 12 // without CR LF, in the shorter form

// Name is "polarity", or "polarity-wide".
func (c Polarity) Name() string {
	if c.Wide {
		return "polarity-wide"
	}
	return "polarity"
}

func (c Polarity) width() int {
	if c.Wide {
		return polarityWidth + 1
	}
	return polarityWidth
}

// Split ends a line at CR, LF or ETX. What stands in front of the last whole
// frame of a line is a piece of its own.
func (c Polarity) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	return splitSigned(data, atEOF, c.width())
}

// Decode reads one line by its columns.
func (c Polarity) Decode(piece []byte) (r Reading, err error) {
	if at, reason := c.decode(piece, &r); reason != "" {
		return Reading{}, refused(piece, lineEnds, at, reason)
	}
	return r, nil
}

func (c Polarity) decode(piece []byte, r *Reading) (at int, reason string) {
	line := trimEnds(piece)
	unit := len(line) - 4
	switch {
	case len(line) == len(piece):
		return max(len(piece)-1, 0), noLineEnd
	case len(line) != c.width():
		return 0, "a fragment or another shape: a line is a sign, seven characters of value (eight in the wide form), two of unit and two of status"
	case line[0] != ' ' && line[0] != '+' && line[0] != '-':
		return 0, "the sign is none of +, - and blank"
	case !isPrintable(line[unit+2]):
		return unit + 2, notText
	}
	switch line[unit+3] {
	case 'S':
		r.Motion = MotionStill
	case 'U':
		r.Motion = MotionMoving
	case ' ':
	case 'E':
		r.Status = StatusNotReady
	default:
		return unit + 3, "the status is none of S, U, E and blank"
	}
	var ok bool
	if r.Unit, ok = blankUnit(line[unit : unit+2]); !ok {
		return unit, "the unit is missing or not known"
	}
	d, err := scanUnsigned(line[1:unit])
	switch {
	case r.Status == StatusNotReady && (err == nil || err == ErrNoNumber):
		return 0, ""
	case err != nil:
		return 1, "the value is " + err.Error()
	}
	d.Negative = line[0] == '-'
	r.setNumber(d)
	return 0, ""
}

// Encode appends the line for a reading, and nothing where the shape has no
// word for it.
func (c Polarity) Encode(dst []byte, r Reading) []byte {
	out, ok := dst, true
	unit, status := r.Unit.String(), byte(' ')
	switch {
	case r.Motion == MotionStill:
		status = 'S'
	case r.Motion == MotionMoving:
		status = 'U'
	}
	switch {
	case r.Status == StatusNotReady || r.Status == StatusOver:
		status = 'E'
		out = appendLeft(append(out, '+'), "", c.width()-5)
	case showsNumber(r):
		out, ok = appendRight(append(out, signOf(r.Number, '+')), r.Number, c.width()-5, ' ')
	default:
		return dst
	}
	if !ok || len(unit) < 1 || len(unit) > 2 {
		return dst
	}
	if len(unit) == 1 {
		out = append(out, ' ')
	}
	return append(append(out, unit...), ' ', status, '\r', '\n')
}

// Request knows no command: none is described for this shape.
func (Polarity) Request(dst []byte, _ Request) ([]byte, bool) { return dst, false }

// ParseRequest drops whatever it is sent.
func (Polarity) ParseRequest(data []byte) (Request, int) { return RequestUnknown, len(data) }
