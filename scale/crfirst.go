package scale

// CRFirst reads frames that begin with CR and end with ETX, shape S15,
// described in an indicator's manual:
//
//	CR sign weight(7) status unit(2) mode ETX        14 bytes
//	0  1    2         9      10      12   13
//
// The weight has six digits and always a point; the status is O (over), M
// (moving), e (not displayed) or blank; the mode is G or N. The CR belongs to
// the frame behind it, and ETX is the only end. There is no mark for zero.
type CRFirst struct{}

const (
	crFirstLength = 14
	crFirstWeight = 2
	crFirstStatus = 9
	crFirstUnit   = 10
	crFirstMode   = 12
)

// Name is "cr-first".
func (CRFirst) Name() string { return "cr-first" }

// Split begins a frame at a CR whose 14 bytes are what they must be.
func (CRFirst) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	return splitFrames(data, atEOF, '\r', crFirstFrame)
}

func crFirstFrame(b []byte) int {
	if len(b) >= crFirstLength && b[crFirstLength-1] != byteETX || !allText(span(b, 1, crFirstLength-1)) {
		return 0
	}
	return whole(b, crFirstLength)
}

// Decode reads one frame.
func (CRFirst) Decode(piece []byte) (r Reading, err error) {
	if at, reason := crFirstDecode(piece, &r); reason != "" {
		return Reading{}, notAFrame(piece, at, reason)
	}
	return r, nil
}

func crFirstDecode(piece []byte, r *Reading) (at int, reason string) {
	if len(piece) != crFirstLength || piece[0] != '\r' || crFirstFrame(piece) != crFirstLength {
		return 0, "a fragment or another shape: CR, sign, seven characters of weight, status, unit, mode and ETX are expected"
	}
	r.Motion = MotionStill
	switch piece[crFirstMode] {
	case 'G':
		r.Mode = ModeGross
	case 'N':
		r.Mode = ModeNet
	default:
		return crFirstMode, "the mode is neither G nor N"
	}
	var ok bool
	if r.Unit, ok = ParseUnit(piece[crFirstUnit:crFirstMode]); !ok {
		return crFirstUnit, "the unit is not known"
	}
	sign := piece[1]
	if sign != ' ' && sign != '+' && sign != '-' {
		return 1, "the sign is none of plus, minus and blank"
	}
	switch piece[crFirstStatus] {
	case ' ':
	case 'M':
		r.Motion = MotionMoving
	case 'O':
		r.Status = StatusOver
		if sign == '-' {
			r.Status = StatusUnder
		}
		return 0, ""
	case 'e':
		r.Status = StatusNotReady
		return 0, ""
	default:
		return crFirstStatus, "the status is none of O, M, e and blank"
	}
	weight := piece[crFirstWeight:crFirstStatus]
	for len(weight) > 1 && weight[0] == ' ' {
		weight = weight[1:]
	}
	d, err := scanDecimal(weight)
	if err != nil || weight[0] == '-' || weight[0] == '+' {
		return crFirstWeight, "the weight is not a plain decimal number"
	}
	if d.Places == 0 && weight[len(weight)-1] != '.' {
		return crFirstWeight, "the point is missing"
	}
	d.Negative = sign == '-'
	r.Number, r.HasNumber = d, true
	if !r.Unit.IsMass() {
		r.Status = StatusCount
	}
	return 0, ""
}

// Encode appends the frame for a weight, an end of the range, or a display that
// shows nothing. For a state that the shape has no word for, and for a number
// that does not fit, nothing is sent.
func (CRFirst) Encode(dst []byte, r Reading) []byte {
	status, sign, mode := byte(' '), byte(' '), byte('G')
	switch {
	case r.Status == StatusOver:
		status = 'O'
	case r.Status == StatusUnder:
		status, sign = 'O', '-'
	case r.Status == StatusNotReady:
		status = 'e'
	case !sendable(r):
		return dst
	case r.Motion == MotionMoving:
		status = 'M'
	}
	if r.Unit == UnitNone || len(r.Unit.String()) > 2 {
		return dst
	}
	if r.Mode == ModeNet {
		mode = 'N'
	}
	start := len(dst)
	dst = append(dst, '\r', sign)
	if r.Status > StatusZero {
		dst = append(dst, "     . "...)
	} else {
		width := crFirstStatus - crFirstWeight
		if r.Number.Negative {
			dst[len(dst)-1] = '-'
		}
		if r.Number.Places == 0 {
			width-- // for the point
		}
		var ok bool
		if dst, ok = appendField(dst, r.Number, width, '0'); !ok {
			return dst[:start]
		}
		if r.Number.Places == 0 {
			dst = append(dst, '.')
		}
	}
	return append(appendUnit(append(dst, status), r.Unit, 2), mode, byteETX)
}

// Request knows no command: none is described.
func (CRFirst) Request(dst []byte, _ Request) ([]byte, bool) { return dst, false }

// ParseRequest drops whatever it is sent.
func (CRFirst) ParseRequest(data []byte) (Request, int) { return RequestUnknown, len(data) }
