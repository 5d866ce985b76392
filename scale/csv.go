package scale

import "bytes"

// CSV reads lines of status, mode, signed value and unit with commas, a shape
// of many makers. Four column maps are in use; every one is read, and Map says
// which one Encode writes:
//
//	a   ST,GS,+  412.6 g CR LF      18 bytes, the usual one
//	b   ST,GS,+  412.6, g CR LF     a comma before the unit
//	c   ST,GS+  412.6, g CR LF      none between mode and sign
//	d   ST,GS    412.6 g   CR LF    no sign, no second comma, unit padded right
//
// Widths differ between makers, so the parts are found by what they are and
// not by their columns. The sign may stand far from the digits. Lines with
// totals are not the live weight. The shape has no commands that could be
// relied on: such scales stream, and the bench tares by itself.
type CSV struct {
	Map byte // 'a' to 'd'; zero is 'a'
}

// Name is "csv".
func (CSV) Name() string { return "csv" }

// lineEnds are CR, LF and ETX.
const lineEnds = "\r\n\x03"

// Split ends a line at CR, LF or ETX; any run of them is one end. A status with
// its comma inside a line begins a new one, so what stands before it is a piece
// of its own: a fragment, or noise from plugging in.
func (CSV) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	skip := 0
	for skip < len(data) && isLineEnd(data[skip]) {
		skip++
	}
	if skip > 0 {
		return skip, nil, nil
	}
	end := 0
	for end < len(data) && end < MaxPiece && !isLineEnd(data[end]) {
		end++
	}
	switch {
	case end == MaxPiece:
		// The last two bytes may be a status whose comma comes next.
		end -= 2
	case end < len(data):
		end++
	case !atEOF || end == 0:
		return 0, nil, nil
	}
	if at := csvLastStatus(data[:min(len(data), end+2)], end); at > 0 {
		end = at
	}
	return end, data[:end], nil
}

// csvLastStatus is where the last status with its comma begins before limit;
// 0 if there is none, or only the one in front.
func csvLastStatus(b []byte, limit int) int {
	var r Reading
	for at := min(limit, len(b)-2) - 1; at > 0; at-- {
		if b[at+2] == ',' && csvStatus(b[at:at+2], &r) {
			return at
		}
	}
	return 0
}

func isLineEnd(c byte) bool { return c == '\r' || c == '\n' || c == lineEnds[2] }

// Decode reads one line.
func (CSV) Decode(piece []byte) (Reading, error) {
	// Noise comes first: where the line end is damaged too, it is the cause.
	if at := firstUnprintable(piece, lineEnds); at >= 0 {
		return Reading{}, unprintableError(piece, at)
	}
	line := bytes.TrimRight(piece, lineEnds)
	if len(line) == len(piece) {
		return Reading{}, frameError(piece, max(len(piece)-1, 0), "a fragment: the line end is missing")
	}
	if len(line) < 8 || line[2] != ',' {
		return Reading{}, frameError(piece, 0, "a fragment or another shape: a line begins with two letters and a comma")
	}
	var r Reading
	if !csvStatus(line[:2], &r) {
		return Reading{}, frameError(piece, 0, "the status is none of ST, US, OL and QT")
	}
	rest, reason := csvMode(line[3:], &r)
	if reason != "" {
		return Reading{}, frameError(piece, 3, reason)
	}
	if at, reason := csvValue(rest, &r); reason != "" {
		return Reading{}, frameError(piece, len(line)-len(rest)+at, reason)
	}
	return r, nil
}

func csvStatus(s []byte, r *Reading) bool {
	switch string(s) {
	case "ST":
		r.Motion = MotionStill
	case "US":
		r.Motion = MotionMoving
	case "OL":
		r.Status = StatusOver
	case "QT":
		r.Motion, r.Status = MotionStill, StatusCount
	default:
		return false
	}
	return true
}

// csvMode reads the mode and the comma behind it, which map c and d leave out.
func csvMode(b []byte, r *Reading) (rest []byte, reason string) {
	switch string(b[:2]) {
	case "GS", "G ":
		r.Mode = ModeGross
	case "NT", "N ":
		r.Mode = ModeNet
	case "TR", "T ", "PT":
		r.Mode = ModeTare
	case "TW", "TN":
		return nil, "a total line, not the live weight"
	default:
		return nil, "the mode is none of GS, NT, TR and PT"
	}
	return bytes.TrimPrefix(b[2:], []byte(",")), ""
}

// csvValue reads sign, value, perhaps a comma, and unit. It gives the place
// and the reason of what is wrong.
func csvValue(b []byte, r *Reading) (at int, reason string) {
	end := 0
	for end < len(b) && (b[end] == ' ' || b[end] == '+' || b[end] == '-' || b[end] == '.' || b[end] >= '0' && b[end] <= '9') {
		end++
	}
	value, unit := bytes.Trim(b[:end], " "), b[end:]
	unit = bytes.TrimPrefix(unit, []byte(","))
	u, ok := ParseUnit(unit)
	if !ok {
		if len(trimPadding(unit)) == 0 {
			return end, "the unit is missing"
		}
		return end, "the unit is not known, or there is more than one number"
	}
	r.Unit = u
	d, err := scanDecimal(value)
	if r.Status == StatusOver && (err == nil || err == ErrNoNumber) {
		// All nines, or blanks with the point kept: no value either way. The
		// sign tells which end.
		if bytes.IndexByte(value, '-') == 0 {
			r.Status = StatusUnder
		}
		return 0, ""
	}
	if err != nil {
		return 0, "the value is " + err.Error()
	}
	r.Number, r.HasNumber = d, true
	if !u.IsMass() {
		r.Status = StatusCount
	}
	return 0, ""
}
