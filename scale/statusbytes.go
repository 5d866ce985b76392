package scale

// StatusBytes reads frames of three status bytes and twice six digits, shape
// S8, described on a public page and in two manuals, and sent by many clones:
//
//	STX A B C dddddd tttttt CR [ck]        17 or 18 bytes
//	0   1 2 3 4      10     16 17
//
// d is the displayed weight, t the tare; sign, point and unit are bits:
//
//	A  0–2 decimals: 1 is ×10, 2 none, 3 to 6 one to four; 3–4 the step: 1, 2, 5
//	B  0 net, 1 negative, 2 out of range, 3 moving, 4 metric (kg, else lb)
//	C  0–2 unit: 0 see B, 1 g, 2 t, 3 oz (from memory); 3 print key; 4 extended
//
// Clones disagree about bits 5 and 6, so those are never looked at; but a zero
// byte is a fault of the line. One clone uses bit 0 of C for kg or lb: there
// the unit must be set. The extended display is refused, because no description
// says whether the decimals count its extra digit. The checksum (from memory)
// makes the low seven bits of the sum zero. Where a stream has one, it has to be
// set: the last of 17 bytes can not wait to see whether one follows.
type StatusBytes struct {
	Checksum bool // a checksum follows the CR
	Unit     Unit // overrides the unit of the bits; UnitNone: the bits tell
}

const (
	statusBytesLength = 17
	statusBytesDigits = 4 // where the weight begins
	statusBytesTare   = 10
)

// The bits of the second and third status byte.
const (
	statusNet      = 1 << 0
	statusNegative = 1 << 1
	statusRange    = 1 << 2
	statusMoving   = 1 << 3
	statusMetric   = 1 << 4
	statusExtended = 1 << 4 // of the third
	statusConstant = 1 << 5 // what Encode puts into every byte
)

// statusUnits are the units of bits 0 to 2 of the third byte; UnitNone means
// that the second byte tells.
var statusUnits = [8]Unit{1: UnitGram, 2: UnitTonne, 3: UnitOunce}

// Name is "status-bytes", with what is set.
func (c StatusBytes) Name() string {
	return named("status-bytes", c.Checksum, "-checksum", c.Unit)
}

// Split begins a frame at an STX whose 17 bytes are what they must be.
func (c StatusBytes) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	if c.Checksum {
		return splitFrames(data, atEOF, byteSTX, statusFrameChecked)
	}
	return splitFrames(data, atEOF, byteSTX, statusFrame)
}

func statusFrame(b []byte) int {
	if len(b) >= statusBytesLength && b[statusBytesLength-1] != '\r' {
		return 0
	}
	for _, c := range span(b, 1, statusBytesDigits) {
		if c == 0 || c >= 0x80 {
			return 0
		}
	}
	if len(b) >= statusBytesLength && eightDigits(b[statusBytesDigits:]) && eightDigits(b[statusBytesDigits+4:]) {
		return statusBytesLength
	}
	for _, c := range span(b, statusBytesDigits, statusBytesLength-1) {
		if !isDigit(c) && c != ' ' {
			return 0
		}
	}
	return whole(b, statusBytesLength)
}

// statusFrameChecked leaves the STX of the next frame where it is when no
// checksum stands before it.
func statusFrameChecked(b []byte) int {
	n := statusFrame(b)
	switch {
	case n <= 0:
		return n
	case n == len(b):
		return needMore
	case b[n] == byteSTX && complementOf(b[:n]) != byteSTX:
		return n
	}
	return n + 1
}

// Decode reads one frame.
func (c StatusBytes) Decode(piece []byte) (r Reading, err error) {
	n := len(piece)
	if n == 1 && !c.Checksum && piece[0] < 0x80 {
		return r, frameError(piece, 0, "a single byte: if one follows every frame it is a checksum, set it")
	}
	if n == 0 || piece[0] != byteSTX || statusFrame(piece) <= 0 || n > statusBytesLength+1 {
		return r, notAFrame(piece, 0, "a fragment or another shape: STX, three status bytes, twice six digits and CR are expected")
	}
	switch {
	case n > statusBytesLength && piece[n-1] != complementOf(piece[:n-1]):
		return r, frameError(piece, n-1, "the checksum is wrong: the frame was damaged on the line")
	case n == statusBytesLength && c.Checksum:
		return r, frameError(piece, n-1, "the checksum is missing: does this scale send one?")
	}
	if at, reason := c.decode(piece, &r); reason != "" {
		return Reading{}, frameError(piece, at, reason)
	}
	return r, nil
}

func (c StatusBytes) decode(piece []byte, r *Reading) (at int, reason string) {
	flags := piece[2]
	r.Mode, r.Motion, r.Unit = ModeGross, MotionStill, c.Unit
	if flags&statusNet != 0 {
		r.Mode = ModeNet
	}
	if flags&statusMoving != 0 {
		r.Motion = MotionMoving
	}
	if unit := piece[3] & 7; r.Unit == UnitNone {
		r.Unit = statusUnits[unit]
		switch {
		case unit == 0 && flags&statusMetric != 0:
			r.Unit = UnitKilogram
		case unit == 0:
			r.Unit = UnitPound
		case r.Unit == UnitNone:
			return 3, "the unit is not known"
		}
	}
	if flags&statusRange != 0 {
		r.Status = StatusOver
		if flags&statusNegative != 0 {
			r.Status = StatusUnder
		}
		return 0, ""
	}
	if piece[3]&statusExtended != 0 {
		return 3, "the display is extended, and its digits can not be told: switch that off on the scale"
	}
	field := piece[statusBytesDigits:statusBytesTare]
	for len(field) > 0 && field[0] == ' ' {
		field = field[1:]
	}
	d, err := scanDecimal(field)
	if err != nil {
		return statusBytesDigits, "the weight is " + err.Error()
	}
	switch code := piece[1] & 7; code {
	case 0, 7:
		return 1, "the number of decimals is not known"
	case 1:
		d.Coefficient *= 10
		d.Lead++
	default:
		d.Places = code - 2
		d.Lead -= min(d.Lead, d.Places)
	}
	d.Negative = flags&statusNegative != 0
	r.Number, r.HasNumber = d, true
	return 0, ""
}
