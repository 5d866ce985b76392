package scale

// Encode appends the frame in the format of c. The short one has no unit, and
// while the weight moves no mode; the long one has no unit while it moves. For a
// state that the shape has no word for, and for a number that does not fit,
// nothing is sent.
func (c Framed) Encode(dst []byte, r Reading) []byte {
	letter := byte('G')
	switch {
	case r.Status == StatusUnder:
		letter = 'U'
	case r.Status == StatusOver:
		letter = 'O'
	case r.Status == StatusNotReady:
		letter = 'E'
	case !sendable(r) && !c.unitless(r):
		return dst
	case r.Mode == ModeNet:
		letter = 'N'
	}
	start := len(dst)
	dst = append(dst, byteSTX)
	if r.Status > StatusZero {
		dst = append(dst, "        "...)
	} else {
		sign := byte(' ')
		if r.Number.Negative {
			sign = '-'
		}
		var ok bool
		if dst, ok = appendField(append(dst, sign), r.Number, framedWeight, ' '); !ok {
			return dst[:start]
		}
	}
	moving := r.Motion == MotionMoving
	if c.Short {
		if moving && r.Status <= StatusZero {
			letter = 'M'
		}
		return append(dst, letter, byteETX)
	}
	motion, zero := byte(' '), byte(' ')
	if moving {
		motion = 'M'
	}
	if r.Status == StatusZero {
		zero = 'Z'
	}
	dst = append(dst, letter, motion, zero, ' ')
	unit := r.Unit.String()
	if moving || len(unit) > 3 {
		unit = ""
	}
	for n := len(unit); n < 3; n++ {
		dst = append(dst, ' ')
	}
	return append(append(dst, unit...), byteETX)
}

// unitless is a moving weight, as the long format gives it back.
func (c Framed) unitless(r Reading) bool {
	moves := !c.Short && r.Motion == MotionMoving && r.Unit == UnitNone
	return moves && r.HasNumber && r.Status <= StatusZero && r.Mode != ModeTare
}

// Request knows no command: none is described.
func (Framed) Request(dst []byte, _ Request) ([]byte, bool) { return dst, false }

// ParseRequest drops whatever it is sent.
func (Framed) ParseRequest(data []byte) (Request, int) { return RequestUnknown, len(data) }
