package scale

// Prefix reads lines that begin with two letters, shape S13, described in a
// manual and read by a public driver:
//
//	ww cccccccc uu CR LF        12 bytes and a line end
//	wn cccccccc uu CR LF
//
// ww is gross and wn net, c the number with its point and zeros in front, a
// minus in place of the first digit, u kg or lb. The description counts eight
// characters of number, its examples have nine, so seven to nine are read. Some firmwares leave the line
// end out: there a line is whole with its unit. The shape says neither stillness
// nor overload.
type Prefix struct {
	Endless bool // no line end comes
}

const (
	prefixUnit = 2
	prefixMin  = 7 // characters of the number that are read
	prefixMax  = 9
)

// Name is "prefix" or "prefix-endless".
func (c Prefix) Name() string { return named("prefix", c.Endless, "-endless", UnitNone) }

// Split begins a line at ww or wn; further line ends carry nothing.
func (c Prefix) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	skip := 0
	for skip < len(data) && isLineEnd(data[skip]) {
		skip++
	}
	if skip > 0 {
		return skip, nil, nil
	}
	if c.Endless {
		return splitFrames(data, atEOF, 'w', prefixFrame)
	}
	return splitFrames(data, atEOF, 'w', prefixLine)
}

func prefixFrame(b []byte) int {
	if len(b) > 1 && b[1] != 'w' && b[1] != 'n' {
		return 0
	}
	i := 2
	for i < len(b) && (isDigit(b[i]) || b[i] == '.' || b[i] == '-' && i == 2) {
		i++
	}
	if i-2 > prefixMax || i < len(b) && i-2 < prefixMin {
		return 0
	}
	for _, c := range span(b, i, i+prefixUnit) {
		// A w here is the next line, and this one lost a byte.
		if !isText(c) || c == 'w' || isDigit(c) {
			return 0
		}
	}
	if i == len(b) {
		return needMore
	}
	return whole(b, i+prefixUnit)
}

// prefixLine takes the line end with the line, and leaves anything else.
func prefixLine(b []byte) int {
	n := prefixFrame(b)
	switch {
	case n <= 0:
		return n
	case n == len(b):
		return needMore
	case isLineEnd(b[n]):
		return n + 1
	}
	return n
}

// Decode reads one line.
func (c Prefix) Decode(piece []byte) (r Reading, err error) {
	err = c.read(piece, &r)
	return r, err
}

func (c Prefix) read(piece []byte, r *Reading) (err error) {
	if at, reason := c.decode(piece, r); reason != "" {
		*r, err = Reading{}, notAFrame(piece, at, reason)
	}
	return err
}

func (c Prefix) decode(piece []byte, r *Reading) (at int, reason string) {
	line := trimEnds(piece)
	if len(line) == 0 || line[0] != 'w' || prefixFrame(line) != len(line) {
		return 0, "a fragment or another shape: ww or wn, seven to nine characters of number and two of unit are expected"
	}
	if len(line) == len(piece) && !c.Endless {
		return len(piece) - 1, noLineEnd + "; there is a setting for scales that send none"
	}
	r.Mode = ModeGross
	if piece[1] == 'n' {
		r.Mode = ModeNet
	}
	unit := len(line) - prefixUnit
	var ok bool
	if r.Unit, ok = blankUnit(line[unit:]); !ok {
		return unit, "the unit is not known"
	}
	d, err := scanDecimal(line[2:unit])
	if err != nil {
		return 2, "the value is " + err.Error()
	}
	r.setNumber(d)
	return 0, ""
}

// Encode appends the line for a weight; units that no description names are
// written right-justified. The shape has no word for anything else: for that,
// and for a number that does not fit, nothing is sent.
func (c Prefix) Encode(dst []byte, r Reading) []byte {
	unit := r.Unit.String()
	if !sendable(r) || len(unit) > 2 {
		return dst
	}
	start := len(dst)
	dst = append(dst, 'w', 'w')
	if r.Mode == ModeNet {
		dst[start+1] = 'n'
	}
	width := 8
	if r.Number.Negative {
		dst = append(dst, '-')
		width--
	}
	dst, ok := appendField(dst, r.Number, width, '0')
	if !ok {
		return dst[:start]
	}
	if len(unit) < 2 {
		dst = append(dst, ' ')
	}
	dst = append(dst, unit...)
	if c.Endless {
		return dst
	}
	return append(dst, '\r', '\n')
}

// Request knows no command: none is described.
func (Prefix) Request(dst []byte, _ Request) ([]byte, bool) { return dst, false }

// ParseRequest drops whatever it is sent.
func (Prefix) ParseRequest(data []byte) (Request, int) { return RequestUnknown, len(data) }
