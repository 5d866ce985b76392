package mix_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/coating"
	"gramcup/scale"
)

// slateGreys is an invented system. Its drawdowns are those of a light undercoat
// of L* 93 and a dark one of L* 25 that scatters half as much: L* 60 then wants
// 0.160474 of the dark one (two-constant form, worked out beside this program).
func slateGreys() mix.GreySystem {
	return mix.GreySystem{
		ID: "slate", Name: "Slate", LikeID: "slate-surfacer",
		Light: mix.GreyTin{Name: "Slate surfacer"}, Dark: mix.GreyTin{Name: "Slate dark", Density: mix.Density{GPerML: 1.38, ReferenceC: 20, Source: "product sheet", SinceMS: 5}},
		Cards: []mix.GreyCard{{DarkPercent: 0, Lightness: 93}, {DarkPercent: 10, Lightness: 66.698}, {DarkPercent: 40, Lightness: 44.475}, {DarkPercent: 100, Lightness: 25}},
		Steps: []mix.GreyStep{{Name: "middle", Lightness: 60}, {Name: "deep", Lightness: 40}},
	}
}

func slateShelf(t *testing.T) []mix.Recipe {
	r := recipeOf(t, "4:1:1", "1.42,1.06,0.87")
	r.ID, r.Name, r.PotLifeMin, r.Note = "slate-surfacer", "Slate surfacer 4:1:1", 45, "From the sheet."
	r.Components[0].Name, r.Components[0].PricePerL = "slate surfacer ", 26
	return []mix.Recipe{r}
}

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// The two undercoats take the place of the base: 4 parts become 3.3581 and
// 0.6419, hardener and reducer stay as they are.
func TestGreyBecomesARecipe(t *testing.T) {
	m, err := slateGreys().Grey(60, slateShelf(t), noon)
	require.NoError(t, err)
	assert.InDelta(t, 0.160474, m.Shade.Dark, 5e-5)
	r := m.Recipe
	assert.Equal(t, "grey-slate-60", r.ID)
	assert.Equal(t, "Slate, middle", r.Name)
	assert.Equal(t, 45, r.PotLifeMin)
	require.Len(t, r.Components, 4)
	assert.InDelta(t, 4*(1-0.160474), r.Components[0].Parts, 6e-4)
	assert.InDelta(t, 4*0.160474, r.Components[1].Parts, 3e-4)
	assert.Equal(t, []float64{1, 1}, []float64{r.Components[2].Parts, r.Components[3].Parts})
	assert.Equal(t, 1.42, r.Components[0].Density.GPerML, "the shelf knows a tin of that name")
	assert.Equal(t, 26.0, r.Components[0].PricePerL)
	assert.Equal(t, "product sheet", r.Components[1].Density.Source)
	assert.Contains(t, r.Note, "Grey of L* 60 ± 1.")
	assert.Contains(t, r.Note, "16.05 % of Slate dark in the two undercoats by volume, fitted on 25 Nov 2026 from 4 drawdowns")
	assert.Contains(t, r.Note, "From the sheet.")

	p, err := r.Plan(mix.Amount{Kind: mix.AmountVolume, ML: 300})
	require.NoError(t, err)
	assert.InDelta(t, 200*0.839526*1.42, p.Targets[0].MassG, 0.02)
	assert.InDelta(t, 200*0.160474*1.38, p.Targets[1].MassG, 0.02)
	w, err := m.Weighed(&p, mix.AccuracyOf(scale.Gram, scale.Manner{}))
	require.NoError(t, err)
	assert.Greater(t, w.Uncertainty, m.Shade.Uncertainty)
	assert.InDelta(t, 0.4, w.PerGram, 0.15)

	deep, err := slateGreys().Grey(40.5, slateShelf(t), noon)
	require.NoError(t, err)
	assert.Equal(t, "Slate, grey 40.5", deep.Recipe.Name)
	assert.Equal(t, "grey-slate-40-5", deep.Recipe.ID)
}

// At an end of the drawdowns the card there is the grey: pure, there is nothing to
// mix, and a mix says in its note and before the pour what its card dried to.
func TestGreyAtTheEnds(t *testing.T) {
	s := slateGreys()
	for wanted, says := range map[float64]string{
		93: "a lightness of 93 is Slate surfacer alone, whose own drawdown dried to L* 93.0 ± 1.", 93.5: "a lightness of 93.5 is Slate surfacer alone",
		25: "a lightness of 25 is Slate dark alone, whose own drawdown dried to L* 25.0 ± 1.", 24.5: "a lightness of 24.5 is Slate dark alone",
		94.2: "outside what was drawn down, L* 93.0 to 25.0", 23.8: "outside what was drawn down, L* 93.0 to 25.0",
	} {
		_, err := s.Grey(wanted, slateShelf(t), noon)
		assert.ErrorContains(t, err, says)
	}
	s.Cards = s.Cards[1:]
	m, err := s.Grey(67, slateShelf(t), noon)
	require.NoError(t, err)
	assert.InDelta(t, 0.1, m.Shade.Dark, 1e-12)
	assert.Contains(t, m.Recipe.Note, ", whose own drawdown dried to L* 66.7 ± 1.4: 10.00 % of Slate dark")
	assert.Equal(t, "Your drawdowns end here: this one dried to L* 66.7, ± 1.4 for the next. Their scatter is assumed, half an L*: a fourth one tells more.", m.GreySure(&mix.Plan{}, mix.Accuracy{})[0])
}

// A percentage of the base stays the same amount, although the base is two tins.
func TestGreyKeepsPercentages(t *testing.T) {
	shelf := slateShelf(t)
	shelf[0] = withPercent(t, recipeOf(t, "2:1", "1.42,1.06"), 10, mix.OfFirst, "0.87")
	shelf[0].ID = "slate-surfacer"
	m, err := slateGreys().Grey(60, shelf, noon)
	require.NoError(t, err)
	volumes, err := m.Recipe.VolumesML(320)
	require.NoError(t, err)
	assert.InDelta(t, 200, volumes[0]+volumes[1], 0.01)
	assert.InDelta(t, 100, volumes[2], 0.01)
	assert.InDelta(t, 20, volumes[3], 0.01)
}

// Where the sheet counts by weight the share of the volume is turned into one of
// the weight, and that needs both densities.
func TestGreyByWeight(t *testing.T) {
	shelf := []mix.Recipe{byWeight(recipeOf(t, "100:20", "1.42,1.06"))}
	shelf[0].ID, shelf[0].Components[0].Name = "slate-surfacer", "Slate surfacer"
	m, err := slateGreys().Grey(60, shelf, noon)
	require.NoError(t, err)
	light, dark := 0.839526*1.42, 0.160474*1.38
	assert.InDelta(t, 100*light/(light+dark), m.Recipe.Components[0].Parts, 0.02)
	assert.InDelta(t, 100*dark/(light+dark), m.Recipe.Components[1].Parts, 0.01)
	assert.Equal(t, 20.0, m.Recipe.Components[2].Parts)
	shelf[0].Components[0].Density = mix.Density{}
	_, err = slateGreys().Grey(60, shelf, noon)
	assert.ErrorContains(t, err, "the densities of Slate surfacer and of Slate dark are needed")
}

// A density is never assumed, and the newest of a tin is taken.
func TestGreyTins(t *testing.T) {
	s := slateGreys()
	s.LikeID, s.Dark.Density = "", mix.Density{}
	m, err := s.Grey(60, nil, noon)
	require.NoError(t, err)
	assert.Equal(t, "83.95 : 16.05 by volume", mix.RatioText(m.Recipe))
	assert.False(t, m.Recipe.Components[0].Density.Known())
	assert.False(t, m.Recipe.Components[1].Density.Known())

	shelf := slateShelf(t)
	measured := m.Recipe
	measured.Name, measured.Components[1].Density = "Slate, middle", mix.Density{GPerML: 1.391, Source: "weighed here against water", SinceMS: 9}
	shelf = append(shelf, measured)
	c, from := slateGreys().Tin(slateGreys().Dark, shelf)
	assert.Equal(t, 1.391, c.Density.GPerML, "measured later than the sheet was typed")
	assert.Equal(t, "Slate, middle", from)
	shelf[1].Components[1].Density.SinceMS = 3
	c, from = slateGreys().Tin(slateGreys().Dark, shelf)
	assert.Equal(t, 1.38, c.Density.GPerML)
	assert.Empty(t, from)
}

func TestGreySystemRefuses(t *testing.T) {
	for says, spoil := range map[string]func(*mix.GreySystem){
		"The system has no name":                         func(s *mix.GreySystem) { s.Name = " " },
		"The dark undercoat has no name":                 func(s *mix.GreySystem) { s.Dark.Name = "" },
		"they are two tins":                              func(s *mix.GreySystem) { s.Dark.Name = "slate Surfacer" },
		"did you mean 1380 g/L":                          func(s *mix.GreySystem) { s.Dark.Density.GPerML = 1380 },
		"A drawdown with 180 %":                          func(s *mix.GreySystem) { s.Cards[3].DarkPercent = 180 },
		"A drawdown of L* 0":                             func(s *mix.GreySystem) { s.Cards[3].Lightness = 0 },
		"at most 40 and 20 are kept":                     func(s *mix.GreySystem) { s.Cards = make([]mix.GreyCard, 41) },
		`the step "middle" has L* 160`:                   func(s *mix.GreySystem) { s.Steps[0].Lightness = 160 },
		`is called "Deep", and each needs a name of its`: func(s *mix.GreySystem) { s.Steps = append(s.Steps, mix.GreyStep{Name: "Deep", Lightness: 30}) },
	} {
		s := slateGreys()
		spoil(&s)
		assert.ErrorContains(t, s.Check(), says)
	}
	s := slateGreys()
	s.Cards = s.Cards[:2]
	require.NoError(t, s.Check(), "two drawdowns are kept; they just make no grey")
	shelf := slateShelf(t)
	twoBases := shelf[0]
	twoBases.Components = append([]mix.Component{shelf[0].Components[0]}, shelf[0].Components...)
	for says, ask := range map[string]func() error{
		"2 drawdowns: a grey needs at least 3": func() error { _, err := s.Grey(60, shelf, noon); return err },
		"draw down a darker mix":               func() error { _, err := slateGreys().Grey(20, shelf, noon); return err },
		"is not on the shelf any more":         func() error { _, err := slateGreys().Grey(60, nil, noon); return err },
		"2 components that are a base":         func() error { _, err := slateGreys().Grey(60, []mix.Recipe{twoBases}, noon); return err },
		"is Slate surfacer alone: there is nothing to mix": func() error {
			fit, err := slateGreys().Fit()
			require.NoError(t, err)
			_, _, lightest, _ := fit.Range()
			_, err = slateGreys().Grey(lightest, shelf, noon)
			return err
		},
	} {
		assert.ErrorContains(t, ask(), says)
	}
	_, err := coating.FitGrey(nil)
	assert.ErrorContains(t, err, "0 drawdowns")
}

// The index of a grey counts both undercoats, and is not known where the OH value
// of one of them is not: half of it would look like too much hardener. OH 38 in
// 4 parts of 1.42 g/ml and NCO 16 % in 1 part of 1.06 g/ml: by hand
// (1.06·16/42.02)/(4·1.42·38/561.1)·10 = 1.049 (the equivalents of ASTM E222 and
// ASTM D2572).
func TestGreyIndexCountsBothUndercoats(t *testing.T) {
	shelf := slateShelf(t)
	shelf[0].Components[0].Content.OHValue, shelf[0].Components[1].Content.NCOPercent = 38, 16
	shelf[0].Components[0].Name = "Slate surfacer"
	s := slateGreys()
	s.Dark.Density = shelf[0].Components[0].Density
	m, err := s.Grey(60, shelf, noon)
	require.NoError(t, err)
	p, err := m.Recipe.Plan(mix.Amount{Kind: mix.AmountVolume, ML: 300})
	require.NoError(t, err)
	_, err = m.Recipe.Index(&p)
	assert.EqualError(t, err, "No index: the OH value of Slate dark is not known; it stands on its sheet.")
	m.Recipe.Components[1].Content.OHValue = 38
	index, err := m.Recipe.Index(&p)
	require.NoError(t, err)
	assert.InDelta(t, 1.049, index, 0.002, "as the product that it is mixed like")
	m.Recipe.Components[1].Content.OHValue = 76
	more, err := m.Recipe.Index(&p)
	require.NoError(t, err)
	assert.InDelta(t, index/(1+0.1605), more, 1e-3)
}
