package scale

// scanDecimal reads sign, optional blanks, digits with at most one point. The
// sign may stand far from the digits. Nothing else is let through, and it does
// not allocate.
func scanDecimal(b []byte) (d Decimal, err error) {
	d, n, err := scanNumber(b)
	if n < len(b) {
		d, err = Decimal{}, ErrNumber
	}
	return d, err
}

// scanNumber is scanDecimal for a number at the start of b, which may go on
// behind it; n is where, and the end where there are too many digits. Every frame
// comes through here: the digits on both sides of the point have a loop each, so
// that a digit costs no question about the point, and the length is looked at
// once, behind them.
func scanNumber(b []byte) (d Decimal, n int, err error) {
	i, negative := 0, false
	if len(b) > 0 && (b[0] == '+' || b[0] == '-') {
		negative = b[0] == '-'
		i = 1
	}
	for i < len(b) && b[i] == ' ' {
		i++
	}
	start := i
	var coefficient uint64 // wraps around only where there are too many digits
	for i < len(b) && isDigit(b[i]) {
		coefficient = coefficient*10 + uint64(b[i]-'0')
		i++
	}
	lead, places := i-start, 0
	if i < len(b) && b[i] == '.' {
		start = i + 1
		for i = start; i < len(b) && isDigit(b[i]); i++ {
			coefficient = coefficient*10 + uint64(b[i]-'0')
		}
		places = i - start
	}
	switch {
	case lead+places > MaxDigits:
		return Decimal{}, len(b), ErrTooLong
	case lead+places == 0:
		return Decimal{}, i, ErrNoNumber
	}
	return Decimal{Coefficient: coefficient, Places: uint8(places), Lead: uint8(lead), Negative: negative}, i, nil
}

// scanWeight reads what nearly every line has: a number, a comma perhaps, and a
// unit with blanks around it. ok is false for everything else, and what is wrong
// with that is the caller's to say.
func scanWeight(b []byte, comma byte) (d Decimal, u Unit, ok bool) {
	d, n, err := scanNumber(b)
	if err != nil {
		return Decimal{}, UnitNone, false
	}
	if n < len(b) && b[n] == comma {
		n++
	}
	u, ok = blankUnit(b[n:])
	return d, u, ok
}

// scanWord is scanDecimal for the word at the start of b; n is where it ends. That
// is nearly always where the number ends, so that its digits are passed over once.
func scanWord(b []byte) (d Decimal, n int, err error) {
	d, n, err = scanNumber(b)
	if n < len(b) && b[n] != ' ' || len(b) > 1 && b[1] == ' ' || err != nil {
		n = skipWord(b, 0)
		d, err = scanDecimal(b[:n])
	}
	return d, n, err
}
