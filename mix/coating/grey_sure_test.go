package coating_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix/coating"
)

// The worked pair of a light undercoat of L* 93 and a dark one of L* 25, after
// the two-constant form (Kubelka and Munk 1931; Berns and Mohammadi 2006), worked
// out beside this program: the share of the dark one for L* 60, and L* at five
// shares, for three scattering strengths.
func TestGreyWorkedPair(t *testing.T) {
	for strength, want := range map[float64]struct {
		share float64
		at    map[float64]float64
	}{
		0.2: {0.323351, map[float64]float64{0.05: 82.353, 0.1: 76.400, 0.2: 67.933, 0.4: 55.734, 0.7: 40.862}},
		0.5: {0.160474, map[float64]float64{0.05: 74.800, 0.1: 66.698, 0.2: 56.563, 0.4: 44.475, 0.7: 33.231}},
		1.0: {0.087237, map[float64]float64{0.05: 67.335, 0.1: 58.075, 0.2: 47.838, 0.4: 37.489, 0.7: 29.626}},
	} {
		list := []coating.Drawdown{{Dark: 0, Lightness: 93}, {Dark: 1, Lightness: 25}}
		for c, l := range want.at {
			list = append(list, coating.Drawdown{Dark: c, Lightness: l})
		}
		g, err := coating.FitGrey(list)
		require.NoError(t, err)
		assert.InDelta(t, strength, g.Strength(), 2e-3)
		s, err := g.For(60)
		require.NoError(t, err)
		assert.InDelta(t, want.share, s.Dark, 5e-5, "strength %v", strength)
		for c, l := range want.at {
			got, err := g.Lightness(c)
			require.NoError(t, err)
			assert.InDelta(t, l, got, 2e-3, "strength %v, share %v", strength, c)
		}
	}
}

// Far from every drawdown the fit is less sure than beside one, and a further
// drawdown there makes it surer.
func TestGreyIsLessSureInAGap(t *testing.T) {
	three, err := coating.FitGrey(cards(0.02, 6, 0.6, 0, 0.5, 1))
	require.NoError(t, err)
	u := func(g coating.Grey, lightness float64) float64 {
		s, err := g.For(lightness)
		require.NoError(t, err)
		return s.Uncertainty
	}
	in, beside := mixed(0.02, 6, 0.6, 0.12), mixed(0.02, 6, 0.6, 0.5)
	assert.Greater(t, u(three, in), 1.1*u(three, beside))
	assert.InDelta(t, 0.5*math.Sqrt2, u(three, beside), 1e-3, "three cards hold three unknowns: a card's own scatter, and that of the next")
	four, err := coating.FitGrey(cards(0.02, 6, 0.6, 0, 0.12, 0.5, 1))
	require.NoError(t, err)
	assert.Less(t, u(four, in), 0.8*u(three, in))
	spread, fromCards := three.Spread()
	assert.Equal(t, 0.5, spread, "an assumption")
	assert.False(t, fromCards)
}

// The line lies between what was drawn down and steps finely where it is steep.
func TestGreyLine(t *testing.T) {
	g, err := coating.FitGrey(cards(0.02, 6, 0.6, 0.1, 0.3, 0.8))
	require.NoError(t, err)
	line := g.Line(41)
	require.Len(t, line, 41)
	low, high, lightest, darkest := g.Range()
	assert.Equal(t, []float64{0.1, 0.8}, []float64{low, high})
	assert.Equal(t, [2]float64{low, lightest}, [2]float64{line[0].Dark, line[0].Lightness})
	assert.InDelta(t, darkest, line[40].Lightness, 1e-9)
	for i, p := range line[1:] {
		assert.Less(t, p.Lightness, line[i].Lightness)
		assert.InDelta(t, mixed(0.02, 6, 0.6, p.Dark), p.Lightness, 1e-3)
		assert.Positive(t, p.Uncertainty)
	}
}

// What a scale and two densities add to the uncertainty is what moving each of
// them by its own uncertainty does to L*.
func TestGreyWeighed(t *testing.T) {
	g, err := coating.FitGrey(cards(0.02, 6, 0.6, 0, 0.05, 0.15, 0.3, 1))
	require.NoError(t, err)
	for _, want := range []float64{80, 60, 45} {
		s, err := g.For(want)
		require.NoError(t, err)
		light := coating.Layer{Grams: (1 - s.Dark) * 300 * 1.45, DensityGML: 1.45, DensityU: 0.007}
		dark := coating.Layer{Grams: s.Dark * 300 * 1.38, DensityGML: 1.38, DensityU: 0.007}
		scale := coating.ScaleAccuracy{RepeatabilityG: 0.1, DivisionG: 0.1}
		w, err := g.Weighed(s, light, dark, scale)
		require.NoError(t, err)
		share := func(lg, dg, lden, dden float64) float64 { return (dg / dden) / (dg/dden + lg/lden) }
		l := func(c float64) float64 { return mixed(0.02, 6, 0.6, c) }
		at := l(s.Dark)
		more := at - l(share(light.Grams, dark.Grams+1, 1.45, 1.38))
		assert.InEpsilon(t, more, w.PerGram, 1e-3, fmt.Sprint(want))
		u := coating.ReadingUncertaintyG(0.1, 0.1)
		// The first reading, the one between the layers, which both share, and the last.
		first := at - l(share(light.Grams-u, dark.Grams, 1.45, 1.38))
		between := at - l(share(light.Grams+u, dark.Grams-u, 1.45, 1.38))
		last := at - l(share(light.Grams, dark.Grams+u, 1.45, 1.38))
		assert.InEpsilon(t, math.Sqrt(first*first+between*between+last*last), w.Scale, 0.02)
		a := at - l(share(light.Grams, dark.Grams, 1.457, 1.38))
		b := at - l(share(light.Grams, dark.Grams, 1.45, 1.387))
		assert.InEpsilon(t, math.Sqrt(a*a+b*b), w.Paint, 0.02)
		assert.InDelta(t, math.Sqrt(s.Uncertainty*s.Uncertainty+w.Scale*w.Scale+w.Paint*w.Paint), w.Uncertainty, 1e-12)
	}
	_, err = g.Weighed(coating.Shade{Dark: 0.1}, coating.Layer{Grams: 10}, coating.Layer{Grams: 1, DensityGML: 1.4}, coating.ScaleAccuracy{})
	assert.ErrorContains(t, err, "both densities")
}
