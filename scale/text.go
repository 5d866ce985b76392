package scale

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/bits"
)

// AppendEscaped appends bytes as text: printable ASCII as it is, \r, \n and \\
// for CR, LF and the backslash, \xNN for every other byte. Nothing is taken for
// a letter of a larger alphabet, so the bytes can be told from the text.
func AppendEscaped(dst, data []byte) []byte {
	for _, b := range data {
		switch {
		case b == '\r':
			dst = append(dst, `\r`...)
		case b == '\n':
			dst = append(dst, `\n`...)
		case b == '\\':
			dst = append(dst, `\\`...)
		case b < 0x20 || b >= 0x7F:
			dst = fmt.Appendf(dst, `\x%02x`, b)
		default:
			dst = append(dst, b)
		}
	}
	return dst
}

// firstUnprintable is the place of the first byte that no line of text has:
// control characters, and everything with the high bit; -1 if there is none.
// The bytes of ends are allowed at both ends of the piece.
func firstUnprintable(piece []byte, ends string) int {
	body := bytes.TrimLeft(piece, ends)
	for i, c := range bytes.TrimRight(body, ends) {
		if !isPrintable(c) {
			return len(piece) - len(body) + i
		}
	}
	return -1
}

func isPrintable(c byte) bool { return c >= ' ' && c < 0x7F }

// refused is the error for a piece that is wrong at a place. Noise comes first:
// where a piece holds a byte that no line has, that is the cause of the rest.
// So a codec scans for noise only in what it refuses.
func refused(piece []byte, ends string, at int, reason string) error {
	if noise := firstUnprintable(piece, ends); noise >= 0 {
		return unprintableError(piece, noise)
	}
	return frameError(piece, at, reason)
}

// unprintableError says what such a byte most likely means. It is off the live
// path and may look at the whole piece.
func unprintableError(piece []byte, at int) error {
	reason := "a byte that is no text: noise on the line, or the wrong speed"
	switch c := piece[at]; {
	case c == 0:
		reason = "a zero byte inside a line: a framing or parity fault, the number can not be trusted"
	case c >= 0x80 && sameParity(piece):
		reason = "looks like 7 data bits with parity read as 8 bits: set the format to 7e1 or 7o1"
	}
	return frameError(piece, at, reason)
}

// lineEnds are CR, LF and ETX.
const lineEnds = "\r\n\x03"

// Reasons that several shapes share. notText only says that refused will find
// the byte and the cause.
const (
	noLineEnd = "a fragment: the line end is missing"
	notText   = "a byte that is no text"
)

func isLineEnd(c byte) bool { return c <= '\r' && (c == '\r' || c == '\n' || c == lineEnds[2]) }

// lineLength is how many bytes stand in front of the first line end, all of them
// if there is none. It looks at eight at a time: a byte below 0x0E borrows into
// the top bit of its place, and the lowest such place is never a false one.
func lineLength(b []byte) int {
	const each, below, top = 0x0101010101010101, 0x0E, 0x8080808080808080
	at := 0
	for at+8 <= len(b) {
		x := binary.LittleEndian.Uint64(b[at:])
		hit := (x - each*below) & ^x & top
		if hit == 0 {
			at += 8
			continue
		}
		if at += bits.TrailingZeros64(hit) / 8; isLineEnd(b[at]) {
			return at
		}
		at++
	}
	for at < len(b) && !isLineEnd(b[at]) {
		at++
	}
	return at
}

// lineMarks is lineLength, and tells besides where in the line a mark stands: bit
// i of marks is set for b[i]. b is at most a piece, which has as many bytes as
// marks has bits. Both are found in one pass, because nearly every line has marks
// that begin nothing, and a search that starts again behind each costs more.
func lineMarks(b []byte, mark byte) (end int, marks uint64) {
	const each, below, low, top = 0x0101010101010101, 0x0E, 0x7F7F7F7F7F7F7F7F, 0x8080808080808080
	const gather = 0x0102040810204080 // brings the lowest bits of eight bytes into the highest byte
	same := each * uint64(mark)
	at := 0
	for ; at < len(b) && len(b) >= 8; at += 8 {
		at = min(at, len(b)-8) // the last eight overlap those before: no byte is left over
		x := binary.LittleEndian.Uint64(b[at:])
		y := x ^ same // zero where the mark is; no place carries into the next
		hit := ^((y&low + low) | y) & top
		marks |= hit >> 7 * gather >> 56 << (at & 63)
		if stop := (x - each*below) &^ x & top; stop != 0 {
			if end = at + bits.TrailingZeros64(stop)/8; isLineEnd(b[end]) {
				return end, marks & (1<<end - 1)
			}
			break // another control character: byte by byte from here
		}
	}
	for ; at < len(b) && !isLineEnd(b[at]); at++ {
		if b[at] == mark {
			marks |= 1 << (at & 63)
		}
	}
	return at, marks & (1<<at - 1)
}

// textLength is how many bytes of text stand in front of the first that is none,
// eight at a time as in lineLength. Outside of isText are what borrows, what has
// the top bit, and 7Fh, which gets it from one more.
func textLength(b []byte) int {
	const each, below, top = 0x0101010101010101, ' ', 0x8080808080808080
	at := 0
	for ; at+8 <= len(b); at += 8 {
		x := binary.LittleEndian.Uint64(b[at:])
		if hit := (x - each*below | x | (x + each)) & top; hit != 0 {
			return at + bits.TrailingZeros64(hit)/8
		}
	}
	for at < len(b) && isText(b[at]) {
		at++
	}
	return at
}

// trimEnds cuts the line ends from the end of a piece.
func trimEnds(piece []byte) []byte {
	n := len(piece)
	for n > 0 && isLineEnd(piece[n-1]) {
		n--
	}
	return piece[:n]
}

// sameParity reports that all bytes have an even number of bits, or all an odd
// one: what a 7-bit line with parity looks like when it is read as 8 bits.
func sameParity(b []byte) bool {
	odd := 0
	for _, c := range b {
		odd += bits.OnesCount8(c) & 1
	}
	return len(b) >= 4 && (odd == 0 || odd == len(b))
}
