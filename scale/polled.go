package scale

// Polled reads the answers of a scale that is asked with a letter and CR,
// shape S9, described in a public point-of-sale simulator and in five manuals:
//
//	LF value unit CR LF status CR ETX        weight
//	LF status CR ETX                         status alone
//	LF ? CR ETX                              the command is not known
//
// The value has six digits and a point by the descriptions and one digit fewer
// in examples, zeros or blanks in front, a minus before it; ^ fills the field
// over the capacity, _ under it, - after a failed zero. The status has two bytes
// or three:
//
//	1  0 moving, 1 at zero, 2 RAM error, 3 EEPROM error
//	2  0 under, 1 over capacity, 2 ROM error, 3 faulty calibration, 6 a third follows
//	3  0–1 range, 2 net, 3 initial zero error
//
// Bits 4 and 5 are 1 in each. One manual prints motion and zero the other way
// round (0 is moving, 0 is at zero): Reversed. One variant sends the status
// alone when the weight is negative, moving or out of range: Alone, because
// elsewhere that is the rear of a damaged answer. One answers only when still,
// after up to 7 s: silence there is no fault.
type Polled struct {
	Reversed bool // the motion and zero bits mean the opposite
	Third    bool // Encode sends the third status byte; both are read
	Alone    bool // a status without a weight is an answer of this scale
}

const (
	polledField  = 12 // the most characters of value and unit
	polledDigits = 7  // what Encode writes behind the sign
)

// polledConstant are the bits that are 1 in each status byte.
const polledConstant = 0x30

// Name is "polled", with what is set.
func (c Polled) Name() string {
	name := named("polled", c.Reversed, "-reversed", UnitNone)
	name = named(name, c.Third, "-third", UnitNone)
	return named(name, c.Alone, "-alone", UnitNone)
}

// Split takes a frame from its first LF to its ETX.
func (c Polled) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	if c.Alone {
		return splitFrames(data, atEOF, '\n', polledFrame)
	}
	return splitFrames(data, atEOF, '\n', polledWeight)
}

// polledWeight is polledFrame without a status alone.
func polledWeight(b []byte) int {
	n := polledFrame(b)
	if n > 0 && n <= len("\n000\r\x03") && b[1] != '?' {
		return 0
	}
	return n
}

func polledFrame(b []byte) int {
	if len(b) > 2 && b[1] < ' ' {
		return 0
	}
	i := 1 + textLength(b[1:min(len(b), polledField+2)])
	switch {
	case i > polledField+1:
		return 0
	case i == len(b):
		return needMore
	case b[i] != '\r' || i == 1:
		return 0
	case i+1 == len(b):
		return needMore
	case b[i+1] == byteETX:
		return i + 2
	case b[i+1] != '\n':
		return 0
	}
	status := i + 2
	for i = status; i < len(b) && b[i] >= ' ' && b[i] < 0x80; i++ {
		if i-status == 3 {
			return 0
		}
	}
	switch {
	case i == len(b):
		return needMore
	case b[i] != '\r' || i-status < 2:
		return 0
	case i+1 == len(b):
		return needMore
	case b[i+1] != byteETX:
		return 0
	}
	return i + 2
}

// Decode reads one answer.
func (c Polled) Decode(piece []byte) (r Reading, err error) {
	err = c.read(piece, &r)
	return r, err
}

func (c Polled) read(piece []byte, r *Reading) (err error) {
	if at, reason := c.decode(piece, r); reason != "" {
		*r, err = Reading{}, notAFrame(piece, at, reason)
	}
	return err
}

// decode looks only at what gives the frame its form; what its fields may hold is
// judged where they are read, once.
func (c Polled) decode(piece []byte, r *Reading) (at int, reason string) {
	const shape = "a fragment or another shape: LF, value, unit, CR, LF, status, CR and ETX are expected"
	n := len(piece)
	if n < len("\n?\r\x03") || piece[0] != '\n' || piece[n-2] != '\r' || piece[n-1] != byteETX {
		return 0, shape
	}
	body := piece[1 : n-2] // the status is two bytes or three
	split := len(body) - len("\r\n00")
	if split > 0 && body[split] != '\r' {
		split--
	}
	if split < 1 || body[split] != '\r' {
		if polledFrame(piece) != n {
			return 0, shape
		}
		return 1, c.short(body, r)
	}
	if body[split+1] != '\n' || split > polledField {
		return 0, shape
	}
	if reason = c.status(body[split+2:], r); reason != "" {
		return split + 3, reason
	}
	return 1, polledValue(body[:split], r)
}

// short reads an answer without a weight.
func (c Polled) short(body []byte, r *Reading) (reason string) {
	if len(body) == 1 && body[0] == '?' {
		r.Status = StatusUnknownCommand
		return ""
	}
	if len(body) != 2 && len(body) != 3 || !c.Alone {
		return "a fragment, or a status alone: there is a setting for scales that send it so"
	}
	if reason = c.status(body, r); reason == "" && r.Status <= StatusZero {
		r.Status = StatusNotReady
	}
	return reason
}

// status reads two or three status bytes.
func (c Polled) status(b []byte, r *Reading) (reason string) {
	for _, s := range b {
		if s&(polledConstant|0x80) != polledConstant {
			return "a status byte lacks the bits that are always set: damaged, or another shape"
		}
	}
	if b[1]&0x40 != 0 && len(b) < 3 {
		return "the third status byte is missing"
	}
	first := b[0]
	if c.Reversed {
		first ^= 3
	}
	r.Motion = MotionStill
	if first&1 != 0 {
		r.Motion = MotionMoving
	}
	if len(b) == 3 {
		r.Mode = ModeGross
		if b[2]&4 != 0 {
			r.Mode = ModeNet
		}
	}
	switch {
	case b[1]&1 != 0:
		r.Status = StatusUnder
	case b[1]&2 != 0:
		r.Status = StatusOver
	case first&12 != 0 || b[1]&12 != 0: // a fault of its memory or calibration
		r.Status = StatusNotReady
	case len(b) == 3 && b[2]&8 != 0:
		r.Status = StatusInitialZeroError
	case first&2 != 0:
		r.Status = StatusZero
	}
	return ""
}
