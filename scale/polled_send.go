package scale

import "bytes"

// Encode appends the answer to a request for the weight, or the question mark.
// For a state that the shape has no word for, and for a number that does not
// fit, nothing is sent.
func (c Polled) Encode(dst []byte, r Reading) []byte {
	if r.Status == StatusUnknownCommand {
		return append(dst, "\n?\r\x03"...)
	}
	fill := byte(0)
	first, second, third := byte(polledConstant), byte(polledConstant), byte(polledConstant)
	switch r.Status {
	case StatusOver:
		fill, second = '^', second|2
	case StatusUnder:
		fill, second = '_', second|1
	case StatusZeroError:
		fill = '-'
	case StatusInitialZeroError:
		fill, third = '-', third|8
	case StatusZero:
		first |= 2
	}
	if fill == 0 && !sendable(r) || r.Unit == UnitNone || r.Status == StatusInitialZeroError && !c.Third || r.Mode == ModeTare {
		return dst
	}
	start := len(dst)
	dst = append(dst, '\n')
	if fill != 0 {
		for range polledDigits + 1 {
			dst = append(dst, fill)
		}
	} else {
		sign := byte(' ')
		if r.Number.Negative {
			sign = '-'
		}
		var ok bool
		if dst, ok = appendField(append(dst, sign), r.Number, polledDigits, '0'); !ok {
			return dst[:start]
		}
	}
	if r.Motion == MotionMoving {
		first |= 1
	}
	if c.Reversed {
		first ^= 3
	}
	dst = append(appendUnit(dst, r.Unit, 2), '\r', '\n', first, second)
	if c.Third {
		if r.Mode == ModeNet {
			third |= 4
		}
		dst[len(dst)-1] |= 0x40
		dst = append(dst, third)
	}
	return append(dst, '\r', byteETX)
}

// polledCommands gives each request its letter. The shape has more letters, for
// a high resolution (H), the status alone (S) and the next unit (U).
var polledCommands = [...]struct {
	request Request
	letter  byte
}{{RequestWeight, 'W'}, {RequestZero, 'Z'}, {RequestTare, 'T'}}

// Request appends the letter of the command and CR.
func (Polled) Request(dst []byte, r Request) ([]byte, bool) {
	for _, c := range polledCommands {
		if c.request == r {
			return append(dst, c.letter, '\r'), true
		}
	}
	return dst, false
}

// ParseRequest is the scale's side: whatever stands before a CR is one request.
func (Polled) ParseRequest(data []byte) (Request, int) {
	end := bytes.IndexByte(data, '\r')
	if end < 0 {
		if len(data) >= MaxPiece {
			return RequestUnknown, len(data)
		}
		return RequestUnknown, 0
	}
	for _, known := range polledCommands {
		if end == 1 && data[0] == known.letter {
			return known.request, 2
		}
	}
	return RequestUnknown, end + 1
}
