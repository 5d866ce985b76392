package scale

// Encode appends the frame for a weight or for overload, and for StatusInfo the
// ACK that a scale sends when it was asked, before Reply. The shape has no word
// for anything else: for that, and for a number that does not fit, nothing is
// sent. Whether a weight is gross or net is not said.
func (c Handshake) Encode(dst []byte, r Reading) []byte {
	if r.Status == StatusInfo {
		return append(dst, byteACK)
	}
	over := r.Status == StatusOver
	if !over && !sendable(r) || r.Unit == UnitNone || len(r.Unit.String()) > 2 {
		return dst
	}
	status, sign, width := byte('S'), byte(' '), 6
	if r.Motion == MotionMoving {
		status = 'U'
	}
	if c.Wide {
		width++
	}
	start := len(dst)
	switch {
	case over:
		sign = 'F'
	case r.Number.Negative:
		sign = '-'
	}
	dst = append(dst, byteSOH, byteSTX, status, sign)
	if over {
		for range width {
			dst = append(dst, 'F')
		}
	} else {
		var ok bool
		if dst, ok = appendField(dst, r.Number, width, '0'); !ok {
			return dst[:start]
		}
	}
	dst = appendUnit(dst, r.Unit, 2)
	dst = append(dst, xorOf(dst[start+2:]), byteETX)
	if c.Wide {
		return dst
	}
	return append(dst, byteEOT)
}

// Reply is DC1 for the ACK that a scale sends when it was asked.
func (Handshake) Reply(piece []byte) []byte {
	if len(piece) == 1 && piece[0] == byteACK {
		return []byte{byteDC1}
	}
	return nil
}

// Request begins the dialogue for the weight with ENQ; the rest is Reply.
func (Handshake) Request(dst []byte, r Request) ([]byte, bool) {
	if r != RequestWeight {
		return dst, false
	}
	return append(dst, byteENQ), true
}

// ParseRequest is the scale's side, in one step: ENQ asks for the weight. A DC1
// says nothing that ENQ did not, and everything else is noise.
func (Handshake) ParseRequest(data []byte) (Request, int) {
	for i, c := range data {
		if c == byteENQ {
			return RequestWeight, i + 1
		}
	}
	return RequestUnknown, len(data)
}
