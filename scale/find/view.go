package find

import "math/bits"

// view is a way to look at bytes that were heard with 8 bits and no parity: with
// 7 bits on the line, the eighth is whatever follows them.
type view byte

const (
	view8    view = iota // 8 bits
	viewEven             // 7 bits and even parity
	viewOdd              // 7 bits and odd parity
	viewMark             // 7 bits and the first of two stop bits
)

// at is the setting that the line must have to be looked at so.
func (v view) at(baud int) Setting {
	switch v {
	case viewEven:
		return Setting{baud, 7, 'e', 1}
	case viewOdd:
		return Setting{baud, 7, 'o', 1}
	case viewMark:
		return Setting{baud, 7, 'n', 2}
	}
	return raw(baud)
}

// apply gives the bytes as they would come with that setting: seven bits, and
// zero where the eighth is wrong.
func (v view) apply(data []byte) []byte {
	if v == view8 {
		return data
	}
	out := make([]byte, len(data))
	for i, c := range data {
		if v.fits(c) {
			out[i] = c & 0x7F
		}
	}
	return out
}

func (v view) fits(c byte) bool {
	switch v {
	case viewEven:
		return bits.OnesCount8(c)&1 == 0
	case viewOdd:
		return bits.OnesCount8(c)&1 == 1
	case viewMark:
		return c&0x80 != 0
	}
	return true
}

// views lists the ways to look that the bytes allow. Noise fits by chance, half
// of it, so a share a bit above is enough to look; what counts is the lines.
func views(data []byte) []view {
	const enough = 0.65
	var fit [viewMark + 1]int
	for _, c := range data {
		for v := viewEven; v <= viewMark; v++ {
			if v.fits(c) {
				fit[v]++
			}
		}
	}
	out := []view{view8}
	if fit[viewMark] == 0 {
		return out // seven bits at most: nothing to look at
	}
	for v := viewEven; v <= viewMark; v++ {
		if float64(fit[v]) >= enough*float64(len(data)) {
			out = append(out, v)
		}
	}
	return out
}

// textRun is the longest run of bytes that text is made of, frame marks included.
// A wrong speed gives runs too, of a few bytes over and over: they are none.
func textRun(data []byte) int {
	const kinds = 5
	longest, start := 0, 0
	for i := 0; i <= len(data); i++ {
		if i < len(data) && isText(data[i]) {
			continue
		}
		if i-start > longest && distinct(data[start:i]) >= kinds {
			longest = i - start
		}
		start = i + 1
	}
	return longest
}

func distinct(b []byte) int {
	var seen [256]bool
	n := 0
	for _, c := range b {
		if !seen[c] {
			seen[c] = true
			n++
		}
	}
	return n
}

func isText(c byte) bool {
	return c >= ' ' && c < 0x7F || c == '\r' || c == '\n' || c >= 1 && c <= 6
}

// slower tells which of the slower speeds fits what was heard at baud: a bit of
// a sender at a half of the speed lasts two, and every byte shows it. The start
// bit is the first of them. 0 stands for none.
func slower(baud int, data []byte) int {
	const enough = 0.95
	best, slowest := 0, 0
	for _, b := range bauds {
		if b >= baud || baud%b != 0 || len(data) == 0 {
			continue
		}
		fit := 0
		for _, c := range data {
			if inStep(c, baud/b) {
				fit++
			}
		}
		// What fits a slow sender fits a faster one too, so the slowest counts.
		if float64(fit) >= enough*float64(len(data)) && (best == 0 || b < slowest) {
			best, slowest = b, b
		}
	}
	return best
}

// inStep reports that the start bit and the eight behind it come in groups of k.
func inStep(c byte, k int) bool {
	levels := uint(c) << 1
	for i := 1; i <= 8; i++ {
		if i%k != 0 && levels>>i&1 != levels>>(i-1)&1 {
			return false
		}
	}
	return true
}
