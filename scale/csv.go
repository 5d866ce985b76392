package scale

import "math/bits"

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

// Name is "csv", and with the map behind it for the others: "csv-b".
func (c CSV) Name() string {
	switch c.Map {
	case 'b':
		return "csv-b"
	case 'c':
		return "csv-c"
	case 'd':
		return "csv-d"
	}
	return "csv"
}

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
	end, commas := lineMarks(data[:min(len(data), MaxPiece)], ',')
	commas &^= 7 // the one behind the line's own status begins nothing
	inner := 0   // where the last status with its comma begins, if one does
	for ; commas != 0; commas &= commas - 1 {
		if at := bits.TrailingZeros64(commas); csvIsStatus(data[at-2], data[at-1]) {
			inner = at - 2
		}
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
	if inner > 0 {
		end = inner
	}
	return end, data[:end], nil
}

// Decode reads one line.
func (CSV) Decode(piece []byte) (r Reading, err error) {
	err = csvRead(piece, &r)
	return r, err
}

func csvRead(piece []byte, r *Reading) (err error) {
	if at, reason := csvDecode(piece, r); reason != "" {
		*r, err = Reading{}, refused(piece, lineEnds, at, reason)
	}
	return err
}

func csvDecode(piece []byte, r *Reading) (at int, reason string) {
	line := trimEnds(piece)
	if len(line) == len(piece) {
		return max(len(piece)-1, 0), noLineEnd
	}
	if len(line) < 8 || line[2] != ',' {
		return 0, "a fragment or another shape: a line begins with two letters and a comma"
	}
	if !csvStatus(line[:2], r) {
		return 0, "the status is none of ST, US, OL and QT"
	}
	rest, reason := csvMode(line[3:], r)
	if reason != "" {
		return 3, reason
	}
	at, reason = csvValue(rest, r)
	return len(line) - len(rest) + at, reason
}

func csvIsStatus(a, b byte) bool {
	switch uint16(a)<<8 | uint16(b) {
	case 'S'<<8 | 'T', 'U'<<8 | 'S', 'O'<<8 | 'L', 'Q'<<8 | 'T':
		return true
	}
	return false
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
	if b = b[2:]; b[0] == ',' {
		b = b[1:]
	}
	return b, ""
}

// csvValue reads sign, value, perhaps a comma, and unit. It gives the place
// and the reason of what is wrong.
func csvValue(b []byte, r *Reading) (at int, reason string) {
	start := skipBlanks(b, 0)
	if d, u, ok := scanWeight(b[start:], ','); ok && r.Status != StatusOver {
		r.Unit = u
		r.setNumber(d)
		return 0, ""
	}
	end := start
	for end < len(b) && inNumber(b[end]) {
		end++
	}
	unit, last := b[end:], end
	for last > start && b[last-1] == ' ' {
		last--
	}
	if len(unit) > 0 && unit[0] == ',' {
		unit = unit[1:]
	}
	unit = trimBlanks(unit)
	u, ok := parseUnit(unit)
	if !ok {
		if len(unit) == 0 {
			return end, "the unit is missing"
		}
		return end, "the unit is not known, or there is more than one number"
	}
	r.Unit = u
	d, err := scanDecimal(b[start:last])
	if r.Status == StatusOver && (err == nil || err == ErrNoNumber) {
		// All nines, or blanks with the point kept: no value either way. The
		// sign tells which end.
		if b[start] == '-' {
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
