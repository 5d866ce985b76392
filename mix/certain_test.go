package mix_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// A small batch on a coarse scale says what it can not hold, and what would do.
func TestCertaintyBefore(t *testing.T) {
	r := recipeOf(t, "4:1:1", "1.42,1.06,0.87")
	r.Components[1].Tolerance = 0.03
	p, err := r.Plan(volume(60))
	require.NoError(t, err)
	c, err := r.Certainty(&p, mix.AccuracyOf(scale.Gram, scale.Manner{}))
	require.NoError(t, err)
	assert.False(t, c.Accuracy.Measured)
	// The hardener of 10.6 g: s = 1 g assumed, so 2·1/0.03 = 66.7 g is needed.
	assert.InDelta(t, 66.667, c.NeedG[1], 1e-3)
	assert.Equal(t, 1, c.Weakest)
	assert.InDelta(t, 60*66.667/10.6, c.SmallestML, 0.1)
	text := mix.CertaintyText(&r, &p, &c)
	require.Len(t, text, 3)
	assert.Equal(t, "This batch would be 4 : 1 (base to reducer) ± 35 %.", text[0], "twice √2·1.04 g on 8.7 g")
	assert.Contains(t, text[1], "of 10.6 g is too small for a scale of 1 g: 380 ml would do.")
	assert.Equal(t, "Worked out for a scale of 1 g, taken to scatter by one division because nobody measured it.", text[2])

	// The same on a scale whose noise was measured: 0.41 divisions is the least
	// that a division allows.
	c, err = r.Certainty(&p, mix.AccuracyOf(scale.Gram, scale.Manner{Noise: 100 * scale.Milligram, Stills: 5, Period: 100 * time.Millisecond}))
	require.NoError(t, err)
	assert.True(t, c.Accuracy.Measured)
	assert.InDelta(t, 2*0.41/0.03, c.NeedG[1], 1e-3)
	text = mix.CertaintyText(&r, &p, &c)
	assert.Contains(t, text[1], "of 10.6 g is too small for a scale of 1 g: 160 ml would do.")
	assert.Equal(t, "Worked out for a scale of 1 g that scatters by less than its step, as it was measured.", text[2])
	still := mix.AccuracyOf(100*scale.Milligram, scale.Manner{Stills: 5, Period: 100 * time.Millisecond})
	assert.Equal(t, "a scale of 0.1 g that scatters by less than its step, as it was measured", still.Text(), "no scale scatters by 0 g")
	loud := mix.AccuracyOf(scale.Gram, scale.Manner{Noise: 2500 * scale.Milligram, Stills: 5, Period: 100 * time.Millisecond})
	assert.Equal(t, "a scale of 1 g that scatters by 2.5 g, as it was measured", loud.Text())

	// A large batch on a fine scale is as sure as its densities.
	p, err = r.Plan(volume(2000))
	require.NoError(t, err)
	c, err = r.Certainty(&p, mix.AccuracyOf(10*scale.Milligram, scale.Manner{}))
	require.NoError(t, err)
	assert.Equal(t, -1, c.Weakest)
	text = mix.CertaintyText(&r, &p, &c)
	require.Len(t, text, 3)
	assert.Contains(t, text[0], "± 1.5 %", "two densities, half a per cent each, times two")
	assert.Contains(t, text[1], "the half per cent assumed for densities")
	for i := range r.Components {
		r.Components[i].Density.UncertaintyGML = 0.001
	}
	c, err = r.Certainty(&p, mix.AccuracyOf(10*scale.Milligram, scale.Manner{}))
	require.NoError(t, err)
	assert.Less(t, c.Ratio[1].ExpandedRelative(), 0.003)
	assert.Equal(t, "Most of that is how well the density of reducer is known, not the scale.", mix.CertaintyText(&r, &p, &c)[1])
}

// By weight no density plays a part.
func TestCertaintyByWeight(t *testing.T) {
	r := byWeight(recipeOf(t, "100:30", "1.35,1.10"))
	r.Components[0].Density, r.Components[1].Density = mix.Density{}, mix.Density{}
	p, err := r.Plan(mass(500))
	require.NoError(t, err)
	c, err := r.Certainty(&p, mix.AccuracyOf(100*scale.Milligram, scale.Manner{}))
	require.NoError(t, err)
	assert.Zero(t, c.Ratio[1].PaintRelative)
	assert.False(t, c.Assumed)
	assert.InDelta(t, 100.0/30, c.Ratio[1].Value, 1e-9)
	assert.Contains(t, mix.CertaintyText(&r, &p, &c)[0], "3.33 : 1")
}

// After the pour: what came of it, with its uncertainty.
func TestCertaintyAfter(t *testing.T) {
	r := recipeOf(t, "4:1", "1.30,1.05")
	for i := range r.Components {
		r.Components[i].Density.UncertaintyGML = 0.005
	}
	b := mix.Batch{Recipe: r}
	b.Layers[0].Poured, b.Layers[1].Poured = scale.MassFromGrams(419.1), scale.MassFromGrams(84)
	c, err := b.Achieved(mix.AccuracyOf(100*scale.Milligram, scale.Manner{}))
	require.NoError(t, err)
	// The worked example of the propagation (JCGM 100), 0.7 % more base: 4.03,
	// and twice 0.0257.
	assert.InDelta(t, 4.0298, c.Ratio[1].Value, 1e-4)
	assert.Equal(t, []string{"Achieved 4.030 : 1 ± 0.052, base to hardener by volume."}, mix.AchievedText(&r, &c))

	b.Layers[1].Poured = 0
	_, err = b.Achieved(mix.AccuracyOf(100*scale.Milligram, scale.Manner{}))
	assert.ErrorContains(t, err, "A ratio needs both weights and both densities")
}

func TestCertaintyAllocatesNothing(t *testing.T) {
	r := recipeOf(t, "4:1:1", "1.42,1.06,0.87")
	a := mix.AccuracyOf(100*scale.Milligram, scale.Manner{})
	poured := []float64{590, 0, 0}
	var rescue mix.Rescue
	var c mix.Certainty
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		p, _ := r.Plan(volume(600))
		rescue, _ = p.LevelUp(poured)
		c, _ = r.Certainty(&p, a)
	}))
	assert.Positive(t, rescue.TotalG, "something was worked out")
	assert.Positive(t, c.Ratio[2].Uncertainty)
}

// BenchmarkNumbers is everything that a page asks for with a new amount: plan,
// level-up and certainty together.
func BenchmarkNumbers(b *testing.B) {
	r := recipeOf(b, "4:1:1", "1.42,1.06,0.87")
	a := mix.AccuracyOf(100*scale.Milligram, scale.Manner{})
	poured := []float64{590, 0, 0}
	b.ReportAllocs()
	for b.Loop() {
		p, _ := r.Plan(volume(600))
		_, _ = p.LevelUp(poured)
		_, _ = r.Certainty(&p, a)
	}
}

// One density without an uncertainty is enough for the sentence on what was
// assumed, whichever it is.
func TestCertaintySaysWhatWasAssumed(t *testing.T) {
	for missing := range 3 {
		r := recipeOf(t, "4:1:1", "1.42,1.06,0.87")
		for i := range r.Components {
			if i != missing {
				r.Components[i].Density.UncertaintyGML = 0.004
			}
		}
		p, err := r.Plan(volume(2000))
		require.NoError(t, err)
		c, err := r.Certainty(&p, mix.AccuracyOf(10*scale.Milligram, scale.Manner{}))
		require.NoError(t, err)
		assert.True(t, c.Assumed, missing)
		assert.Contains(t, mix.CertaintyText(&r, &p, &c)[1], "the half per cent assumed for densities that came without an uncertainty")
	}
}

// The sentences that a person reads of a ratio that is smaller than one, and of a
// scale that scatters by more than its step.
func TestCertaintyInWords(t *testing.T) {
	r := recipeOf(t, "1:1.5", "1.05,0.95")
	p, err := r.Plan(volume(40))
	require.NoError(t, err)
	c, err := r.Certainty(&p, mix.AccuracyOf(scale.Gram, scale.Manner{Noise: 2500 * scale.Milligram, Stills: 3}))
	require.NoError(t, err)
	text := mix.CertaintyText(&r, &p, &c)
	// √2·2.517 g on 16.8 and on 22.8 g, the shared reading and half a per cent of
	// each density: 37 % of the ratio, twice the standard one.
	assert.Contains(t, text[0], "This batch would be 1 : 1.5 (base to hardener) ± ")
	// 2·2.5/0.02 = 250 g of base are fifteen times 16.8 g: 595 ml.
	assert.Equal(t, "The base of 16.8 g is too small for a scale of 1 g that scatters by 2.5 g: 600 ml would do.", text[1])
}

// A component of which nobody said how near it must be sets no smallest batch.
func TestNoToleranceNoSmallestBatch(t *testing.T) {
	r := recipeOf(t, "4:1:1", "1.42,1.06,0.87")
	r.Components[1].Tolerance, r.Components[2].Tolerance = 0, 0.05
	p, err := r.Plan(volume(60))
	require.NoError(t, err)
	c, err := r.Certainty(&p, mix.AccuracyOf(scale.Gram, scale.Manner{}))
	require.NoError(t, err)
	assert.Zero(t, c.NeedG[1])
	assert.Equal(t, 2, c.Weakest, "the reducer: 2·1/0.05 = 40 g on 8.7 g")
	assert.InDelta(t, 60*40/8.7, c.SmallestML, 1e-6)
}

// Each ratio as a tin would print it.
func TestRatiosInWords(t *testing.T) {
	for ratio, says := range map[string]string{"1:1.25": "1 : 1.25 (", "4:1": "4 : 1 (", "10:3": "3.33 : 1 (", "1:1": "1 : 1 ("} {
		r := recipeOf(t, ratio, "1.05,0.95")
		p, err := r.Plan(volume(400))
		require.NoError(t, err)
		c, err := r.Certainty(&p, mix.AccuracyOf(100*scale.Milligram, scale.Manner{}))
		require.NoError(t, err)
		assert.Contains(t, mix.CertaintyText(&r, &p, &c)[0], "This batch would be "+says)
	}
}

// The layers lie on each other: the first two share a reading, which makes their
// ratio less sure, and the others do not. By hand for 400, 106 and 106 g and a
// reading of √(0.1² + 0.1²/12) = 0.104083 g, densities left out.
func TestCertaintySharesOneReading(t *testing.T) {
	r := byWeight(recipeOf(t, "400:106:106", "1.42,1.06,0.87"))
	p, err := r.Plan(mass(612))
	require.NoError(t, err)
	c, err := r.Certainty(&p, mix.AccuracyOf(100*scale.Milligram, scale.Manner{}))
	require.NoError(t, err)
	// 2·0.104083²·(1/400² + 1/106²), and 2·0.104083²/(400·106) more for the second.
	assert.InDelta(t, 0.0016046, c.Ratio[1].Uncertainty/c.Ratio[1].Value, 1e-7)
	assert.InDelta(t, 0.0014366, c.Ratio[2].Uncertainty/c.Ratio[2].Value, 1e-7)
}
