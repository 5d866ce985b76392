package scale

import (
	"bytes"
	"math/bits"
)

// Letters reads answers that are a command letter, a status letter, a value and
// a unit with blanks between:
//
//	S S     412.60 g CR LF
//
// The value is right-justified in ten characters, but the parts are found by
// the runs of blanks. Status S is stable, D dynamic; an answer without a value
// has I for "not now", + for above and - for below the range. ES, ET and EL are
// errors (their meaning is given from memory). The value letter is S also in
// answer to SI. It is described in the manuals of laboratory balances.
type Letters struct{}

// Name is "letters".
func (Letters) Name() string { return "letters" }

const (
	lettersMark  = 4  // the start of a line with a value: "S S "
	lettersWidth = 10 // of the value
)

// Split ends a line at CR, LF or ETX; the start of a line with a value begins a
// new one wherever it comes.
func (Letters) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	text, marks := lineMarks(data[:min(len(data), MaxPiece)], 'S')
	advance, text = cutAt(data, atEOF, lettersMark-1, text)
	if text == 0 {
		return advance, nil, nil
	}
	limit := min(text, len(data)-lettersMark+1)
	for ; marks != 0; marks &= marks - 1 {
		if at := bits.TrailingZeros64(marks); at > 0 && at < limit && lettersStart(data[at:]) {
			advance = at // the last one counts
		}
	}
	return advance, data[:advance], nil
}

// lettersStart reports the four characters that begin a line with a value.
func lettersStart(b []byte) bool {
	return b[0] == 'S' && b[1] == ' ' && (b[2] == 'S' || b[2] == 'D') && b[3] == ' '
}

// Decode reads one answer.
func (Letters) Decode(piece []byte) (r Reading, err error) {
	if at, reason := lettersDecode(piece, &r); reason != "" {
		return Reading{}, refused(piece, lineEnds, at, reason)
	}
	return r, nil
}

func lettersDecode(piece []byte, r *Reading) (at int, reason string) {
	line := trimEnds(piece)
	if len(line) == len(piece) {
		return max(len(piece)-1, 0), noLineEnd
	}
	if len(line) < lettersMark || !lettersStart(line) {
		return lettersAnswer(line, r)
	}
	r.Motion = MotionStill
	if line[2] == 'D' {
		r.Motion = MotionMoving
	}
	end := len(line)
	for line[end-1] == ' ' && end > lettersMark {
		end--
	}
	unit := end
	for line[unit-1] != ' ' {
		unit--
	}
	last := unit
	for line[last-1] == ' ' && last > lettersMark {
		last--
	}
	first := skipBlanks(line, lettersMark)
	d, err := scanDecimal(line[min(first, last):last])
	if last-first > lettersWidth {
		return first, "the value is longer than ten characters"
	}
	if err != nil {
		return lettersMark, "the value is " + err.Error() + ", or the unit is missing"
	}
	var ok bool
	if r.Unit, ok = parseUnit(line[unit:end]); !ok {
		return unit, "the unit is not known"
	}
	r.setNumber(d)
	return 0, ""
}

// lettersAnswer reads what carries no value.
func lettersAnswer(line []byte, r *Reading) (at int, reason string) {
	switch string(bytes.TrimRight(line, " ")) {
	case "S I":
		r.Status = StatusNotReady
	case "S +":
		r.Status = StatusOver
	case "S -":
		r.Status = StatusUnder
	case "ES", "EL":
		r.Status = StatusUnknownCommand
	case "ET":
		r.Status = StatusDamagedCommand
	case "Z I", "ZI I", "Z +", "Z -", "ZI +", "ZI -":
		r.Status = StatusZeroError
	case "T I", "TI I", "T +", "T -", "TI +", "TI -":
		r.Status = StatusTareError
	case "Z A", "ZI S", "ZI D", "TAC A":
		r.Status = StatusInfo
	default:
		return 0, "neither an answer nor a weight: a line begins with S and S or D"
	}
	return 0, ""
}

// Encode appends the line for a reading, and nothing where the shape has no
// word for it.
func (Letters) Encode(dst []byte, r Reading) []byte {
	switch r.Status {
	case StatusOver:
		return append(dst, "S +\r\n"...)
	case StatusUnder:
		return append(dst, "S -\r\n"...)
	case StatusNotReady:
		return append(dst, "S I\r\n"...)
	case StatusZeroError:
		return append(dst, "Z I\r\n"...)
	case StatusTareError:
		return append(dst, "T I\r\n"...)
	case StatusUnknownCommand:
		return append(dst, "ES\r\n"...)
	case StatusDamagedCommand:
		return append(dst, "ET\r\n"...)
	case StatusInfo:
		return append(dst, "Z A\r\n"...)
	}
	var buf [24]byte
	number := r.Number.Append(buf[:0])
	if !showsNumber(r) || len(number) > lettersWidth {
		return dst
	}
	mark := "S S "
	if r.Motion == MotionMoving {
		mark = "S D "
	}
	dst = append(dst, mark...)
	for n := len(number); n < lettersWidth; n++ {
		dst = append(dst, ' ')
	}
	dst = append(append(dst, number...), ' ')
	return append(append(dst, r.Unit.String()...), '\r', '\n')
}

// lettersCommands ask at once rather than when stable, because a weight that
// pours is never stable.
var lettersCommands = []command{
	{RequestWeight, "SI"}, {RequestStream, "SIR"}, {RequestZero, "ZI"}, {RequestTare, "TI"},
	{RequestClearTare, "TAC"}, {RequestReset, "@"},
}

// Request appends the command with CR LF.
func (Letters) Request(dst []byte, r Request) ([]byte, bool) {
	return appendCommand(dst, r, lettersCommands)
}

// ParseRequest is the scale's side.
func (Letters) ParseRequest(data []byte) (Request, int) { return parseCommand(data, lettersCommands) }
