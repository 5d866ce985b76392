package scale

import (
	"bytes"
	"math/bits"
)

// splitLines is Split for shapes of lines with a word in them that begins a new
// line wherever it comes: word, in lower case, and behind it the byte mark. Runs
// of line ends carry nothing. cut is how many bytes of a word may stand at the
// end of the longest piece before its mark is seen.
func splitLines(data []byte, atEOF bool, cut int, mark byte, word string) (advance int, piece []byte, err error) {
	skip := 0
	for skip < len(data) && isLineEnd(data[skip]) {
		skip++
	}
	if skip > 0 {
		return skip, nil, nil
	}
	end, marks := lineMarks(data[:min(len(data), MaxPiece)], mark)
	inner := 0 // where the last word with its mark begins, if one does
	for ; marks != 0; marks &= marks - 1 {
		at := bits.TrailingZeros64(marks)
		if begin := at - len(word); begin > 0 && lowerIs(data[begin:at], word) {
			inner = begin
		}
	}
	switch {
	case end == MaxPiece:
		end -= cut
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

func lowerIs(b []byte, word string) bool {
	for i, c := range b {
		if c|0x20 != word[i] {
			return false
		}
	}
	return true
}

func isLetter(c byte) bool { return c|0x20-'a' <= 'z'-'a' }

// wholeLine cuts the line end, which must be there, and at least one character
// before it.
func wholeLine(piece []byte) (line []byte, at int, reason string) {
	end := len(piece)
	for end > 0 && isLineEnd(piece[end-1]) {
		end--
	}
	switch {
	case end == len(piece):
		return nil, max(end-1, 0), "a fragment: the line end is missing"
	case end == 0:
		return nil, 0, "an empty line"
	}
	return piece[:end], 0, ""
}

// lineError says why a line is refused: a byte that no line has, if there is
// one, else the reason given.
func lineError(piece []byte, at int, reason string) error {
	if bad := firstUnprintable(piece, "\r\n\x03"); bad >= 0 {
		return unprintableError(piece, bad)
	}
	return frameError(piece, at, reason)
}

// inNumber tells what a field with a number is made of: digits, blanks, signs and
// the point. They lie close together, so that a bit for each answers at once.
func inNumber(c byte) bool {
	const digits, blank, others = 0x3FF << ('0' - ' '), 1, 1<<('+'-' ') | 1<<('-'-' ') | 1<<('.'-' ')
	return c-' ' <= '9'-' ' && (digits|blank|others)>>(c-' ')&1 != 0
}

// cutNumber cuts a line behind its first number, without the blanks around it.
// What is in front of behind may still be no number.
func cutNumber(b []byte) (number, behind []byte) {
	b = b[skipBlanks(b, 0):]
	end := 0
	for end < len(b) && inNumber(b[end]) {
		end++
	}
	behind = b[end:]
	for end > 0 && b[end-1] == ' ' {
		end--
	}
	return b[:end], behind
}

// dashes reports a display that shows a row of dashes.
func dashes(value []byte) bool {
	return len(value) >= 2 && value[0] == '-' && bytes.Count(value, []byte{'-'}) == len(value)
}
