package scale

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The experimental standard deviation (JCGM 100, 4.2.2) by hand, and what is put in
// for few degrees of freedom (JCGM 100, G.3.2 and table G.2):
//
//	2000.0 2000.2 1999.9   mean 2000.0333, squares 0.0011 0.0278 0.0178, √(0.046667/2) = 0.152753, × 4.53/2
//	10.0 10.4              √(0.08) = 0.282843, × 13.97/2
//	500.0 500.0 500.1      √(0.0066667/2) = 0.057735, one division: rounding, so as it is
//	500.0 500.0 500.2      √(0.0266667/2) = 0.115470, × 4.53/2
func TestRepeatsByHand(t *testing.T) {
	for _, row := range []struct {
		readings           []float64
		scatterG, standard float64
	}{
		{[]float64{2000.0, 2000.2, 1999.9}, 0.152753, 0.345985},
		{[]float64{10.0, 10.4}, 0.282843, 1.975655},
		{[]float64{500.0, 500.0, 500.1}, 0.057735, 0.057735},
		{[]float64{500.1, 500.0, 500.1}, 0.057735, 0.057735},
		{[]float64{500.0, 500.0, 500.2}, 0.115470, 0.261540},
		{[]float64{500.0, 500.0, 500.0}, 0, 0},
		{[]float64{-0.1, 0.1, 0}, 0.1, 0.2265},
		{[]float64{500.0}, 0, 0},
		{nil, 0, 0},
	} {
		var readings []Mass
		for _, g := range row.readings {
			readings = append(readings, MassFromGrams(g))
		}
		r := RepeatsOf(readings, 77)
		assert.InDelta(t, row.scatterG, r.Scatter.Grams(), 1e-6, "%v", row.readings)
		assert.InDelta(t, row.standard, r.Standard(100*Milligram).Grams(), 5e-6, "%v", row.readings)
		if len(row.readings) > 1 {
			assert.Equal(t, len(row.readings), r.N)
			assert.EqualValues(t, 77, r.AtMS)
		} else {
			assert.Zero(t, r, "one reading says nothing of a scatter")
		}
	}
	many := Repeats{Scatter: Gram, N: 40}
	assert.InDelta(t, 1.14, many.Standard(100*Milligram).Grams(), 1e-6, "the last of the table for more")
}

// The factors are those of Student's distribution, in the forms that it has for one
// to four degrees of freedom.
func TestCoverageIsStudents(t *testing.T) {
	for i, covered := range []func(x float64) float64{
		func(x float64) float64 { return 2 / math.Pi * math.Atan(x) },
		func(x float64) float64 { return x / math.Sqrt(2+x*x) },
		func(x float64) float64 {
			y := x / math.Sqrt(3)
			return 2 / math.Pi * (math.Atan(y) + y/(1+y*y))
		},
		func(x float64) float64 {
			y := x / math.Sqrt(4+x*x)
			return 1.5*y - 0.5*y*y*y
		},
	} {
		assert.InDelta(t, 0.9545, covered(coverage95[i]), 2e-4, "%d degrees of freedom", i+1)
	}
	for i := 1; i < len(coverage95); i++ {
		assert.Less(t, coverage95[i], coverage95[i-1])
	}
}
