package coating_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix/coating"
)

func newNoise(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 7)) }

// The formula against a million draws of the readings themselves (JCGM 101:
// propagation of distributions): each reading scatters and is rounded, each
// density scatters, and where the pours share a reading they share its error.
func TestUncertaintyAgainstMonteCarlo(t *testing.T) {
	const draws = 1_000_000
	for _, shared := range []bool{false, true} {
		for name, c := range map[string]struct {
			ga, gb, ra, rb, ua, ub float64
			s                      coating.ScaleAccuracy
		}{
			"worked example":   {416, 84, 1.30, 1.05, 0.005, 0.005, coating.ScaleAccuracy{RepeatabilityG: 0.1, DivisionG: 0.1}},
			"small, one gram":  {52, 10.5, 1.30, 1.05, 0.002, 0.002, coating.ScaleAccuracy{RepeatabilityG: 0.3, DivisionG: 1}},
			"densities known":  {416, 84, 1.30, 1.05, 0, 0, coating.ScaleAccuracy{RepeatabilityG: 0.2, DivisionG: 0.1}},
			"densities poorly": {416, 84, 1.30, 1.05, 0.02, 0.02, coating.ScaleAccuracy{RepeatabilityG: 0.02, DivisionG: 0.1}},
		} {
			rng := newNoise(1)
			read := func(x float64) float64 { // of an unknown place within the step, as the true weight has
				at := rng.Float64() * c.s.DivisionG
				return math.Round((x+at+c.s.RepeatabilityG*rng.NormFloat64())/c.s.DivisionG)*c.s.DivisionG - at
			}
			var sum, square float64
			for range draws {
				zero, middle := read(0), read(c.ga)
				start := middle
				if !shared {
					start = read(c.ga)
				}
				a, b := middle-zero, read(c.ga+c.gb)-start
				r := (a / (c.ra + c.ua*rng.NormFloat64())) / (b / (c.rb + c.ub*rng.NormFloat64()))
				sum, square = sum+r, square+r*r
			}
			mean := sum / draws
			drawn := math.Sqrt(square/draws - mean*mean)
			r, err := coating.RatioOf(coating.Layer{Grams: c.ga, DensityGML: c.ra, DensityU: c.ua}, coating.Layer{Grams: c.gb, DensityGML: c.rb, DensityU: c.ub}, c.s, shared)
			require.NoError(t, err)
			t.Logf("%-18s shared %-5v formula %.6f, a million draws %.6f, apart %+.2f %%", name, shared, r.Uncertainty, drawn, 100*(r.Uncertainty/drawn-1))
			// The formula is of first order: in the ten-gram pour on a one-gram
			// scale the ratio is visibly skew, and a few per cent apart is right.
			assert.InEpsilon(t, drawn, r.Uncertainty, 0.02, name)
		}
	}
}

func TestSmallestBatch(t *testing.T) {
	s := coating.ScaleAccuracy{RepeatabilityG: 0.3, DivisionG: 1}
	b, err := coating.SmallestBatch([]float64{71, 13.25, 10.9}, []float64{0.02, 0.03, 0.05}, 75, s)
	require.NoError(t, err)
	// The hardener of 4:1:1 needs 2·0.41/0.03 = 27.33 g, so 75 ml · 27.33/13.25.
	assert.Equal(t, 1, b.Component)
	assert.InDelta(t, 27.333, b.NeedG, 1e-3)
	assert.InDelta(t, 154.717, b.Batch, 1e-3)

	_, err = coating.SmallestBatch([]float64{71}, []float64{0}, 75, s)
	assert.EqualError(t, err, "A tolerance of 0 %: give one above 0 and below 100 %.")
	_, err = coating.SmallestBatch([]float64{0}, []float64{0.02}, 75, s)
	assert.EqualError(t, err, "Component 1 weighs 0 g in this batch: it must be above 0.")
	_, err = coating.SmallestBatch(nil, nil, 75, s)
	assert.EqualError(t, err, "Each component needs a weight and a tolerance.")
	_, err = coating.RatioOf(coating.Layer{Grams: 1}, coating.Layer{Grams: 1, DensityGML: 1}, s, false)
	assert.EqualError(t, err, "A ratio needs both weights and both densities, each above 0; one has 1 g at 0 g/ml.")
}

func TestRatioAllocatesNothing(t *testing.T) {
	a, b, s := u1()
	grams, tolerances := []float64{416, 84}, []float64{0.02, 0.03}
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		_, _ = coating.RatioOf(a, b, s, true)
		_, _ = coating.SmallestBatch(grams, tolerances, 400, s)
	}))
}

// How sure a share of the dark undercoat is follows from how sure its lightness
// is, over how steep the curve stands there: where it is steep the share is sure.
func TestShareIsSureWhereTheCurveIsSteep(t *testing.T) {
	g, err := coating.FitGrey(cards(0.02, 6, 0.6, 0, 0.05, 0.15, 0.3, 0.5, 0.75, 1))
	require.NoError(t, err)
	for _, wanted := range []float64{80, 60, 40} {
		s, err := g.For(wanted)
		require.NoError(t, err)
		below, err := g.Lightness(s.Dark - 1e-3)
		require.NoError(t, err)
		above, err := g.Lightness(s.Dark + 1e-3)
		require.NoError(t, err)
		assert.InEpsilon(t, s.Uncertainty/((below-above)/2e-3), s.DarkU, 0.01, wanted)
	}
}

func BenchmarkRatio(b *testing.B) {
	x, y, s := u1()
	b.ReportAllocs()
	for b.Loop() {
		_, _ = coating.RatioOf(x, y, s, true)
	}
}
