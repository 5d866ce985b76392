package scale

import "bytes"

// polledValue reads the value and the unit.
func polledValue(field []byte, r *Reading) (reason string) {
	field = field[skipBlanks(field, 0):]
	if d, u, ok := scanWeight(field, ' '); ok {
		polledSet(r, d, u)
		return ""
	}
	end := 0
	for end < len(field) && (isDigit(field[end]) || field[end] == '.' || field[end] == ' ' || field[end] == field[0]) {
		end++
	}
	value := field[:end]
	for len(value) > 0 && value[len(value)-1] == ' ' {
		value = value[:len(value)-1]
	}
	var ok bool
	r.Unit, ok = blankUnit(field[end:])
	if status, full := polledFull(value); full {
		if textLength(field) != len(field) {
			return notText
		}
		if r.Status <= StatusZero {
			r.Status = status
		}
		return ""
	}
	if !ok {
		return "the unit is missing or not known, or there is more than one number"
	}
	d, err := scanDecimal(value)
	if err != nil {
		return "the value is " + err.Error()
	}
	polledSet(r, d, r.Unit)
	return ""
}

func polledSet(r *Reading, d Decimal, u Unit) {
	r.Unit, r.Number, r.HasNumber = u, d, true
	if !u.IsMass() && r.Status <= StatusZero {
		r.Status = StatusCount
	}
}

// polledFull reads a field that is filled with one mark instead of a number.
func polledFull(value []byte) (Status, bool) {
	if len(value) < 4 || isDigit(value[0]) || bytes.Count(value, value[:1]) != len(value) {
		return StatusOK, false
	}
	switch value[0] {
	case '^':
		return StatusOver, true
	case '_':
		return StatusUnder, true
	case '-':
		return StatusZeroError, true
	}
	return StatusOK, false
}
