package scale

import (
	"bytes"
	"encoding/binary"
)

// The control characters that frame the shapes with a mark at their start.
const (
	byteSOH = 0x01
	byteSTX = 0x02
	byteETX = 0x03
	byteEOT = 0x04
	byteENQ = 0x05
	byteACK = 0x06
	byteDC1 = 0x11
)

// needMore is the answer of a matcher whose bytes may yet become a frame.
const needMore = -1

// splitFrames is Split for a shape whose frames begin with mark. match gets
// bytes that begin with it and tells how long the whole frame is, 0 when none
// begins there, or needMore. It looks at what each byte may be and not at
// checksums, so that a frame whose checksum is wrong is still one piece. What
// stands before the next frame is junk: a fragment costs no frame behind it.
func splitFrames(data []byte, atEOF bool, mark byte, match func([]byte) int) (advance int, piece []byte, err error) {
	if len(data) == 0 {
		return 0, nil, nil
	}
	n := 0
	if data[0] == mark {
		n = match(data)
	}
	switch {
	case n > 0:
		return n, data[:n], nil
	case n == needMore && !atEOF:
		return 0, nil, nil
	}
	end := nextFrame(data[:min(len(data), MaxPiece)], atEOF, mark, match)
	if bareLineEnds(data[:end]) {
		return end, nil, nil
	}
	return end, data[:end], nil
}

// bareLineEnds reports bytes that carry nothing.
func bareLineEnds(b []byte) bool {
	for _, c := range b {
		if c != '\r' && c != '\n' {
			return false
		}
	}
	return true
}

// nextFrame is where the junk in front of window ends: at the next mark where a
// frame begins or may begin, or with the window; 0 if more bytes must tell. It
// sees no more than the longest piece, so that no cut of the stream matters.
func nextFrame(window []byte, atEOF bool, mark byte, match func([]byte) int) int {
	full := len(window) == MaxPiece
	for at := 1; ; at++ {
		i := bytes.IndexByte(window[at:], mark)
		if i < 0 {
			break
		}
		at += i
		switch n := match(window[at:]); {
		case n > 0, n == needMore && full:
			return at
		case n == needMore && !atEOF:
			return 0
		}
	}
	if full || atEOF {
		return len(window)
	}
	return 0
}

// notAFrame says why a piece is none: a byte that no line has, if there is one,
// else the reason given.
func notAFrame(piece []byte, at int, reason string) error {
	for i, c := range piece {
		if c == 0 || c >= 0x80 {
			return unprintableError(piece, i)
		}
	}
	return frameError(piece, at, reason)
}

// named adds to the name of a family what is set, so that no two have one name.
func named(name string, set bool, suffix string, unit Unit) string {
	if set {
		name += suffix
	}
	if unit != UnitNone {
		name += "-" + unit.String()
	}
	return name
}

// isDigit, isText: what the columns of a frame may hold.
func isDigit(c byte) bool { return c-'0' <= 9 }
func isText(c byte) bool  { return c-' ' < 0x7F-' ' }

// span is b[from:to], as far as it is there.
func span(b []byte, from, to int) []byte {
	return b[min(from, len(b)):min(to, len(b))]
}

// allDigits, allText: whether all bytes are what columns of a frame may hold.
func allDigits(b []byte) bool {
	for _, c := range b {
		if !isDigit(c) {
			return false
		}
	}
	return true
}

// eightDigits is allDigits for the first eight bytes, at once: each is 30h to
// 3Fh, and adding six leaves only the digits there.
func eightDigits(b []byte) bool {
	const high, digit, six = 0xF0F0F0F0F0F0F0F0, 0x3030303030303030, 0x0606060606060606
	v := binary.LittleEndian.Uint64(b)
	return v&high == digit && (v+six)&high == digit
}

// Of less than eight bytes each is asked; else the last eight are asked once more,
// so that none is left over.
func allText(b []byte) bool {
	at := 0
	for ; len(b)-at >= 8; at += 8 {
		if !areText(binary.LittleEndian.Uint64(b[at:])) {
			return false
		}
	}
	if at > 0 {
		return areText(binary.LittleEndian.Uint64(b[len(b)-8:]))
	}
	for _, c := range b {
		if !isText(c) {
			return false
		}
	}
	return true
}

// areText asks eight bytes at once: what is no text borrows, has the top bit, or is
// 7Fh, which gets it from one more.
func areText(x uint64) bool {
	const each, top = 0x0101010101010101, 0x8080808080808080
	return (x-each*' '|x|(x+each))&top == 0
}

// whole is the answer of a matcher that has looked at all bytes that are there
// and found no fault.
func whole(b []byte, length int) int {
	if len(b) < length {
		return needMore
	}
	return length
}

// sendable reports whether a reading is a live weight. A shape that has no word
// for anything else sends nothing for it, so that nothing else is taken for one.
func sendable(r Reading) bool {
	return r.HasNumber && r.Status <= StatusZero && r.Mode != ModeTare && r.Unit.IsMass()
}

// appendField appends the number without its sign, right-justified. ok is false
// and dst as it was if it does not fit.
func appendField(dst []byte, d Decimal, width int, pad byte) (out []byte, ok bool) {
	var buf [24]byte
	d.Negative = false
	number := d.Append(buf[:0])
	if len(number) > width {
		return dst, false
	}
	for n := len(number); n < width; n++ {
		dst = append(dst, pad)
	}
	return append(dst, number...), true
}

// appendUnit appends the unit, filled up with blanks behind it.
func appendUnit(dst []byte, u Unit, width int) []byte {
	name := u.String()
	dst = append(dst, name...)
	for n := len(name); n < width; n++ {
		dst = append(dst, ' ')
	}
	return dst
}

// appendDigits appends six digits without a point. ok is false and dst as it
// was if the number has more.
func appendDigits(dst []byte, coefficient uint64) (out []byte, ok bool) {
	if coefficient > 999_999 {
		return dst, false
	}
	for div := uint64(100_000); div > 0; div /= 10 {
		dst = append(dst, byte('0'+coefficient/div%10))
	}
	return dst, true
}
