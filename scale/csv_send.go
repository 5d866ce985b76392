package scale

// csvWidth is the width of the value in every map.
const csvWidth = 7

// Encode appends the line for a reading in the column map of c. The shape has
// one word for both ends of the range and none for a failed zero or tare and
// the like: those get blanks with the point kept, which no reader takes for a
// number.
func (c CSV) Encode(dst []byte, r Reading) []byte {
	column := c.Map
	if column == 0 {
		column = 'a'
	}
	dst = append(dst, csvStatusText(r)...)
	dst = append(dst, ',')
	dst = append(dst, [...]string{"GS", "GS", "NT", "TR"}[r.Mode&3]...)
	sign := byte('+')
	if r.Status == StatusUnder || r.Status != StatusOver && r.HasNumber && r.Number.Negative {
		sign = '-'
	}
	var buf [24]byte
	value := buf[:0]
	switch {
	case r.Status == StatusOver || r.Status == StatusUnder:
		value = append(value, "99999.9"...)
	case r.HasNumber && (r.Status <= StatusZero || r.Status == StatusCount):
		plain := r.Number
		plain.Negative = false
		value = plain.Append(value)
	default:
		value = append(value, ". "...)
	}
	switch column {
	case 'a', 'b':
		dst = append(dst, ',', sign)
	case 'c':
		dst = append(dst, sign)
	case 'd':
		// The sign, if any, stands beside the digits.
		if sign == '-' {
			value = append(value, 0)
			copy(value[1:], value)
			value[0] = '-'
		}
		dst = append(dst, ' ', ' ')
	}
	for n := len(value); n < csvWidth; n++ {
		dst = append(dst, ' ')
	}
	dst = append(dst, value...)
	return csvUnit(dst, r.Unit.String(), column)
}

func csvUnit(dst []byte, unit string, column byte) []byte {
	switch {
	case column == 'b' || column == 'c':
		dst = append(dst, ',')
	case column == 'd':
		dst = append(dst, ' ')
	}
	if column != 'd' && len(unit) < 2 {
		dst = append(dst, ' ')
	}
	dst = append(dst, unit...)
	for n := len(unit); column == 'd' && n < 3; n++ {
		dst = append(dst, ' ')
	}
	return append(dst, '\r', '\n')
}

func csvStatusText(r Reading) string {
	switch {
	case r.Status == StatusOver || r.Status == StatusUnder:
		return "OL"
	case r.Status == StatusCount:
		return "QT"
	case r.Motion == MotionMoving:
		return "US"
	}
	return "ST"
}

// Request knows no command: what these scales obey differs from maker to
// maker, and a wrong letter may change a setting.
func (CSV) Request(dst []byte, _ Request) ([]byte, bool) { return dst, false }

// ParseRequest drops whatever it is sent.
func (CSV) ParseRequest(data []byte) (Request, int) { return RequestUnknown, len(data) }
