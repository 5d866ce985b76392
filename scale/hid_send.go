package scale

// Encode appends the report for a reading. A weight below zero is sent as
// "under zero", because the report has no sign. What does not fit sixteen bits
// is not sent, and neither is what the report has no word for.
func (HID) Encode(dst []byte, r Reading) []byte {
	state, unit := hidState(r), byte(2)
	for n, u := range hidUnits {
		if u == r.Unit && u != UnitNone {
			unit = byte(n)
		}
	}
	weight, ten := uint64(0), 0
	switch {
	case state >= 2 && state <= 4 && !r.HasNumber:
		return dst
	case state >= 2 && state <= 5 && r.HasNumber:
		if hidUnits[unit] != r.Unit {
			return dst
		}
		weight, ten = r.Number.Coefficient, -int(r.Number.Places)
		for weight > 0xFFFF && weight%10 == 0 {
			weight, ten = weight/10, ten+1
		}
	}
	if state == 0 || weight > 0xFFFF || ten < -hidTenMost || ten > hidTenMost {
		return dst
	}
	return append(dst, hidFirst, state, unit, byte(int8(ten)), byte(weight), byte(weight>>8))
}

// hidState is the number of the state of a reading, 0 where there is none.
func hidState(r Reading) byte {
	switch r.Status {
	case StatusOK, StatusZero:
		switch {
		case r.Mode == ModeTare:
			return 0
		case r.Number.Negative && r.Number.Coefficient > 0:
			return 5
		case r.Status == StatusZero:
			return 2
		case r.Motion == MotionStill:
			return 4
		}
		return 3
	case StatusUnder:
		return 5
	case StatusOver:
		return 6
	case StatusNotReady:
		return 1
	case StatusZeroError, StatusInitialZeroError:
		return 8
	}
	return 0
}

// Request knows the control report that sets the zero. Not every device obeys
// it, and none has a tare: the bench subtracts the cup by itself.
func (HID) Request(dst []byte, r Request) ([]byte, bool) {
	if r != RequestZero {
		return dst, false
	}
	return append(dst, hidControl, hidZeroBit), true
}

// ParseRequest reads a control report.
func (HID) ParseRequest(data []byte) (Request, int) {
	switch {
	case len(data) == 0:
		return RequestUnknown, 0
	case data[0] != hidControl:
		return RequestUnknown, 1
	case len(data) == 1:
		return RequestUnknown, 0
	case data[1]&hidZeroBit != 0:
		return RequestZero, 2
	}
	return RequestUnknown, 2
}
