package scale

// Trailing reads lines of a right-justified value, a unit, a mark and perhaps a
// legend:
//
//	412.60 g ?   NET CR LF
//
// The widths differ with the unit and the point, and between older and newer
// balances whose manuals describe the shape, so the parts are found by what they
// are. What holds everywhere is asked for: the value ends at the 9th to 12th
// character, its sign stands beside it, and at least one blank stands before it.
// A line that begins with a digit may have lost the one in front, and is refused.
// A ? behind the unit says unstable; on some it also says "below the least weight",
// and then the bench waits in vain, which is right. Of the legends NET is read, a
// time is passed over, and TOTAL is not the live weight. No form for an overload
// is described. ES comes when a wait for stillness is given up.
type Trailing struct{}

// The value ends between these columns: 9 characters of older balances, 10 to 12
// of newer ones.
const (
	trailingMin = 9
	trailingMax = 12
)

// Name is "trailing".
func (Trailing) Name() string { return "trailing" }

// Split ends a line at CR, LF or ETX. Nothing marks the beginning of a line, so
// junk without an end costs the line behind it.
func (Trailing) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	advance, text := cutLine(data, atEOF, 0)
	if text == 0 {
		return advance, nil, nil
	}
	return advance, data[:advance], nil
}

// Decode reads one line.
func (Trailing) Decode(piece []byte) (r Reading, err error) {
	if at, reason := trailingDecode(piece, &r); reason != "" {
		return Reading{}, refused(piece, lineEnds, at, reason)
	}
	return r, nil
}

func trailingDecode(piece []byte, r *Reading) (at int, reason string) {
	line := trimEnds(piece)
	switch {
	case len(line) == len(piece):
		return max(len(piece)-1, 0), noLineEnd
	case len(line) >= 2 && line[0] == 'E' && line[1] == 'S' && allBlank(line[2:]):
		r.Status = StatusNotReady
		return 0, ""
	case len(line) == 0 || line[0] != ' ':
		return 0, "the line does not begin with a blank: its first characters may be missing"
	}
	start := skipBlanks(line, 0)
	d, n, err := scanWord(line[start:])
	end := start + n
	if end < trailingMin || end > trailingMax {
		return start, "the value does not end at the 9th to 12th character"
	}
	if err != nil {
		return start, "the value is " + err.Error()
	}
	unit := skipBlanks(line, end)
	behind := skipWord(line, unit)
	var ok bool
	if r.Unit, ok = parseUnit(line[unit:behind]); !ok {
		return unit, "the unit is missing or not known"
	}
	r.Motion = MotionStill
	if mark := skipBlanks(line, behind); mark < len(line) {
		if line[mark] == '?' {
			r.Motion = MotionMoving
			behind, mark = mark+1, skipBlanks(line, mark+1)
		}
		if !trailingLegend(line[behind:], line[mark:], r) {
			return mark, "what stands behind the unit is no mark and no legend of a live weight"
		}
	}
	r.setNumber(d)
	return 0, ""
}

// trailingLegend reads the legend; gap begins with the blanks in front of it.
func trailingLegend(gap, legend []byte, r *Reading) bool {
	for len(legend) > 0 && legend[len(legend)-1] == ' ' {
		legend = legend[:len(legend)-1]
	}
	switch {
	case len(legend) == 0:
		return true
	case gap[0] != ' ':
		return false
	case string(legend) == "NET":
		r.Mode = ModeNet
		return true
	}
	return isTime(legend)
}

// isTime reports hours and minutes, and perhaps seconds, with colons.
func isTime(b []byte) bool {
	if len(b) != 5 && len(b) != 8 {
		return false
	}
	for i, c := range b {
		if i%3 == 2 && c != ':' || i%3 != 2 && c-'0' > 9 {
			return false
		}
	}
	return true
}

func skipBlanks(b []byte, at int) int {
	for at < len(b) && b[at] == ' ' {
		at++
	}
	return at
}

func skipWord(b []byte, at int) int {
	for at < len(b) && b[at] != ' ' {
		at++
	}
	return at
}

// Encode appends the line for a reading, and nothing where the shape has no
// word for it.
func (Trailing) Encode(dst []byte, r Reading) []byte {
	if r.Status == StatusNotReady {
		return append(dst, "ES\r\n"...)
	}
	var buf [24]byte
	number := r.Number.Append(buf[:0])
	if !showsNumber(r) || len(number) >= trailingMax {
		return dst
	}
	dst = append(dst, ' ') // a reader needs it, to see that nothing is missing
	for n := len(number); n < trailingMax-2; n++ {
		dst = append(dst, ' ')
	}
	dst = append(append(append(dst, number...), ' '), r.Unit.String()...)
	mark, legend := byte(' '), ""
	if r.Motion == MotionMoving {
		mark = '?'
	}
	if r.Mode == ModeNet {
		legend = " NET"
	}
	return append(append(append(dst, ' ', mark), legend...), '\r', '\n')
}

// trailingCommands are given from memory: no document was at hand.
var trailingCommands = []command{{RequestWeight, "IP"}, {RequestStream, "CP"}}

// Request appends the command with CR LF.
func (Trailing) Request(dst []byte, r Request) ([]byte, bool) {
	return appendCommand(dst, r, trailingCommands)
}

// ParseRequest is the scale's side.
func (Trailing) ParseRequest(data []byte) (Request, int) { return parseCommand(data, trailingCommands) }
