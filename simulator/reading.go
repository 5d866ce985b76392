package simulator

import (
	"math"

	"gramcup/scale"
)

// reading is what the display says, in a unit. It is the one place where the
// physics becomes a number of a scale.
func (c *cell) reading(unit scale.Unit) scale.Reading {
	r := scale.Reading{Unit: unit, Mode: scale.ModeGross, Motion: scale.MotionStill}
	weightG := c.shownG
	if c.tared {
		r.Mode = scale.ModeNet
		weightG -= c.tareG
	}
	if c.moving {
		r.Motion = scale.MotionMoving
	}
	r.Status = c.status()
	switch r.Status {
	case scale.StatusOK, scale.StatusZero, scale.StatusOver, scale.StatusUnder:
		r.Number, r.HasNumber = shown(weightG, c.preset.DivisionG, unit), true
	}
	return r
}

func (c *cell) status() scale.Status {
	switch {
	case c.initialZeroError:
		return scale.StatusInitialZeroError
	case c.zeroError:
		return scale.StatusZeroError
	case c.tareError:
		return scale.StatusTareError
	case c.over():
		return scale.StatusOver
	case c.under():
		return scale.StatusUnder
	case math.Abs(c.shownG) <= centreOfZeroD*c.preset.DivisionG:
		return scale.StatusZero
	}
	return scale.StatusOK
}

// shown rounds to the division, halves away from zero, and writes the result
// with the decimals that the division has in the unit. In a unit in which the
// division is no round number it shows the next finer power of ten.
func shown(weightG, divisionG float64, unit scale.Unit) scale.Decimal {
	const tiny = 1e-9 // so that 0.1 g has one decimal and not two
	unitG := unitSizeG(unit)
	rounded := scale.MassFromGrams(weightG).RoundTo(scale.MassFromGrams(divisionG))
	places := max(0, int(math.Ceil(-math.Log10(divisionG/unitG)-tiny)))
	scaled := math.Round(math.Abs(rounded.Grams()) / unitG * math.Pow10(places))
	d := scale.Decimal{Coefficient: uint64(scaled), Places: uint8(places), Lead: 1}
	d.Negative = rounded < 0 && scaled > 0
	for whole := scaled / math.Pow10(places); whole >= 10; whole /= 10 {
		d.Lead++
	}
	return d
}

// unitSizeG is the size of a unit of mass in grams, 1 for any other unit.
func unitSizeG(u scale.Unit) float64 {
	m, err := scale.Decimal{Coefficient: 1}.Mass(u)
	if err != nil {
		return 1
	}
	return m.Grams()
}
