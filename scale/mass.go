package scale

import (
	"fmt"
	"math"
	"strconv"
)

// Mass is a mass in micrograms. The range of an int64 is ±9.2 million tonnes,
// so sums of bench weights can not overflow.
type Mass int64

// Sizes of Mass.
const (
	Microgram Mass = 1
	Milligram      = 1000 * Microgram
	Gram           = 1000 * Milligram
	Kilogram       = 1000 * Gram
)

// MassFromGrams rounds g grams to the nearest microgram, halves away from
// zero. It is the one place where computed physics becomes a measured mass.
// NaN gives 0; values out of range are clamped.
func MassFromGrams(g float64) Mass {
	ug := math.Round(g * float64(Gram))
	switch {
	case math.IsNaN(ug):
		return 0
	case ug >= math.MaxInt64:
		return math.MaxInt64
	case ug <= math.MinInt64:
		return math.MinInt64
	}
	return Mass(ug)
}

// ParseMass reads a number as a scale or a person writes it ("412.6",
// "-3.25") in the given unit. The result is rounded to a microgram, halves
// away from zero; g, kg and mg down to a microgram are exact.
func ParseMass(number string, unit Unit) (Mass, error) {
	d, err := ParseDecimal(number)
	if err != nil {
		return 0, err
	}
	return d.Mass(unit)
}

// Grams is the mass in grams, for physics and for display.
func (m Mass) Grams() float64 { return float64(m) / float64(Gram) }

// Abs is the mass without its sign.
func (m Mass) Abs() Mass {
	if m < 0 {
		return -m
	}
	return m
}

// RoundTo rounds to the nearest whole step, halves away from zero. A step of
// zero or less leaves the mass as it is.
func (m Mass) RoundTo(step Mass) Mass {
	if step <= 0 {
		return m
	}
	half := step / 2
	if m < 0 {
		return -((-m + half) / step * step)
	}
	return (m + half) / step * step
}

// AppendGrams appends the mass in grams with just the decimals it needs
// ("412.6", "-0.000001") and no unit.
func (m Mass) AppendGrams(dst []byte) []byte {
	u := uint64(m)
	if m < 0 {
		dst = append(dst, '-')
		u = -u
	}
	dst = strconv.AppendUint(dst, u/uint64(Gram), 10)
	frac := u % uint64(Gram)
	if frac == 0 {
		return dst
	}
	dst = append(dst, '.')
	for div := uint64(Gram) / 10; frac > 0; div /= 10 {
		dst = append(dst, byte('0'+frac/div))
		frac %= div
	}
	return dst
}

// String is the mass in grams with its unit: "412.6 g".
func (m Mass) String() string {
	var buf [32]byte
	return string(append(m.AppendGrams(buf[:0]), " g"...))
}

// Format writes the mass in grams with a fixed number of decimals and no
// unit, rounded: Format(1) of 412.64 g is "412.6".
func (m Mass) Format(decimals int) string {
	return fmt.Sprintf("%.*f", decimals, m.Grams())
}
