package mix_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/coating"
	"gramcup/scale"
)

// known is the worked 4:1:1 with densities whose ± is given: 562.5 g/l.
func known(t *testing.T) mix.Recipe {
	r := described(t)
	for i, gml := range []float64{1.40, 1.06, 0.87} {
		r.Components[i].Density = mix.Density{GPerML: gml, ReferenceC: 20, UncertaintyGML: []float64{0.004, 0.004, 0.003}[i]}
	}
	return r
}

func vocSure(t *testing.T, r mix.Recipe, a mix.Accuracy) mix.VOCSure {
	p, err := r.Plan(volume(600))
	require.NoError(t, err)
	s, err := r.VOCSure(&p, a)
	require.NoError(t, err)
	return s
}

// The densities alone are ± 2.347 g/l, the sheets' whole per cents 2.750 standard
// beside 1.174, the scale 0.135: worked by hand in mix/coating, where the sources
// stand.
func TestVOCSaysHowSureAndWhatIsCounted(t *testing.T) {
	bench := mix.AccuracyOf(100*scale.Milligram, scale.Manner{})
	r := known(t)
	s := vocSure(t, r, mix.Accuracy{})
	assert.InDelta(t, 2.347443, s.Spread.Regulatory.PlusMinusGL(), 1e-5)
	assert.Equal(t, "The ± counts the densities alone; the sheets give no ± of their VOC.", s.Counts)
	assert.False(t, s.Sheets)

	require.NoError(t, r.Components[0].Say(map[mix.Figure]string{mix.FigureVolatile: "40 %"}, "product sheet", 0))
	s = vocSure(t, r, mix.Accuracy{})
	assert.InDelta(t, 2*math.Hypot(1.1737215, 2.694301), s.Spread.Regulatory.PlusMinusGL(), 1e-5)
	assert.Equal(t, "The ± counts the densities and the sheets' figures as rounded in their last digit; for hardener and reducer nobody wrote down how the sheet prints it.", s.Counts)

	require.NoError(t, r.Components[1].Say(map[mix.Figure]string{mix.FigureWeightSolids: "75 %"}, "product sheet", 0))
	require.NoError(t, r.Components[2].Say(map[mix.Figure]string{mix.FigureVolatile: "100"}, "product sheet", 0))
	s = vocSure(t, r, bench)
	assert.InDelta(t, 2.750119, s.Spread.Material.SheetsGL, 1e-6)
	assert.True(t, s.Sheets)
	assert.Equal(t, "The ± counts the densities, the scale and the sheets' figures as rounded in their last digit.", s.Counts)

	require.NoError(t, r.Components[0].Say(map[mix.Figure]string{mix.FigureVolatile: "40.0 %"}, "product sheet", 0))
	finer := vocSure(t, r, mix.Accuracy{})
	assert.InDelta(t, math.Sqrt(0.2694301*0.2694301+0.5099927*0.5099927+0.2092895*0.2092895), finer.Spread.Regulatory.SheetsGL, 1e-5, "a tenth of a per cent")
	r.Components[0].Content.Volatile = 0.41
	assert.False(t, vocSure(t, r, mix.Accuracy{}).Sheets, "another figure than the one that was printed")

	r.Components[2].Density.UncertaintyGML = 0
	s = vocSure(t, r, mix.Accuracy{})
	assert.Contains(t, s.Counts, " Half a per cent is assumed for the density of reducer, which came without one.")
}

// A sheet's g/l and lb/gal are rounded each in its own digit: 4.7 lb/gal is 4.65 to
// 4.75, which is ± 5.99 g/l, and 563 g/l is ± 0.5.
func TestStatedVOCIsRounded(t *testing.T) {
	for typed, u := range map[string]float64{
		"563 g/l": 0.5 / math.Sqrt(3), "4.7 lb/gal": 0.05 * 453.59237 / 3.785411784 / math.Sqrt(3), "0.56 kg/l": 5 / math.Sqrt(3), "0 g/l": 0,
	} {
		r := known(t)
		for i := range r.Components {
			r.Components[i].Content = mix.Content{}
			require.NoError(t, r.Components[i].Say(map[mix.Figure]string{mix.FigureVOC: typed, mix.FigurePlain: "yes"}, "product sheet", 0))
		}
		s := vocSure(t, r, mix.Accuracy{})
		assert.True(t, s.Sheets, typed)
		// All three alike: √(4² + 1 + 1)/6 of it.
		assert.InDelta(t, u*math.Sqrt(18)/6, s.Spread.Regulatory.SheetsGL, 1e-9, typed)
	}
}

// Where the sheets give no ± and the densities do not change the figure, no ± is
// invented and none is shown.
func TestNoPlusMinusIsInvented(t *testing.T) {
	r := stating(t, "Blue", 720)
	s := vocSure(t, r, mix.Accuracy{})
	assert.Equal(t, "No ± of this VOC is known: the sheets give none, and the densities do not change it.", s.Counts)
	f, err := r.Figures(mix.Question{Amount: volume(600)})
	require.NoError(t, err)
	assert.Equal(t, "VOC 720 g/l less water and exempt solvent.", f.VOC.Text)
}

// A limit within the ± is too near to call, from below and from above, and just
// outside it is called: 562.5 ± 2.35 is written as ± 3.
func TestTooNearToCall(t *testing.T) {
	r := known(t)
	held := func(limitGL float64) mix.VOCFigure {
		own := mix.NewLimit("Permit", "Surfacer", limitGL, string(coating.BasisRegulatory), "the permit", "3 May 2026")
		r.Uses = []string{own.Name()}
		f, err := r.Figures(mix.Question{Amount: volume(600), Settings: mix.Settings{Limits: []mix.Limit{own}}})
		require.NoError(t, err)
		return f.VOC
	}
	for limit, says := range map[float64]string{
		565: "VOC 562 ± 3 g/l less water and exempt solvent, too near to call: the limit of 565 for Surfacer (Permit) lies within the ±.",
		560: "VOC 562 ± 3 g/l less water and exempt solvent, too near to call: the limit of 560 for Surfacer (Permit) lies within the ±.",
		566: "VOC 562 ± 3 g/l less water and exempt solvent: 4 g/l below the limit of 566 for Surfacer (Permit).",
		559: "VOC 562 ± 3 g/l less water and exempt solvent: 4 g/l above the limit of 559 for Surfacer (Permit).",
	} {
		assert.Equal(t, says, held(limit).Text)
	}
	assert.Contains(t, held(565).ReducerText, "would take this batch to its limit, and by its ± it may be there already; the sheet may allow less.")
	// (0.580 - 0.5625)·600/(0.870 - 0.580) = 36.2 ml, and to 577: (0.577 - 0.5625)·600/(0.870 - 0.577) = 29.7 ml.
	assert.Equal(t, "At most 36 ml more reducer would take this batch to its limit, 29 ml by its ±; the sheet may allow less.", held(580).ReducerText)
}

// Stages together are as unsure as if all were off the same way: (2.35 + 2·2.35)/3.
func TestStagesTogetherSayHowSure(t *testing.T) {
	base, clear := known(t), known(t)
	base.Uses = []string{oneOrTwo}
	f, err := base.Figures(mix.Question{Amount: volume(600), Over: []mix.Recipe{clear}})
	require.NoError(t, err)
	assert.InDelta(t, 2.347443, f.VOC.Stages.PlusMinusGL, 1e-5)
	assert.Contains(t, f.VOC.Stages.Text, "VOC 562 ± 3 g/l less water and exempt solvent, the clear counted twice.")
	assert.Contains(t, f.VOC.Stages.Text, ": 38 g/l below the limit of 600")
}
