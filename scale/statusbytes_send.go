package scale

// statusMaxPlaces is the most decimals that the status bits can tell.
const statusMaxPlaces = 4

// Encode appends the frame for a weight or for the end of the range, with the
// checksum where c has one and no tare. The shape has no word for anything else:
// for that, and for a number that does not fit, nothing is sent.
func (c StatusBytes) Encode(dst []byte, r Reading) []byte {
	out := r.Status == StatusOver || r.Status == StatusUnder
	if !out && (!sendable(r) || r.Number.Places > statusMaxPlaces || r.Number.Coefficient > 999_999) {
		return dst
	}
	flags, unit := byte(statusConstant), byte(statusConstant)
	switch r.Unit {
	case UnitKilogram:
		flags |= statusMetric
	case UnitGram, UnitTonne, UnitOunce:
		flags |= statusMetric
		for code, u := range statusUnits {
			if u == r.Unit {
				unit |= byte(code)
			}
		}
	case UnitPound:
	default:
		return dst
	}
	if r.Mode == ModeNet {
		flags |= statusNet
	}
	if r.Motion == MotionMoving {
		flags |= statusMoving
	}
	if r.Status == StatusUnder || !out && r.Number.Negative {
		flags |= statusNegative
	}
	decimals, digits := byte(2), uint64(0)
	if out {
		flags |= statusRange
	} else {
		decimals, digits = r.Number.Places+2, r.Number.Coefficient
	}
	const countByOne = 1 << 3
	start := len(dst)
	dst = append(dst, byteSTX, statusConstant|countByOne|decimals, flags, unit)
	dst, _ = appendDigits(dst, digits)
	dst = append(dst, "000000\r"...)
	if c.Checksum {
		dst = append(dst, complementOf(dst[start:]))
	}
	return dst
}

// Request knows no command: these scales send without being asked.
func (StatusBytes) Request(dst []byte, _ Request) ([]byte, bool) { return dst, false }

// ParseRequest drops whatever it is sent.
func (StatusBytes) ParseRequest(data []byte) (Request, int) { return RequestUnknown, len(data) }
