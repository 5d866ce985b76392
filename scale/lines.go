package scale

import "bytes"

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
	end := lineLength(data[:min(len(data), MaxPiece)])
	inner := 0 // where the last word with its mark begins, if one does
	for at := 0; at < end; at++ {
		next := bytes.IndexByte(data[at:end], mark)
		if next < 0 {
			break
		}
		at += next
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

// cutNumber cuts a line behind its first number, without the blanks around it.
// What is in front of behind may still be no number.
func cutNumber(b []byte) (number, behind []byte) {
	for len(b) > 0 && b[0] == ' ' {
		b = b[1:]
	}
	end := 0
	for end < len(b) && (isDigit(b[end]) || b[end] == '.' || b[end] == ' ' || b[end] == '-' || b[end] == '+') {
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
