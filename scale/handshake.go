package scale

import "bytes"

// Handshake reads the answers of a scale that is asked in two steps, shape S10,
// described on a public protocol page and in a public list of scale drivers:
//
//	host ENQ ─► scale ACK ─► host DC1 ─► scale sends the frame
//
//	SOH STX status sign value(6) unit(2) BCC ETX EOT        15 bytes
//	SOH STX status sign value(7) unit(2) BCC ETX            15 bytes, the variant
//
// The status is S (still) or U, the sign a blank, a minus or F; overload is F in
// sign and value. BCC is the exclusive or of all bytes from the status to the
// unit. It can be a control character (19h for overload), so a frame is found by
// its length; the last byte tells the two apart. An ACK is a piece of its own and reads as
// an answer without a weight; Reply says what has to follow it.
type Handshake struct {
	Wide bool // Encode writes the variant; both are read
}

const (
	handshakeLength = 15
	handshakeValue  = 4
)

// Replier is a codec whose scale waits for one more step of its dialogue before
// it sends a weight. Who holds the line gives Reply every piece and sends back
// at once what it returns; nil means that nothing is due. A scale gives its
// dialogue up when the reply is late, and Request begins it anew.
type Replier interface {
	Reply(piece []byte) []byte
}

// Name is "handshake" or "handshake-wide".
func (c Handshake) Name() string { return named("handshake", c.Wide, "-wide", UnitNone) }

// Split takes a frame by its length, an ACK alone, and junk up to either.
func (Handshake) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	if len(data) > 0 && data[0] == byteACK {
		return 1, data[:1], nil
	}
	end := 1
	if len(data) > 0 && data[0] == byteSOH {
		end = handshakeFrame(data)
		if end == needMore && !atEOF {
			return 0, nil, nil
		}
		if end > 0 {
			return end, data[:end], nil
		}
		end = 1
	}
	for end < len(data) && end < MaxPiece && data[end] != byteSOH && data[end] != byteACK {
		end++
	}
	if len(data) == 0 || end == len(data) && end < MaxPiece && !atEOF {
		return 0, nil, nil
	}
	return end, data[:end], nil
}

// handshakeFrame looks at what each byte may be. The block check is either the
// byte in front of ETX EOT or, where the value is wider, of ETX.
func handshakeFrame(b []byte) int {
	if len(b) > 1 && b[1] != byteSTX || !allText(span(b, 2, 12)) {
		return 0
	}
	if len(b) > 13 && b[13] != byteETX && !isText(b[12]) {
		return 0
	}
	if len(b) >= handshakeLength && b[14] != byteETX && (b[14] != byteEOT || b[13] != byteETX) {
		return 0
	}
	return whole(b, handshakeLength)
}

// Decode reads one frame, or the ACK in front of it.
func (Handshake) Decode(piece []byte) (r Reading, err error) {
	if len(piece) == 1 && piece[0] == byteACK {
		r.Status = StatusInfo
		return r, nil
	}
	if len(piece) != handshakeLength || piece[0] != byteSOH || handshakeFrame(piece) != handshakeLength {
		return r, notAFrame(piece, 0, "a fragment or another shape: SOH, STX, status, sign, value, unit, BCC, ETX are expected")
	}
	if at, reason := handshakeDecode(piece, &r); reason != "" {
		return Reading{}, frameError(piece, at, reason)
	}
	return r, nil
}

func handshakeDecode(piece []byte, r *Reading) (at int, reason string) {
	check := handshakeLength - 2
	if piece[check+1] == byteEOT {
		check--
	}
	if xorOf(piece[2:check]) != piece[check] {
		return check, "the block check is wrong: the frame was damaged on the line"
	}
	switch piece[2] {
	case 'S':
		r.Motion = MotionStill
	case 'U':
		r.Motion = MotionMoving
	default:
		return 2, "the status is neither S nor U"
	}
	var ok bool
	if r.Unit, ok = ParseUnit(piece[check-2 : check]); !ok {
		return check - 2, "the unit is not known"
	}
	value := piece[handshakeValue : check-2]
	switch piece[3] {
	case 'F':
		if bytes.Count(value, []byte{'F'}) != len(value) {
			return handshakeValue, "overload with a value"
		}
		r.Status = StatusOver
		return 0, ""
	case ' ', '-':
	default:
		return 3, "the sign is none of blank, minus and F"
	}
	for value[0] == ' ' && len(value) > 1 {
		value = value[1:]
	}
	d, err := scanDecimal(value)
	if err != nil || value[0] == '-' || value[0] == '+' {
		return handshakeValue, "the value is not a plain decimal number"
	}
	d.Negative = piece[3] == '-'
	r.Number, r.HasNumber = d, true
	if !r.Unit.IsMass() {
		r.Status = StatusCount
	}
	return 0, ""
}
