package scale

// XorDigits reads digits with an exclusive or written as text, shape S11,
// described in an indicator's manual:
//
//	STX sign dddddd p xx ETX        12 bytes
//	0   1    2      8 9  11
//
// p is the number of decimals, 0 to 4, counted from the right; xx is the
// exclusive or of the bytes from sign to p as two upper-case hexadecimal digits.
// The shape says neither unit nor stillness nor overload: the unit is a setting,
// and without it no reading can be used. A sibling of it has an address and a
// command in each frame and is not read.
type XorDigits struct {
	Unit Unit // what the numbers are; UnitNone: not usable until it is set
}

const (
	xorLength    = 12
	xorDecimals  = 8
	xorCheck     = 9
	xorMaxPlaces = 4
)

// Name is "xor-digits", with the unit that is set: "xor-digits-g".
func (c XorDigits) Name() string { return named("xor-digits", false, "", c.Unit) }

// Split begins a frame at an STX whose 12 bytes are what they must be.
func (XorDigits) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	return splitFrames(data, atEOF, byteSTX, xorFrame)
}

func xorFrame(b []byte) int {
	if len(b) > 1 && b[1] != '+' && b[1] != '-' || len(b) >= xorLength && b[xorLength-1] != byteETX {
		return 0
	}
	if !allDigits(span(b, 2, xorCheck)) {
		return 0
	}
	for _, c := range span(b, xorCheck, xorLength-1) {
		if !isDigit(c) && (c < 'A' || c > 'F') {
			return 0
		}
	}
	return whole(b, xorLength)
}

// Decode reads one frame.
func (c XorDigits) Decode(piece []byte) (Reading, error) {
	if len(piece) != xorLength || piece[0] != byteSTX || xorFrame(piece) != xorLength {
		return Reading{}, notAFrame(piece, 0, "a fragment or another shape: STX, sign, seven digits, two digits of check and ETX are expected")
	}
	x := xorOf(piece[1:xorCheck])
	if piece[xorCheck] != hexDigit(x>>4) || piece[xorCheck+1] != hexDigit(x) {
		return Reading{}, frameError(piece, xorCheck, "the checksum is wrong: the frame was damaged on the line")
	}
	places := piece[xorDecimals] - '0'
	if places > xorMaxPlaces {
		return Reading{}, frameError(piece, xorDecimals, "more than four decimals")
	}
	d := Decimal{Places: places, Lead: 6 - places, Negative: piece[1] == '-'}
	for _, digit := range piece[2:xorDecimals] {
		d.Coefficient = d.Coefficient*10 + uint64(digit-'0')
	}
	return Reading{Number: d, HasNumber: true, Unit: c.Unit}, nil
}

// Encode appends the frame for a weight, whatever its unit: a scale of this
// shape does not say when its unit is changed. The shape has no word for
// anything else: for that, and for a number that does not fit, nothing is sent.
func (XorDigits) Encode(dst []byte, r Reading) []byte {
	if !sendable(r) || r.Number.Places > xorMaxPlaces || r.Number.Coefficient > 999_999 {
		return dst
	}
	sign := byte('+')
	if r.Number.Negative {
		sign = '-'
	}
	start := len(dst)
	dst, _ = appendDigits(append(dst, byteSTX, sign), r.Number.Coefficient)
	dst = append(dst, '0'+r.Number.Places)
	x := xorOf(dst[start+1:])
	return append(dst, hexDigit(x>>4), hexDigit(x), byteETX)
}

// Request knows no command: these scales send without being asked.
func (XorDigits) Request(dst []byte, _ Request) ([]byte, bool) { return dst, false }

// ParseRequest drops whatever it is sent.
func (XorDigits) ParseRequest(data []byte) (Request, int) { return RequestUnknown, len(data) }
