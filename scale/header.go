package scale

// Header reads lines of a two-letter header, a sign, a value padded with zeros
// and a unit of three characters:
//
//	ST,+00412.60  g CR LF        17 bytes
//	0  23        12 15
//
// header ST stable, US unstable, QT stable count, OL overload; sign; eight
// characters of value with its point; the unit right-justified. It is described
// in the manuals of balances and in projects that read them. An overload is all
// nines, and its sign tells which end of the range. Such scales often send
// nothing until the stream is switched on in their menu.
type Header struct{}

const (
	headerWidth = 15 // without CR LF
	headerValue = 4
	headerUnit  = 12
)

// Name is "header".
func (Header) Name() string { return "header" }

// Split cuts as for lines with commas: the headers and their comma are the same.
func (Header) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	return CSV{}.Split(data, atEOF)
}

// Decode reads one line by its columns.
func (Header) Decode(piece []byte) (r Reading, err error) {
	if at, reason := headerDecode(piece, &r); reason != "" {
		return Reading{}, refused(piece, lineEnds, at, reason)
	}
	return r, nil
}

func headerDecode(piece []byte, r *Reading) (at int, reason string) {
	line := trimEnds(piece)
	switch {
	case len(line) == len(piece):
		return max(len(piece)-1, 0), noLineEnd
	case len(line) != headerWidth || line[2] != ',':
		return 0, "a fragment or another shape: a line is two letters, a comma, a sign, eight characters of value and three of unit"
	case !csvStatus(line[:2], r):
		return 0, "the header is none of ST, US, OL and QT"
	case line[3] != '+' && line[3] != '-':
		return 3, "the sign is neither + nor -"
	case line[headerValue]-'0' > 9 && line[headerValue] != '.':
		return headerValue, "the value is not padded with zeros"
	}
	d, err := scanDecimal(line[headerValue:headerUnit])
	if err != nil {
		return headerValue, "the value is " + err.Error()
	}
	d.Negative = line[3] == '-'
	unit, ok := blankUnit(line[headerUnit:])
	if !ok {
		return headerUnit, "the unit is missing or not known"
	}
	r.Unit = unit
	if r.Status != StatusOver {
		r.setNumber(d)
	} else if d.Negative {
		r.Status = StatusUnder
	}
	return 0, ""
}

// Encode appends the line for a reading, and nothing where the shape has no
// word for it: for an error, a stored tare, or a number that does not fit.
func (Header) Encode(dst []byte, r Reading) []byte {
	out, ok := append(dst, csvStatusText(r)...), true
	switch {
	case r.Status == StatusOver:
		out = append(out, ",+99999.99"...)
	case r.Status == StatusUnder:
		out = append(out, ",-99999.99"...)
	case showsNumber(r):
		out, ok = appendRight(append(out, ',', signOf(r.Number, '+')), r.Number, headerUnit-headerValue, '0')
	default:
		return dst
	}
	unit := r.Unit.String()
	if r.Unit == UnitPieces {
		unit = "PC"
	}
	if !ok || unit == "" {
		return dst
	}
	for n := len(unit); n < headerWidth-headerUnit; n++ {
		out = append(out, ' ')
	}
	return append(append(out, unit...), '\r', '\n')
}

// headerCommands are given from memory: no document was at hand.
var headerCommands = []command{{RequestWeight, "Q"}, {RequestZero, "Z"}, {RequestTare, "T"}}

// Request appends the letter of the command with CR LF.
func (Header) Request(dst []byte, r Request) ([]byte, bool) {
	return appendCommand(dst, r, headerCommands)
}

// ParseRequest is the scale's side.
func (Header) ParseRequest(data []byte) (Request, int) { return parseCommand(data, headerCommands) }
