package mix_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/coating"
	"gramcup/scale"
)

// Stick, cup marks and scale stand side by side as errors of the same thing, each
// component's own amount. By hand: 300 ml of 4:1:1 in a straight can of 85 mm, 1 mm
// of which are 5.6745 ml. The second column of 50 ml is 8.811 mm, read at both
// ends to 1.5 mm: 24.07 %. Its 53 g at 1.06 g/ml on a scale of 0.1 g that scatters
// by 0.1 g: √2·0.104083/53 = 0.00278 and 0.005/1.06 = 0.00472 are 0.00547, twice
// that 1.09 %.
func TestWaysOfPouringCompared(t *testing.T) {
	r := recipeOf(t, "4:1:1", "1.42,1.06,0.87")
	for i := range r.Components {
		r.Components[i].Density.UncertaintyGML = 0.005
	}
	can := coating.Tapered{BottomMM: 85, TopMM: 85, InnerMM: 120}
	e, err := r.ByEye(can, 300, mix.AccuracyOf(100*scale.Milligram, scale.Manner{}))
	require.NoError(t, err)
	require.Empty(t, e.WhyNoScale)
	assert.InDelta(t, 35.245, e.Rows[0].MarkMM, 1e-3)
	assert.InDelta(t, 1.5/35.245, e.Rows[0].StickError, 1e-5)
	assert.InDelta(t, 0.2407, e.Rows[1].StickError, 1e-4)
	assert.InDelta(t, 0.2407, e.Rows[2].CupError, 1e-4)
	assert.InDelta(t, 0.01095, e.Rows[1].ScaleError, 2e-5)
	// The first has no partner to be compared with, and an error of its own: 284 g.
	assert.InDelta(t, 0.00712, e.Rows[0].ScaleError, 2e-5)

	// What the bench has measured of its scale is what counts.
	calm, err := r.ByEye(can, 300, mix.AccuracyOf(scale.Gram, scale.Manner{Noise: 50 * scale.Milligram, Stills: 5}))
	require.NoError(t, err)
	wild, err := r.ByEye(can, 300, mix.AccuracyOf(scale.Gram, scale.Manner{}))
	require.NoError(t, err)
	assert.Less(t, calm.Rows[1].ScaleError, wild.Rows[1].ScaleError/2)
	// In a narrow cup a stick is read better: 24 % over (85/35)² at the second
	// column, and the scale stays what it is.
	narrow, err := r.ByEye(coating.Tapered{BottomMM: 35, TopMM: 35, InnerMM: 400}, 300, mix.AccuracyOf(100*scale.Milligram, scale.Manner{}))
	require.NoError(t, err)
	assert.InDelta(t, 0.2407*35*35/(85*85), narrow.Rows[1].StickError, 1e-4)
	assert.InDelta(t, e.Rows[1].ScaleError, narrow.Rows[1].ScaleError, 1e-12)

	// Where the parts count weight the density plays no part in weighing them out.
	w := byWeight(r)
	e, err = w.ByEye(can, 300, mix.AccuracyOf(100*scale.Milligram, scale.Manner{}))
	require.NoError(t, err)
	p, err := w.Plan(volume(300))
	require.NoError(t, err)
	assert.InDelta(t, 2*0.147196/p.Targets[1].MassG, e.Rows[1].ScaleError, 1e-6)
}

// Without a scale, or without a density, the marks are there all the same and
// the sentence says what is missing.
func TestByEyeWithoutAScale(t *testing.T) {
	r := recipeOf(t, "4:1", "1.42,1.06")
	can := coating.Tapered{BottomMM: 85, TopMM: 85, InnerMM: 120}
	e, err := r.ByEye(can, 300, mix.Accuracy{})
	require.NoError(t, err)
	assert.Equal(t, "the step of the scale is not known yet, so it can not be compared", e.WhyNoScale)
	assert.Zero(t, e.Rows[0].ScaleError)
	r.Components[1].Density = mix.Density{}
	e, err = r.ByEye(can, 300, mix.AccuracyOf(scale.Gram, scale.Manner{}))
	require.NoError(t, err)
	assert.Contains(t, e.WhyNoScale, "has no density, and a ratio by volume can not be weighed without it")
	assert.Len(t, e.Rows, 2)
	assert.Zero(t, e.Rows[0].ScaleError)
}
