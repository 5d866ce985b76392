package scale

// Reversed reads numbers that are sent backwards, shape S12, described in an
// indicator's manual:
//
//	= ccccccc s        9 bytes, and no terminator
//
// c is the number from its last digit to its first, the point among them and
// zeros at the end; s is a minus or 0. 412.6 is =6.214000 and -3.25 is
// =52.3000- . A frame begins at its = and is whole when the ninth byte is there.
// The shape says neither unit nor stillness nor overload and has no checksum: a
// digit that changes on the line can not be told. The unit is a setting, and
// without it no reading can be used.
type Reversed struct {
	Unit Unit // what the numbers are; UnitNone: not usable until it is set
}

const (
	reversedLength = 9
	reversedWidth  = 7
)

// Name is "reversed", with the unit that is set: "reversed-g".
func (c Reversed) Name() string { return named("reversed", false, "", c.Unit) }

// Split begins a frame at a = whose nine bytes are what they must be.
func (Reversed) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	return splitFrames(data, atEOF, '=', reversedFrame)
}

func reversedFrame(b []byte) int {
	if len(b) >= reversedLength && b[reversedLength-1] != '0' && b[reversedLength-1] != '-' {
		return 0
	}
	for _, c := range span(b, 1, reversedLength-1) {
		if !isDigit(c) && c != '.' {
			return 0
		}
	}
	return whole(b, reversedLength)
}

// Decode reads one frame.
func (c Reversed) Decode(piece []byte) (r Reading, err error) {
	if at, reason := c.decode(piece, &r); reason != "" {
		return Reading{}, notAFrame(piece, at, reason)
	}
	return r, nil
}

func (c Reversed) decode(piece []byte, r *Reading) (at int, reason string) {
	if len(piece) != reversedLength || piece[0] != '=' || reversedFrame(piece) != reversedLength {
		return 0, "a fragment or another shape: =, seven characters backwards, and 0 or a minus are expected"
	}
	var forward [reversedWidth]byte
	for i, digit := range piece[1 : 1+reversedWidth] {
		forward[reversedWidth-1-i] = digit
	}
	d, err := scanDecimal(forward[:])
	if err != nil {
		return 1, "read backwards, the number is " + err.Error()
	}
	d.Negative = piece[reversedLength-1] == '-'
	r.Number, r.HasNumber, r.Unit = d, true, c.Unit
	return 0, ""
}

// Encode appends the frame for a weight, whatever its unit: a scale of this
// shape does not say when its unit is changed. The shape has no word for
// anything else: for that, and for a number that does not fit, nothing is sent.
func (Reversed) Encode(dst []byte, r Reading) []byte {
	var buf [reversedWidth]byte
	forward, ok := appendField(buf[:0], r.Number, reversedWidth, '0')
	if !ok || !sendable(r) {
		return dst
	}
	dst = append(dst, '=')
	for i := range forward {
		dst = append(dst, forward[reversedWidth-1-i])
	}
	if r.Number.Negative {
		return append(dst, '-')
	}
	return append(dst, '0')
}

// Request knows no command: these scales send without being asked.
func (Reversed) Request(dst []byte, _ Request) ([]byte, bool) { return dst, false }

// ParseRequest drops whatever it is sent.
func (Reversed) ParseRequest(data []byte) (Request, int) { return RequestUnknown, len(data) }
