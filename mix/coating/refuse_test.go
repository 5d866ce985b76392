package coating_test

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix/coating"
)

// The sentences a person sees where there is no figure.
func TestVOCRefuses(t *testing.T) {
	base := composed(100, 1.4, 0.4, 0, 0, 0)
	for _, row := range []struct {
		name string
		part coating.Part
		says string
	}{
		{"nothing known", coating.Part{Name: "Reducer", VolumeML: 10},
			"Reducer: its VOC is not known. Give its volatile, water and exempt shares by weight, or the VOC on its sheet; it is never taken as 0."},
		{"a figure less water can not be averaged", coating.Part{Name: "Clear", VolumeML: 10, StatedGL: 420},
			"Clear: its sheet states 420 g/l, and it is not said that it holds no water and no exempt solvent. Such a figure can not be averaged with others: give its volatile, water and exempt shares by weight."},
		{"heavier than any solvent", coating.Part{Name: "Clear", VolumeML: 10, StatedGL: 4200, Plain: true}, "Clear: a VOC of 4200 g/l can not be right: no solvent is heavier than 2000 g/l."},
		{"no density", coating.Part{Name: "Base", VolumeML: 10, Composed: true, Volatile: 0.5}, "Base has no density, so its shares by weight say nothing about a litre: measure it or copy it from the sheet."},
		{"more water than volatile", composed(10, 1, 0.5, 0.6, 0, 0), "part: water and exempt solvent together (60 %) are more than all that is volatile (50 %): the volatile share includes them."},
		{"exempt without its density", composed(10, 1, 0.5, 0, 0.2, 0), "part holds exempt solvent but its density is not given: without it the volume to take off is not known."},
		{"exempt solvent like lead", composed(10, 1, 0.5, 0, 0.2, 5), "part: an exempt solvent of 5 g/ml can not be right: acetone has 0.79, the heaviest in use about 1.34."},
		{"plain with water in it", coating.Part{Name: "Base", VolumeML: 10, DensityGML: 1, Composed: true, Volatile: 0.6, Water: 0.5, StatedGL: 100, Plain: true},
			"Base is said to hold neither water nor exempt solvent, and 50 % of its weight are: one of the two is wrong."},
		{"two figures that do not agree", coating.Part{Name: "Clear", VolumeML: 10, DensityGML: 1, Composed: true, Volatile: 0.56, StatedGL: 420},
			"Clear: its sheet states 420 g/l, and its shares by weight make 560 g/l of the material and 560 g/l less water and exempt solvent: one of them is wrong. Leave out the one that you trust less."},
		{"water of nothing volatile", coating.Part{Name: "Base", VolumeML: 10, DensityGML: 1, Composed: true, Water: 0.5}, "Base: water and exempt solvent together (50 %) are more than all that is volatile (0 %)"},
		{"a share of 120 %", composed(10, 1, 1.2, 0, 0, 0), "part: volatile, water and exempt solvent are shares of its weight, each from 0 to 100 %."},
		{"a negative volume", composed(-1, 1, 0.5, 0, 0, 0), "part: the volume is -1 ml; give 0 or more."},
		{"no number", composed(math.NaN(), 1, 0.5, 0, 0, 0), "part: the volume is NaN ml; give 0 or more."},
		{"water fills more than the mix", composed(100, 3, 1, 1, 0, 0), "Water and exempt solvent fill more than the whole mix"},
	} {
		parts := []coating.Part{base, row.part}
		if row.name == "water fills more than the mix" {
			parts = parts[1:]
		}
		_, err := coating.MixVOC(parts, 20)
		require.ErrorContains(t, err, row.says, row.name)
		var r *coating.Refusal
		require.ErrorAs(t, err, &r)
		require.False(t, r.Ask)
	}
	agreed := composed(100, 1.02, 0.7, 0.5, 0, 0)
	shares, err := coating.MixVOC([]coating.Part{agreed}, 20)
	require.NoError(t, err)
	agreed.StatedGL = shares.RegulatoryGL * 1.03
	both, err := coating.MixVOC([]coating.Part{agreed}, 20)
	require.NoError(t, err, "a stated figure that agrees on one basis is fine, and the shares decide")
	require.Equal(t, shares, both)
	_, err = coating.MixVOC(nil, 20)
	assert.EqualError(t, err, "There is nothing in the mix: name its components.")
	_, err = coating.MixVOC([]coating.Part{base}, 80)
	require.NoError(t, err, "without water in it the density of water plays no part")
	_, err = coating.MixVOC([]coating.Part{composed(100, 1.02, 0.7, 0.5, 0, 0)}, 80)
	assert.EqualError(t, err, "Water at 80 °C: the density of water is known here from 0 to 40 °C. Let it reach the temperature of the room.")
	_, err = coating.MixVOC([]coating.Part{plain(0, 400)}, 20)
	assert.EqualError(t, err, "All volumes are 0: there is no mix.")
	_, err = coating.MultiStage(-1, nil, 500)
	assert.EqualError(t, err, "Base -1 g/l and clear 500 g/l: give 0 to 2000 for both; no solvent is heavier.")
	_, err = coating.MultiStage(1, []float64{-2}, 500)
	assert.EqualError(t, err, "A midcoat of -2 g/l: give 0 to 2000; no solvent is heavier.")
	_, err = coating.MultiStage(1e308, nil, 1e308)
	assert.ErrorContains(t, err, "no solvent is heavier")
	_, err = coating.PerSolidsLbGal(7.5)
	assert.EqualError(t, err, "7.5 lb/gal: this conversion takes the solvent as 7.36 lb/gal and works below that only.")
}

func TestMostReducerRefuses(t *testing.T) {
	voc := func(p coating.Part) coating.VOC {
		v, err := coating.MixVOC([]coating.Part{p}, 20)
		require.NoError(t, err)
		return v
	}
	for _, row := range []struct {
		name              string
		mix, reducer, max float64
		says              string
	}{
		{"there already", 430, 870, 420, "The mix is at 430 g/l already, the limit is 420: no reducer can be added."},
		{"at it", 420, 870, 420, "The mix is at 420 g/l already, the limit is 420: no reducer can be added."},
		{"never", 390, 400, 420, "This reducer never takes the mix to 420 g/l: the limit sets no largest amount, the sheet does."},
		{"no limit", 390, 870, 0, "The limit is 0 g/l: give one above 0."},
	} {
		_, err := coating.MostReducer(voc(plain(1000, row.mix)), plain(1, row.reducer), row.max, coating.BasisRegulatory, 20)
		assert.EqualError(t, err, row.says, row.name)
	}
	// An exempt reducer takes nothing towards a regulatory limit, but all of it
	// towards a European one.
	acetone := composed(1000, 0.79, 1, 0, 1, 0.79)
	_, err := coating.MostReducer(voc(plain(1000, 390)), acetone, 420, coating.BasisRegulatory, 20)
	assert.ErrorContains(t, err, "never takes the mix to 420 g/l")
	ml, err := coating.MostReducer(voc(plain(1000, 390)), acetone, 420, coating.BasisEuropean, 20)
	require.NoError(t, err)
	assert.InDelta(t, 1000*(420.0-390)/(790-420), ml, 1e-9)
	_, err = coating.MostReducer(voc(plain(1000, 390)), acetone, 420, "by the bucket", 20)
	assert.ErrorContains(t, err, `The basis "by the bucket" is not known`)
}

// Adding the largest amount of reducer takes the mix exactly to the limit.
func TestMostReducerReachesTheLimit(t *testing.T) {
	base, red := composed(1000, 1.02, 0.80, 0.5, 0.05, 0.79), composed(1000, 0.87, 1, 0, 0.2, 0.79)
	for _, b := range []coating.Basis{coating.BasisRegulatory, coating.BasisEuropean, coating.BasisEuropeanWhole, coating.BasisMaterial} {
		m, err := coating.MixVOC([]coating.Part{base}, 20)
		require.NoError(t, err)
		now, err := m.On(b)
		require.NoError(t, err)
		y, err := coating.MostReducer(m, red, now+50, b, 20)
		require.NoError(t, err)
		more := red
		more.VolumeML = y
		both, err := coating.MixVOC([]coating.Part{base, more}, 20)
		require.NoError(t, err)
		gl, err := both.On(b)
		require.NoError(t, err)
		assert.InEpsilon(t, now+50, gl, 1e-9, string(b))
	}
}

func TestCompare(t *testing.T) {
	v, err := coating.MixVOC([]coating.Part{plain(1000, 560)}, 20)
	require.NoError(t, err)
	byName := map[string]coating.Limit{}
	for _, l := range coating.Limits() {
		require.NoError(t, l.Check())
		byName[l.Category] = l
	}
	c, err := v.Compare([]coating.Limit{byName["Primer and primer surfacer"], byName["Primer sealer"]})
	require.NoError(t, err)
	assert.Equal(t, "Primer sealer", c.Limit.Category, "the strictest governs, 40 CFR 59.102(b)")
	assert.False(t, c.Within())
	assert.InDelta(t, -10, c.Spare, 1e-9)
	// On different bases the one with the least to spare governs, be its figure
	// the larger: a third of this mix is exempt solvent, which counts in Europe.
	exempt, err := coating.MixVOC([]coating.Part{composed(1000, 1, 0.6, 0, 0.3, 0.79)}, 20)
	require.NoError(t, err)
	c, err = exempt.Compare([]coating.Limit{byName["Primer sealer"], byName["Primer and primer surfacer"], {Set: "Own", Category: "Sealer", GL: 590, Basis: coating.BasisEuropean, Source: "permit", Date: "2026"}})
	require.NoError(t, err)
	assert.Equal(t, "Sealer", c.Limit.Category)
	assert.InDelta(t, -10, c.Spare, 1e-9)
	c, err = v.Compare([]coating.Limit{byName["Primer and primer surfacer"]})
	require.NoError(t, err)
	assert.True(t, c.Within())

	_, err = v.Compare(nil)
	assert.EqualError(t, err, "Which category is the mix used as? Without one there is no limit to compare with.")
	for says, l := range map[string]coating.Limit{
		"A limit needs the name of its table":   {GL: 400, Basis: coating.BasisEuropean, Source: "x", Date: "y"},
		"say where the limit comes from":        {Set: "Ours", Category: "Clear", GL: 400, Basis: coating.BasisEuropean},
		"a limit of 0 g/l can not be right":     {Set: "Ours", Category: "Clear", Basis: coating.BasisEuropean, Source: "x", Date: "y"},
		`The basis "dry" is not known`:          {Set: "Ours", Category: "Clear", GL: 400, Basis: "dry", Source: "x", Date: "y"},
		"a limit of 4200 g/l can not be right:": {Set: "Ours", Category: "Clear", GL: 4200, Basis: coating.BasisEuropean, Source: "x", Date: "y"},
	} {
		_, err = v.Compare([]coating.Limit{l})
		assert.ErrorContains(t, err, says)
	}
}

// The metric value is compared: 630 g/l is 5.26 lb/gal, though tables print 5.2.
func TestMetricIsCompared(t *testing.T) {
	v, err := coating.MixVOC([]coating.Part{plain(1000, 628)}, 20)
	require.NoError(t, err)
	for _, l := range coating.Limits() {
		if l.Category == "Topcoat of more than two stages" {
			c, err := v.Compare([]coating.Limit{l})
			require.NoError(t, err)
			assert.True(t, c.Within())
			assert.Greater(t, coating.LbPerGallon(628), 5.2)
		}
	}
}

func TestPlausible(t *testing.T) {
	for _, row := range []struct {
		kind coating.Kind
		gml  float64
		says string
		ask  bool
	}{
		{coating.KindHardener, 1.06, "", false},
		{coating.KindSomethingElse, 2.4, "", false},
		{coating.KindHardener, 0.59, "A density of 0.59 g/ml can not be right: paint, hardener and reducer lie between 0.6 and 3.0 g/ml. Was it grams a litre, or pounds a gallon?", false},
		{coating.KindSurfacer, 11.85, "A density of 11.85 g/ml can not be right", false},
		{coating.KindClear, math.NaN(), "can not be right", false},
		{coating.KindSurfacer, 1.20, "1.200 g/ml is unusual for primer surfacer: most lie between 1.30 and 1.75. Look at the sheet or weigh it again, and take it if it is so.", true},
		{coating.KindReducer, 1.05, "1.050 g/ml is unusual for reducer", true},
	} {
		err := coating.Plausible(row.kind, row.gml)
		if row.says == "" {
			assert.NoError(t, err)
			continue
		}
		require.ErrorContains(t, err, row.says)
		r, _ := errors.AsType[*coating.Refusal](err)
		assert.Equal(t, row.ask, r.Ask)
	}
	// Every row asks on both its sides and believes its middle.
	for _, r := range coating.Rows() {
		assert.NoError(t, coating.Plausible(r.Kind, (r.LowGML+r.HighGML)/2))
		for _, out := range []float64{r.LowGML - 0.01, r.HighGML + 0.01} {
			refusal, ok := errors.AsType[*coating.Refusal](coating.Plausible(r.Kind, out))
			require.True(t, ok)
			assert.True(t, refusal.Ask, r.Kind)
		}
	}
}

func TestTemperature(t *testing.T) {
	assert.NoError(t, coating.CheckTemperature(20, 28, 0.0008))
	err := coating.CheckTemperature(20, 32, 0.0008)
	r, ok := errors.AsType[*coating.Refusal](err)
	require.True(t, ok)
	assert.True(t, r.Ask)
	assert.Equal(t, "The paint is at 32 °C and its density holds for 20 °C: more than 10 K apart the correction is a guess. Let the tins come to 20 °C, or measure the density here.", r.Sentence)
	assert.ErrorContains(t, coating.CheckTemperature(20, 70, 0.0008), "A shop at 70 °C can not be right: give -10 to 50 °C.")
	assert.ErrorContains(t, coating.CheckTemperature(23, 12.9, 0.0008), "more than 10 K apart", "colder as well as warmer")
	assert.NoError(t, coating.CheckTemperature(23, 13, 0.0008))
	assert.NoError(t, coating.CheckTemperature(20, 25, 0.00143), "acetone")
	for _, perK := range []float64{0.8, 0.005, -0.0001, math.NaN()} {
		assert.ErrorContains(t, coating.CheckTemperature(20, 25, perK), "for a kelvin can not be right")
	}
	for _, c := range []float64{-11, 51, math.NaN(), math.Inf(1)} {
		assert.ErrorContains(t, coating.CheckTemperature(20, c, 0.0008), "give -10 to 50 °C.")
		assert.ErrorContains(t, coating.CheckTemperature(c, 20, 0.0008), "A density that holds for")
	}
	for _, c := range []float64{-0.1, 40.1, math.NaN()} {
		_, err := coating.WaterDensityGML(c)
		assert.ErrorContains(t, err, "is known here from 0 to 40 °C.")
	}
	for _, c := range []float64{0, 40} {
		_, err := coating.WaterDensityGML(c)
		assert.NoError(t, err)
	}
}

func TestAgainstWater(t *testing.T) {
	net := func(g float64) coating.Weighed { return coating.NetOf(g, 0.1, 0.1) }
	m, err := coating.AgainstWater(net(99.8), 22, net(131.5), 22, coating.CupMark(60))
	require.NoError(t, err)
	assert.InDelta(t, 1.3147, m.GML, 1e-3)
	// Two fillings to half a millimetre in sixty: 1.2 %, far above the weighing.
	assert.InDelta(t, 0.0118*m.GML, m.Uncertainty, 0.0005)
	_, err = coating.AgainstWater(net(2), 22, net(3), 22, coating.Mark{})
	assert.EqualError(t, err, "The mark holds only 2 ml of water: take a vessel of at least 5 ml, better 100.")
	_, err = coating.AgainstWater(net(0), 22, net(3), 22, coating.Mark{})
	assert.ErrorContains(t, err, "both must be above 0, without the vessel.")
	_, err = coating.AgainstWater(net(100), -5, net(130), 22, coating.Mark{})
	assert.ErrorContains(t, err, "Water at -5 °C")
	_, err = coating.AgainstWater(net(100), 22, net(130), math.NaN(), coating.Mark{})
	assert.EqualError(t, err, "Paint at NaN °C can not be right: give -10 to 50 °C.")
	_, err = coating.AgainstWater(net(4.9), 22, net(6), 22, coating.Mark{})
	assert.ErrorContains(t, err, "at least 5 ml")
	_, err = coating.AgainstWater(net(100), 22, net(130), 22, coating.CupMark(0.4))
	assert.ErrorContains(t, err, "must be more than 0.5 mm")
	_, err = coating.FromBothRatios(1.36, 4, 0, 100, 19)
	assert.EqualError(t, err, "The density of the first component and both ratios are needed, each above 0.")
}

func TestFilmRefuses(t *testing.T) {
	good := coating.Job{AreaM2: 2, Coats: 2, DryUM: 25, VolumeSolids: 0.45, Transfer: 0.65}
	for says, spoil := range map[string]func(*coating.Job){
		"The area is 0 m²":                         func(j *coating.Job) { j.AreaM2 = 0 },
		"The area is NaN m²":                       func(j *coating.Job) { j.AreaM2 = math.NaN() },
		"0 coats: give 1 to 20.":                   func(j *coating.Job) { j.Coats = 0 },
		"The dry film of a coat is 0 µm":           func(j *coating.Job) { j.DryUM = 0 },
		"The volume solids are 0 %":                func(j *coating.Job) { j.VolumeSolids = 0 },
		"The volume solids are 4500 %":             func(j *coating.Job) { j.VolumeSolids = 45 },
		"The transfer efficiency is 0 %":           func(j *coating.Job) { j.Transfer = 0 },
		"The loss is 100 %":                        func(j *coating.Job) { j.Loss = 1 },
		"The dead volume is -1 ml: give 0 or more": func(j *coating.Job) { j.DeadML = -1 },
	} {
		j := good
		spoil(&j)
		_, err := coating.Amount(j)
		assert.ErrorContains(t, err, says)
	}
	n, err := coating.Amount(good)
	require.NoError(t, err)
	ml, cost := n.Leftover(500, 30)
	assert.InDelta(t, 500-341.88, ml, 0.01)
	assert.InDelta(t, (500-341.88)*0.03, cost, 0.001)
	ml, _ = n.Leftover(100, 30)
	assert.Zero(t, ml)
	_, err = coating.MixSolids([]float64{1}, nil)
	assert.ErrorContains(t, err, "each component needs both")
	_, err = coating.MixSolids([]float64{0}, []float64{0.4})
	assert.ErrorContains(t, err, "there is no mix")
	_, err = coating.MixSolids([]float64{1}, []float64{40})
	assert.ErrorContains(t, err, "volume solids from 0 to 100 %")
	for _, p := range coating.Panels() {
		assert.Positive(t, p.AreaM2, p.Name)
	}
}

func TestIndexRefuses(t *testing.T) {
	a, b := coating.Resin{Parts: 4, DensityGML: 0.98, OHValue: 52}, coating.Curing{Parts: 1, DensityGML: 1.05, NCOPercent: 16}
	bad := a
	bad.OHValue = 0
	_, err := coating.Index(bad, b)
	assert.ErrorContains(t, err, "An OH value of 0 mg KOH/g can not be right")
	worse := b
	worse.NCOPercent = 60
	_, err = coating.Index(a, worse)
	assert.ErrorContains(t, err, "An NCO content of 60 % can not be right")
	worse = b
	worse.DensityGML = 0
	_, err = coating.Index(a, worse)
	assert.ErrorContains(t, err, "The index needs the densities of base and hardener")
	worse.Parts = 0
	_, err = coating.Index(a, worse)
	assert.ErrorContains(t, err, "Both sides of the ratio must be above 0.")
}
