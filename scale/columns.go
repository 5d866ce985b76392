package scale

// cutLine finds the next line for shapes whose lines end in CR, LF or ETX. text
// is its length without the end, advance the bytes to take; advance is more than
// text where an end was seen. A run of ends gives text 0. Of a line that is
// longer than a piece the last keep bytes stay, because a frame may begin there.
func cutLine(data []byte, atEOF bool, keep int) (advance, text int) {
	return cutAt(data, atEOF, keep, lineLength(data[:min(len(data), MaxPiece)]))
}

// cutAt is cutLine where the length of the line is known already.
func cutAt(data []byte, atEOF bool, keep, length int) (advance, text int) {
	n := min(len(data), MaxPiece)
	text = length
	switch {
	case text == 0 && n > 0:
		for advance < len(data) && isLineEnd(data[advance]) {
			advance++
		}
		return advance, 0
	case text < n:
		return text + 1, text
	case n == MaxPiece:
		return MaxPiece - keep, MaxPiece - keep
	case atEOF:
		return n, n
	}
	return 0, 0
}

// splitSigned is Split for lines of one width that begin with a sign: what
// stands before the last width characters of a longer line is a piece of its
// own, if a sign begins them. Without one it can not be told where they begin.
func splitSigned(data []byte, atEOF bool, width int) (advance int, piece []byte, err error) {
	advance, text := cutLine(data, atEOF, width)
	if text == 0 {
		return advance, nil, nil
	}
	if at := text - width; at > 0 && advance > text && (data[at] == '+' || data[at] == '-') {
		advance = at
	}
	return advance, data[:advance], nil
}

// scanField reads a number that is right-justified in its field, sign included.
func scanField(field []byte) (Decimal, error) {
	return scanDecimal(field[skipBlanks(field, 0):])
}

// scanUnsigned is scanField for a field whose sign stands elsewhere. A sign
// behind the first character is no part of a number anyway.
func scanUnsigned(field []byte) (Decimal, error) {
	at := skipBlanks(field, 0)
	if at < len(field) && (field[at] == '-' || field[at] == '+') {
		return Decimal{}, ErrNumber
	}
	return scanDecimal(field[at:])
}

// allBlank reports a field of blanks.
func allBlank(field []byte) bool {
	for _, c := range field {
		if c != ' ' {
			return false
		}
	}
	return true
}

// setNumber completes a reading with a number whose unit is set. What is counted
// or compared is no weight.
func (r *Reading) setNumber(d Decimal) {
	r.Number, r.HasNumber = d, true
	if !r.Unit.IsMass() && r.Unit != UnitNone {
		r.Status = StatusCount
	}
}

// showsNumber tells whether the line for a reading may carry its number: a live
// weight, or a count with a unit that says so. Shapes that have no word for a
// stored tare or an error send nothing for it, so that it is taken for nothing.
func showsNumber(r Reading) bool {
	switch {
	case !r.HasNumber || r.Mode == ModeTare:
		return false
	case r.Status == StatusCount:
		return r.Unit == UnitPieces || r.Unit == UnitPercent
	}
	return r.Status <= StatusZero && r.Unit.IsMass()
}

// appendRight appends a number without its sign, right-justified. ok is false
// where it does not fit, and then the line must not be sent.
func appendRight(dst []byte, d Decimal, width int, pad byte) (out []byte, ok bool) {
	var buf [24]byte
	d.Negative = false
	number := d.Append(buf[:0])
	for n := len(number); n < width; n++ {
		dst = append(dst, pad)
	}
	return append(dst, number...), len(number) <= width
}

// appendLeft appends text, filled up with blanks to a width.
func appendLeft(dst []byte, text string, width int) []byte {
	dst = append(dst, text...)
	for n := len(text); n < width; n++ {
		dst = append(dst, ' ')
	}
	return dst
}

// signOf is the sign that a line shows for a number.
func signOf(d Decimal, plus byte) byte {
	if d.Negative {
		return '-'
	}
	return plus
}

// command is a request and the text that a scale obeys, without its end.
type command struct {
	request Request
	text    string
}

// appendCommand appends the text of a request with CR LF.
func appendCommand(dst []byte, r Request, known []command) ([]byte, bool) {
	for _, c := range known {
		if c.request == r {
			return append(append(dst, c.text...), '\r', '\n'), true
		}
	}
	return dst, false
}

// parseCommand is the scale's side of appendCommand.
func parseCommand(data []byte, known []command) (Request, int) {
	for i, c := range data {
		switch {
		case c == '\n':
			line := trimEnds(data[:i])
			for _, k := range known {
				if string(line) == k.text {
					return k.request, i + 1
				}
			}
			return RequestUnknown, i + 1
		case i >= MaxPiece:
			return RequestUnknown, len(data)
		}
	}
	return RequestUnknown, 0
}
