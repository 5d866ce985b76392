package scale

import "bytes"

// polledValue reads the value and the unit.
func polledValue(field []byte, r *Reading) (reason string) {
	field = field[skipBlanks(field, 0):]
	end := 0
	for end < len(field) && (isDigit(field[end]) || field[end] == '.' || field[end] == ' ' || field[end] == field[0]) {
		end++
	}
	value := field[:end]
	for len(value) > 0 && value[len(value)-1] == ' ' {
		value = value[:len(value)-1]
	}
	var ok bool
	r.Unit, ok = parseUnit(trimBlanks(field[end:]))
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
	r.Number, r.HasNumber = d, true
	if !r.Unit.IsMass() && r.Status <= StatusZero {
		r.Status = StatusCount
	}
	return ""
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
