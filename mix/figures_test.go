package mix_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/coating"
	"gramcup/scale"
)

// asked is a question about 600 ml on a scale of a tenth of a gram.
func asked(a mix.Amount) mix.Question {
	return mix.Question{Amount: a, Division: 100 * scale.Milligram, Now: time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)}
}

const usPrimer = "US national, 40 CFR 59 subpart B: Primer and primer surfacer"

// 4:1:1 with 40, 25 and 100 % volatile is 562.5 g/l (worked case of the
// definition in 40 CFR 59.104), 17.5 below the limit of 580; the most reducer
// solves (562.5·0.6 + 870·y)/(0.6 + y) = 580, y = 36.2 ml.
func TestFiguresOfAVolume(t *testing.T) {
	r := described(t)
	r.Uses = []string{usPrimer}
	for i, price := range []float64{26, 44, 11} {
		r.Components[i].PricePerL = price
	}
	f, err := r.Figures(asked(volume(600)))
	require.NoError(t, err)
	assert.InDelta(t, 0.4*26+0.1*44+0.1*11, f.Cost, 1e-9)
	assert.True(t, f.CostKnown)
	assert.Nil(t, f.Need)
	assert.Empty(t, f.Left)
	require.True(t, f.VOC.Known)
	assert.Equal(t, "VOC 562 ± 4 g/l less water and exempt solvent: 18 g/l below the limit of 580 for Primer and primer surfacer (US national, 40 CFR 59 subpart B).", f.VOC.Text)
	assert.InDelta(t, (0.580-0.5625)*600/(0.870-0.580), f.VOC.MoreReducerML, 0.01)
	assert.Contains(t, f.VOC.ReducerText, "At most 36 ml more reducer")
	require.True(t, f.Index.Known)
	assert.InDelta(t, f.Index.Index*1.03, f.Index.High, 1e-9)
	assert.Equal(t, "Index 0.78. It goes with the hardener: at ±3 % it is 0.75 to 0.80, and 10 % past the line makes it 0.86.", f.Index.Text)
	require.True(t, f.Sure.Known)
	assert.Zero(t, f.Sure.WouldDo)
	assert.Equal(t, 650.0, f.Sure.CupML)

	r.Uses = append(r.Uses, "EU, Directive 2004/42/EC annex II B: (c)(i) Surfacer, filler, general metal primer")
	f, err = r.Figures(asked(volume(600)))
	require.NoError(t, err)
	assert.Contains(t, f.VOC.Text, "22 g/l above the limit of 540", "the strictest governs")
	assert.Equal(t, "The mix is at 562 g/l already, the limit is 540: no reducer can be added.", f.VOC.ReducerText)
}

// 2 m² in two coats of 25 µm at 45 % and 65 % take 341.88 ml (worked case), 342
// in whole ones; the next usual cup of 400 leaves the rest over.
func TestFiguresOfAnArea(t *testing.T) {
	r := described(t)
	r.VolumeSolids, r.CupUsableML, r.Components[1].PricePerL = 0.45, 650, 0
	q := asked(mix.Amount{})
	q.Job = &mix.Job{AreaM2: 2, Coats: 2, DryUM: 25, Transfer: 0.65}
	f, err := r.Figures(q)
	require.NoError(t, err)
	assert.Equal(t, mix.Amount{Kind: mix.AmountVolume, ML: 342, Job: *q.Job}, f.Amount)
	assert.InDelta(t, 342, f.Plan.TotalML, 1e-9)
	assert.InDelta(t, 55.56, f.Need.WetUM, 0.01)
	require.Len(t, f.Left, 1)
	assert.Equal(t, "A full cup of 400 ml would leave 58 ml over.", f.Left[0].Text, "no prices, no cost")
	assert.Equal(t, "2 m², 2 coats of 25 µm", f.Amount.Job.Text())

	for i := range r.Components {
		r.Components[i].PricePerL = 20
	}
	q.MixML = 400
	f, err = r.Figures(q)
	require.NoError(t, err)
	require.Len(t, f.Left, 2)
	assert.Equal(t, "400 ml would leave 58 ml over: 1.16 in material.", f.Left[0].Text)
	q.MixML = 300
	f, err = r.Figures(q)
	require.NoError(t, err)
	assert.Equal(t, "300 ml is 42 ml less than the job takes.", f.Left[0].Text)
	r.VolumeSolids, r.Components[0].Content.VolumeSolids = 0, 0
	_, err = r.Figures(q)
	assert.ErrorContains(t, err, "base has no volume solids, so no amount can be worked out from an area")
}

// The way on from a batch that is too small is said as the amount was.
func TestFiguresSayWhatWouldDo(t *testing.T) {
	r := described(t)
	for i := range r.Components {
		r.Components[i].Tolerance = 0.03
	}
	q := asked(volume(60))
	q.Division = scale.Gram
	f, err := r.Figures(q)
	require.NoError(t, err)
	// 2·1 g/0.03 = 66.7 g of reducer, 76.6 ml, a sixth of the batch: 460 ml.
	assert.Equal(t, volume(460), f.Sure.WouldDo)
	assert.Equal(t, 650.0, f.Sure.CupML, "the cup for what would do")
	q.Amount = mass(70)
	f, err = r.Figures(q)
	require.NoError(t, err)
	assert.Equal(t, mix.AmountMass, f.Sure.WouldDo.Kind)
	q.Amount, q.Division = volume(60), 0
	f, err = r.Figures(q)
	require.NoError(t, err)
	assert.False(t, f.Sure.Known)
	assert.Contains(t, f.Sure.WhyNot, "its step is not known")
	q.Amount = mix.Amount{Kind: mix.AmountAsPoured}
	f, err = r.Figures(q)
	require.NoError(t, err)
	assert.Contains(t, f.Sure.WhyNot, "depends on how much you pour")
}

// What is not known is said in place, and the pour goes on.
func TestFiguresSayWhyNot(t *testing.T) {
	r := described(t)
	r.Components[2].Content, r.Components[0].Content.OHValue = mix.Content{}, 0
	f, err := r.Figures(asked(volume(600)))
	require.NoError(t, err)
	assert.Contains(t, f.VOC.WhyNot, "reducer: its VOC is not known.")
	assert.Equal(t, "No index: the OH value of base is not known; it stands on its sheet.", f.Index.WhyNot)
	assert.InDelta(t, 600, f.Plan.TotalML, 1e-9)

	r = described(t)
	f, err = r.Figures(asked(volume(600)))
	require.NoError(t, err)
	assert.Contains(t, f.VOC.HeldWhyNot, "Which category is the mix used as?")
	r.Uses = []string{"Booth permit: Surfacer"}
	f, err = r.Figures(asked(volume(600)))
	require.NoError(t, err)
	assert.Contains(t, f.VOC.HeldWhyNot, `is used as "Booth permit: Surfacer", and no limit is called that any more`)
}

// A shop at 30 °C: densities move before anything else is worked out, and say
// so; 0.397 % is the worked case of two expansions.
func TestFiguresInAWarmShop(t *testing.T) {
	r := described(t)
	r.Components[0].Density.ExpansionPerK, r.Components[1].Density.ExpansionPerK = 0.0007, 0.0011
	r.Components[0].Density.Source = "product sheet"
	q, warm := asked(volume(600)), 30.0
	q.Settings.ShopC = &warm
	f, err := r.Figures(q)
	require.NoError(t, err)
	assert.InDelta(t, 400*1.40/1.007, f.Plan.Targets[0].MassG, 1e-6)
	assert.Equal(t, "1.39 g/ml at 30 °C, product sheet, moved from 20 °C", f.Details[0].Provenance)
	assert.Contains(t, f.Warmed.ShiftText(), "With the densities left as they were, there would be 0.40 % too much hardener.")
	assert.Contains(t, f.Warmed.Notes[0], "reducer: how much it expands is not known")
	// How much a liquid grows is known to 0.0002 a kelvin at best, and not at all
	// where no figure is given: a warm shop is never as sure as the sheet.
	at20 := asked(volume(600))
	g, err := r.Figures(at20)
	require.NoError(t, err)
	base, _ := f.Recipe.Components[0].Density.Spread()
	assert.InDelta(t, math.Hypot(0.005*1.40/1.007, 1.40*10*0.0002/math.Sqrt(3)), base, 1e-9)
	reducer, given := f.Recipe.Components[2].Density.Spread()
	assert.InDelta(t, math.Hypot(0.005*0.87, 0.87*10*0.0014/math.Sqrt(3)), reducer, 1e-9)
	assert.False(t, given)
	assert.Greater(t, f.Sure.Certainty.Ratio[2].Uncertainty, 1.3*g.Sure.Certainty.Ratio[2].Uncertainty)
	r.Components[2].Density.UncertaintyGML = 0.004
	w, err := r.At(warm)
	require.NoError(t, err)
	assert.InDelta(t, math.Hypot(0.004, 0.87*10*0.0014/math.Sqrt(3)), w.Recipe.Components[2].Density.UncertaintyGML, 1e-9)

	// The VOC stays that of the sheets: a warm shop buys no room below a limit.
	assert.InDelta(t, g.VOC.VOC.RegulatoryGL, f.VOC.VOC.RegulatoryGL, 0.6, "the ratio poured moves a little, the litre does not")
	require.Positive(t, g.VOC.VOC.RegulatoryGL)

	hot := 80.0
	q.Settings.ShopC = &hot
	_, err = r.Figures(q)
	assert.ErrorContains(t, err, "A shop at 80 °C can not be right")
}

func TestProvenance(t *testing.T) {
	now := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	for want, d := range map[string]mix.Density{
		"no density":                        {},
		"1.06 g/ml at 20 °C, product sheet": {GPerML: 1.06, ReferenceC: 20, Source: "product sheet"},
		"1.062 g/ml at 20 °C, weighed here 20 Nov, ± 0.013":  {GPerML: 1.062, ReferenceC: 20, Source: "weighed here", UncertaintyGML: 0.0065, SinceMS: now.Add(-5 * 24 * time.Hour).UnixMilli()},
		"0.87 g/ml at 23 °C, typed in 24 Nov 2025":           {GPerML: 0.87, ReferenceC: 23, Source: "typed in", SinceMS: now.AddDate(-1, 0, -1).UnixMilli()},
		"1.40 g/ml at 20 °C, where from is not written down": {GPerML: 1.4, ReferenceC: 20},
	} {
		assert.Equal(t, want, d.Provenance(now))
	}
	assert.Equal(t, -1, mix.Density{GPerML: 1}.AgeDays(now))
	assert.Equal(t, 5, mix.Density{GPerML: 1, SinceMS: now.Add(-5 * 24 * time.Hour).UnixMilli()}.AgeDays(now))
	r := described(t)
	r.Components[0].Density.GPerML = 1.9
	f, err := r.Figures(asked(volume(600)))
	require.NoError(t, err)
	assert.Contains(t, f.Details[0].Ask, "1.900 g/ml is unusual for primer surfacer")
}

func TestSettingsCheck(t *testing.T) {
	own := mix.Limit{Set: "Permit", Category: "Clear", GL: 400, Basis: coating.BasisEuropean, Source: "permit", Date: "2026"}
	require.NoError(t, mix.Settings{Limits: []mix.Limit{own}}.Check())
	assert.ErrorContains(t, mix.Settings{Limits: []mix.Limit{own, own}}.Check(), `a limit of the name "Permit: Clear" already`)
	own.Date = ""
	assert.ErrorContains(t, mix.Settings{Limits: []mix.Limit{own}}.Check(), "say where the limit comes from and of when it is")
	cold := 5.0
	require.NoError(t, mix.Settings{ShopC: &cold}.Check(), "far from the sheets, but a shop in winter")
}

// Closer to a limit than a sheet's figures are: no "0 g/l below" and no rounded
// figure that would stand on the other side.
func TestHeldCloseToALimit(t *testing.T) {
	limit := coating.Limits()[0]
	said := mix.HeldText(coating.Comparison{Limit: limit, GL: limit.GL - 0.3, Spare: 0.3})
	assert.Contains(t, said, fmt.Sprintf("VOC %.1f g/l", limit.GL-0.3))
	assert.Contains(t, said, "less than 1 g/l below the limit of")
	assert.Contains(t, said, "closer than the sheet's own figures are.")
	said = mix.HeldText(coating.Comparison{Limit: limit, GL: limit.GL + 0.4, Spare: -0.4})
	assert.Contains(t, said, "less than 1 g/l above the limit of")
}

// Of two reducers the one that reaches the limit first is told of, whichever of
// them stands first in the recipe.
func TestTheReducerThatReachesTheLimitFirst(t *testing.T) {
	r := described(t)
	heavy := r.Components[2]
	heavy.Name, heavy.Density.GPerML = "slow reducer", 0.95
	r.Components = append(r.Components, heavy)
	for range 2 {
		p, err := r.Plan(volume(1000))
		require.NoError(t, err)
		v, err := r.VOC(&p)
		require.NoError(t, err)
		held := coating.Comparison{Limit: coating.Limit{GL: v.RegulatoryGL + 20, Basis: coating.BasisRegulatory}}
		ml, name, err := r.MostReducer(v, held)
		require.NoError(t, err)
		assert.Equal(t, "slow reducer", name)
		want, err := coating.MostReducer(v, coating.Part{Name: name, DensityGML: 0.95, Composed: true, Volatile: 1}, held.Limit.GL, held.Limit.Basis, 20)
		require.NoError(t, err)
		assert.InDelta(t, want, ml, 1e-9)
		r.Components[2], r.Components[3] = r.Components[3], r.Components[2]
	}
}
