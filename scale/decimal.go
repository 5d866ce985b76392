package scale

import (
	"errors"
	"fmt"
	"math/bits"
	"strconv"
	"strings"
)

// Decimal is a number exactly as a scale sent it: its digits, how many stood
// behind the point, and how many in front (so that leading zeros survive).
// The zero value is "0".
type Decimal struct {
	Coefficient uint64 // the digits read as one whole number
	Places      uint8  // digits behind the point
	Lead        uint8  // digits in front of the point, leading zeros included
	Negative    bool   // a minus was sent; "-0.0" keeps it
}

// MaxDigits is the longest number that is read: 18 digits fit a uint64 and
// are far more than any scale shows.
const MaxDigits = 18

// Errors of reading a number.
var (
	ErrNoNumber = errors.New("no number")
	ErrNumber   = errors.New("not a plain decimal number")
	ErrTooLong  = errors.New("more than 18 digits")
	ErrNotMass  = errors.New("not a unit of mass")
	ErrTooBig   = errors.New("too large for a mass")
)

// ParseDecimal reads a number that a person typed: optional sign, digits, at
// most one point, blanks around it.
func ParseDecimal(s string) (Decimal, error) {
	d, err := scanDecimal([]byte(strings.TrimSpace(s)))
	if err != nil {
		return Decimal{}, fmt.Errorf("%q: %w", s, err)
	}
	return d, nil
}

// Append appends the number as it was sent, without blanks and without a plus.
func (d Decimal) Append(dst []byte) []byte {
	if d.Negative {
		dst = append(dst, '-')
	}
	var buf [24]byte
	digits := strconv.AppendUint(buf[:0], d.Coefficient, 10)
	for n := int(d.Lead) + int(d.Places) - len(digits); n > 0; n-- {
		digits = append(digits, 0)
		copy(digits[1:], digits)
		digits[0] = '0'
	}
	split := len(digits) - int(d.Places)
	if split < 0 {
		split = 0
	}
	dst = append(dst, digits[:split]...)
	if d.Places > 0 {
		dst = append(dst, '.')
		dst = append(dst, digits[split:]...)
	}
	return dst
}

// String is the number as it was sent.
func (d Decimal) String() string { return string(d.Append(nil)) }

// Mass converts the number to micrograms, rounded halves away from zero. It
// does not allocate when it succeeds.
func (d Decimal) Mass(u Unit) (Mass, error) {
	if ug, ok := d.metric(u); ok {
		return ug, nil
	}
	return d.anyMass(u)
}

// metric is Mass for the units that only move the point, as long as nothing
// has to be rounded and nothing can overflow: nearly every frame.
func (d Decimal) metric(u Unit) (Mass, bool) {
	places := uint8(0) // of a microgram in the unit
	switch u {
	case UnitGram:
		places = 6
	case UnitKilogram:
		places = 9
	case UnitMilligram:
		places = 3
	}
	if d.Places > places || d.Coefficient > 1e9 || places == 0 {
		return 0, false
	}
	ug := Mass(d.Coefficient * pow10[places-d.Places]) // at most 10^18
	if d.Negative {
		ug = -ug
	}
	return ug, true
}

// anyMass is Mass for every unit and every number.
func (d Decimal) anyMass(u Unit) (Mass, error) {
	if !u.IsMass() {
		return 0, fmt.Errorf("%q: %w", u, ErrNotMass)
	}
	const picogramsPerMicrogram = 1_000_000
	hi, lo := bits.Mul64(d.Coefficient, uint64(unitTable[u].picograms))
	if d.Places > MaxDigits {
		return 0, ErrTooLong
	}
	// value = coefficient × picograms / 10^places / 10^6, in two divisions so
	// that each divisor fits 64 bits; the rounding is done once, at the end.
	div := pow10[d.Places]
	qhi, rem := hi/div, hi%div
	qlo, _ := bits.Div64(rem, lo, div)
	if qhi >= picogramsPerMicrogram {
		return 0, ErrTooBig
	}
	ug, pg := bits.Div64(qhi, qlo, picogramsPerMicrogram)
	if pg >= picogramsPerMicrogram/2 {
		ug++
	}
	if ug > 1<<63-1 {
		return 0, ErrTooBig
	}
	if d.Negative {
		return -Mass(ug), nil
	}
	return Mass(ug), nil
}

// AppendGrams appends the exact number of grams as a decimal, never rounded:
// "1.2500" kg is "1250.0", 1 oz is "28.349523125". It fails for a unit that is
// not a mass.
func (d Decimal) AppendGrams(dst []byte, u Unit) ([]byte, error) {
	if !u.IsMass() {
		return dst, fmt.Errorf("%q: %w", u, ErrNotMass)
	}
	return appendExactGrams(dst, d, unitTable[u].picograms), nil
}

var pow10 = [MaxDigits + 1]uint64{
	1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
}
