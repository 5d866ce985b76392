package scale

import "bytes"

// polledValue reads the value and the unit.
func polledValue(field []byte, r *Reading) (reason string) {
	field = field[skipBlanks(field, 0):]
	if polledNumber(field, r) {
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

// polledNumber reads what nearly every frame has: a number, and letters behind
// it. From the end the unit is found with one look at a byte or two, so that the
// digits are passed over once. What it does not read is left as it is.
func polledNumber(field []byte, r *Reading) bool {
	end := len(field)
	for end > 0 && field[end-1] == ' ' {
		end--
	}
	unit := end
	for unit > 0 && isLetter(field[unit-1]) {
		unit--
	}
	u, ok := parseUnit(field[unit:end])
	if !ok {
		return false
	}
	for end = unit; end > 0 && field[end-1] == ' '; {
		end--
	}
	d, err := scanDecimal(field[:end])
	if err != nil {
		return false
	}
	r.Unit, r.Number, r.HasNumber = u, d, true
	if !u.IsMass() && r.Status <= StatusZero {
		r.Status = StatusCount
	}
	return true
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
