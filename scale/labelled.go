package scale

// Labelled reads prints of several lines, shape S16, read by a public package:
//
//	2031-05-04 10:22
//	Gross: 412.6 g
//	Tare: 185.0 g
//	Net: 227.6 g
//
// Only the line with the wanted label is a weight, never the largest number.
// GS and NT stand for the labels too; GT is seen and not explained, so it is no
// weight. The other lines of a print are answers without a weight, and a tare is
// a tare. Labels in any case, the colon and the blanks around it may be missing.
// The shape says neither stillness nor overload.
type Labelled struct {
	Label Mode // ModeGross or ModeNet; ModeUnknown is gross
}

// labelledWord is the longest label that Split looks for.
const labelledWord = 5

// Name is "labelled-gross" or "labelled-net".
func (c Labelled) Name() string { return "labelled-" + c.wanted().String() }

func (c Labelled) wanted() Mode {
	if c.Label == ModeNet {
		return ModeNet
	}
	return ModeGross
}

// Split ends a line at CR, LF or ETX. The wanted label with its colon begins a
// new piece wherever it comes, so noise in front costs no line.
func (c Labelled) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	label := "gross"
	if c.wanted() == ModeNet {
		label = "net"
	}
	return splitLines(data, atEOF, labelledWord, ':', label)
}

// Decode reads one line.
func (c Labelled) Decode(piece []byte) (r Reading, err error) {
	err = c.read(piece, &r)
	return r, err
}

func (c Labelled) read(piece []byte, r *Reading) (err error) {
	if at, reason := c.decode(piece, r); reason != "" {
		*r, err = Reading{}, lineError(piece, at, reason)
	}
	return err
}

func (c Labelled) decode(piece []byte, r *Reading) (at int, reason string) {
	line, at, reason := wholeLine(piece)
	if reason != "" {
		return at, reason
	}
	n := 0
	for n < len(line) && isLetter(line[n]) {
		n++
	}
	mode, known := labelledMode(line[:n])
	switch {
	case n == 0 && isDate(line), known && mode != c.wanted() && mode != ModeTare:
		if at := firstUnprintable(line, ""); at >= 0 {
			return at, notText
		}
		r.Status = StatusInfo
		return 0, ""
	case !known:
		return 0, "a fragment or another shape: no label that is known"
	}
	rest := line[skipBlanks(line, n):]
	if len(rest) > 0 && rest[0] == ':' {
		rest = rest[1:]
	}
	r.Mode = mode
	if d, u, ok := scanWeight(rest[skipBlanks(rest, 0):], ' '); ok {
		r.Unit = u
		r.setNumber(d)
		return 0, ""
	}
	value, unit := cutNumber(rest)
	if dashes(value) {
		r.Status = StatusNotReady
		return 0, ""
	}
	if r.Unit, known = blankUnit(unit); !known {
		return len(line) - len(unit), "the unit is missing or not known, or there is more than one number"
	}
	d, err := scanDecimal(value)
	if err != nil {
		return len(line) - len(rest), "the value is " + err.Error()
	}
	r.setNumber(d)
	return 0, ""
}

// labelledMode reads a label in any case. ModeUnknown with ok is a label that is
// known and no weight.
func labelledMode(label []byte) (m Mode, ok bool) {
	var buf [labelledWord]byte
	if len(label) > len(buf) {
		return ModeUnknown, false
	}
	for i, c := range label {
		buf[i] = c | 0x20
	}
	switch string(buf[:len(label)]) {
	case "gross", "gs":
		return ModeGross, true
	case "net", "nt":
		return ModeNet, true
	case "tare":
		return ModeTare, true
	case "gt", "date", "time":
		return ModeUnknown, true
	}
	return ModeUnknown, false
}

// isDate reports a line of digits with at least two marks between them, and no
// number that could be a weight.
func isDate(line []byte) bool {
	marks := 0
	for _, c := range line {
		switch {
		case c == '-' || c == '/' || c == ':' || c == '.':
			marks++
		case c != ' ' && !isDigit(c):
			return false
		}
	}
	return marks >= 2 && isDigit(line[0])
}

// Encode appends the line of a print that says the reading: "Gross: 412.6 g".
// The shape has no word for anything but weights; for the rest nothing is sent.
func (c Labelled) Encode(dst []byte, r Reading) []byte {
	if !r.HasNumber || r.Status > StatusZero || !r.Unit.IsMass() {
		return dst
	}
	mode := r.Mode
	if mode == ModeUnknown {
		mode = c.wanted()
	}
	dst = append(dst, [...]string{"", "Gross: ", "Net: ", "Tare: "}[mode&3]...)
	dst = append(r.Number.Append(dst), ' ')
	return append(append(dst, r.Unit.String()...), '\r', '\n')
}

// Request knows no command: none is described.
func (Labelled) Request(dst []byte, _ Request) ([]byte, bool) { return dst, false }

// ParseRequest drops whatever it is sent.
func (Labelled) ParseRequest(data []byte) (Request, int) { return RequestUnknown, len(data) }
