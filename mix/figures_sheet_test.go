package mix_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// Every unit that sheets use, and what it comes to. A pound a US gallon is
// 119.826 g/l by the exact pound and gallon (NIST Handbook 44, appendix C); the
// equivalent weights are 4202 over per cent of NCO and 56100 over the OH value.
func TestFiguresAsSheetsPrintThem(t *testing.T) {
	for _, c := range []struct {
		figure mix.Figure
		text   string
		want   float64
	}{
		{mix.FigurePrice, "26", 26}, {mix.FigurePrice, "€ 26,50 /l", 26.5}, {mix.FigurePrice, "98.42 /gal", 98.42 / 3.785411784}, {mix.FigurePrice, "118.2 /ukgal", 118.2 / 4.54609},
		{mix.FigureTolerance, "± 3 %", 0.03}, {mix.FigureTolerance, "2", 0.02}, {mix.FigureTolerance, "0.5 %", 0.005},
		{mix.FigureVolumeSolids, "52 %", 0.52}, {mix.FigureVolumeSolids, "52", 0.52}, {mix.FigureVolumeSolids, "44,5 % by volume", 0.445}, {mix.FigureMixSolids, "43 vol%", 0.43},
		{mix.FigureWeightSolids, "60 %", 0.40}, {mix.FigureWeightSolids, "60 wt.%", 0.40}, {mix.FigureVolatile, "40 % w/w", 0.40}, {mix.FigureWater, "0", 0}, {mix.FigureExempt, "12 %", 0.12},
		{mix.FigureSolvent, "0.87", 0.87}, {mix.FigureExemptDensity, "790 g/L", 0.79}, {mix.FigureExemptDensity, "6.59 lb/gal", 6.59 * 453.59237 / 3785.411784},
		{mix.FigureVOC, "420", 420}, {mix.FigureVOC, "420 g/L", 420}, {mix.FigureVOC, "3.5 lb/gal", 3.5 * 453.59237 / 3.785411784}, {mix.FigureVOC, "4.2 lb/ukgal", 4.2 * 453.59237 / 4.54609}, {mix.FigureVOC, "0 g/l", 0},
		{mix.FigureNCO, "16 %", 16}, {mix.FigureNCO, "262.625 g/eq", 16}, {mix.FigureOH, "95", 95}, {mix.FigureOH, "38 mg KOH/g", 38}, {mix.FigureOH, "561 g/eq", 100},
		{mix.FigureExpansion, "0.0008", 0.0008}, {mix.FigureExpansion, "0.08 %/K", 0.0008}, {mix.FigureExpansion, "0.0005 /°F", 0.0009},
		{mix.FigureCup, "0.65 l", 650}, {mix.FigureCup, "650", 650},
	} {
		got, err := mix.ParseFigure(c.figure, c.text)
		require.NoError(t, err, c.text)
		assert.InDelta(t, c.want, got, 1e-9*(1+c.want), "%s %q", c.figure, c.text)
	}
}

// Every sentence that refuses a figure, as it stands beside its field.
func TestFiguresRefuseInSentences(t *testing.T) {
	for says, c := range map[string]struct {
		figure mix.Figure
		text   string
	}{
		"“much” is no number with a unit: write it like 563 g/l or 4.7 lb/gal.":                                 {mix.FigureVOC, "much"},
		"4.7 may be lb/gal or g/l: write the unit.":                                                             {mix.FigureVOC, "4.7"},
		"2397 g/l can not be right: no solvent is heavier than 2000 g/l.":                                       {mix.FigureVOC, "20 lb/gal"},
		"Per cent of its weight belongs beside volatile; here it is grams a litre.":                             {mix.FigureVOC, "40 %"},
		"The unit “oz” is not known: write 563 g/l or 4.7 lb/gal.":                                              {mix.FigureVOC, "30 oz"},
		"0.52 may be 0.52 % or a share: write it with %.":                                                       {mix.FigureVolumeSolids, "0.52"},
		"That is per cent by weight: it belongs beside solids by weight.":                                       {mix.FigureVolumeSolids, "60 % by weight"},
		"That is per cent by volume, and by weight is wanted here.":                                             {mix.FigureVolatile, "40 vol%"},
		"152 % is more than all of it.":                                                                         {mix.FigureWater, "152 %"},
		"The unit “ppm” is not known here: give per cent, such as 52 %.":                                        {mix.FigureWater, "200 ppm"},
		"A tolerance of 0 % can not be right: give one above 0 and up to 50 %.":                                 {mix.FigureTolerance, "0"},
		"0 % is what a reducer has anyway, and nothing else can have it: leave it empty.":                       {mix.FigureVolumeSolids, "0 %"},
		"Where nothing evaporates, give a VOC of 0 g/l and say that it holds neither water nor exempt solvent.": {mix.FigureWeightSolids, "100 %"},
		"The unit “/kg” is not known: give the price of a litre, or of a gallon as 98 /gal (US) or 98 /ukgal.":  {mix.FigurePrice, "26 /kg"},
		"0 a litre can not be right: leave it empty where it is not known.":                                     {mix.FigurePrice, "0"},
		"0.08 for a kelvin can not be right: paint has about 0.0008, solvent up to 0.0015. Was it per cent?":    {mix.FigureExpansion, "0.08"},
		"The unit “mm” is not known: write 0.0008 /K, or 0.08 %/K.":                                             {mix.FigureExpansion, "3 mm"},
		"An NCO content of 60 % can not be right: hardeners as supplied have about 5 to 25 %.":                  {mix.FigureNCO, "60 %"},
		"With 0 there is nothing to react: leave it empty where the sheet does not say it.":                     {mix.FigureNCO, "0"},
		"The unit “%” is not known: write it like 95 mg KOH/g or 590 g/eq.":                                     {mix.FigureOH, "1.2 %"},
		"An OH value of 1200 mg KOH/g can not be right: as supplied it lies between about 20 and 300.":          {mix.FigureOH, "1200"},
		"A cup of 3 ml can not be right: give what it holds below the rim, in millilitres.":                     {mix.FigureCup, "3"},
		"The unit “floz” is not known: write 650 ml.":                                                           {mix.FigureCup, "20 fl oz"},
		"Density 8 g/mL can not be right: paint, hardener and reducer lie between 0.6 and 3 g/mL.":              {mix.FigureSolvent, "8 g/ml"},
	} {
		_, err := mix.ParseFigure(c.figure, c.text)
		var refused *mix.FigureError
		require.ErrorAs(t, err, &refused, "%s %q", c.figure, c.text)
		assert.Equal(t, says, refused.Sentence)
		assert.Equal(t, c.figure, refused.Figure)
	}
}

func TestSayKeepsWhereAFigureCameFrom(t *testing.T) {
	now := time.Date(2026, time.November, 25, 10, 0, 0, 0, time.UTC)
	r := described(t)
	c := &r.Components[0]
	require.NoError(t, c.Say(map[mix.Figure]string{mix.FigurePrice: "98.42 /gal", mix.FigureWeightSolids: "61 %", mix.FigureVOC: "4.5 lb/gal"}, "sheet of March", now.UnixMilli()))
	told := map[mix.Figure]mix.Told{}
	for _, x := range c.Told(now) {
		told[x.Figure] = x
	}
	assert.Equal(t, mix.Told{Figure: mix.FigurePrice, Text: "26.00 /l", Typed: "98.42 /gal", From: "sheet of March, 25 Nov 2026"}, told[mix.FigurePrice])
	assert.Equal(t, mix.Told{Figure: mix.FigureWeightSolids, Text: "61 %", Typed: "61 %", From: "sheet of March, 25 Nov 2026"}, told[mix.FigureWeightSolids])
	assert.Equal(t, "539 g/l", told[mix.FigureVOC].Text)
	assert.NotContains(t, told, mix.FigureVolatile, "it is said as solids")
	assert.Equal(t, mix.Told{Figure: mix.FigureOH, Text: "52 mg KOH/g", Typed: "52 mg KOH/g"}, told[mix.FigureOH], "nobody wrote down where from")
	assert.InDelta(t, 0.39, c.Content.Volatile, 1e-12)

	// Another value there has another past, whoever put it.
	c.PricePerL = 30
	assert.Empty(t, c.Told(now)[0].From)

	// An emptied one is not known any more, and a bad one changes nothing.
	require.NoError(t, c.Say(map[mix.Figure]string{mix.FigureVOC: ""}, "", 0))
	assert.Zero(t, c.Content.VOCGL)
	before := *c
	err := c.Say(map[mix.Figure]string{mix.FigurePrice: "31", mix.FigureWater: "70 %"}, "", 0)
	require.EqualError(t, err, "Water and exempt solvent together are 70 %, and all that is volatile is 39 %: it includes them.")
	assert.Equal(t, before, *c)
}

func TestSayRefusesWhatCanNotAllBeRight(t *testing.T) {
	for says, typed := range map[string]map[mix.Figure]string{
		"Solids by weight and what is volatile make 100 % together: they make 110 %. Give one of them.":  {mix.FigureWeightSolids: "60 %", mix.FigureVolatile: "50 %"},
		"Exempt solvent is taken off by its volume: give its density, 0.79 for acetone.":                 {mix.FigureExempt: "10 %"},
		"Water and exempt solvent are part of what is volatile: give that too, or the solids by weight.": {mix.FigureWater: "10 %", mix.FigureVolatile: ""},
		"It is said to hold neither water nor exempt solvent, and a share of one is given.":              {mix.FigureWater: "10 %", mix.FigurePlain: "yes"},
		"A litre of it weighs 1400 g, so 1500 g/l of VOC can not be right.":                              {mix.FigureVOC: "1500 g/l"},
		"A tolerance is needed: without one nobody knows when a pour is on its line.":                    {mix.FigureTolerance: " "},
		`Say "yes" or nothing: whether it holds neither water nor exempt solvent.`:                       {mix.FigurePlain: "perhaps"},
		`There is no figure "colour" of a component.`:                                                    {"colour": "red"},
	} {
		r := described(t)
		assert.EqualError(t, r.Components[0].Say(typed, "", 0), says)
	}
	r := described(t)
	r.Components[2].Density = mix.Density{}
	require.EqualError(t, r.Components[2].Say(map[mix.Figure]string{mix.FigureExpansion: "0.001"}, "", 0), "An expansion moves a density, and there is none yet: give the density first.")
	require.EqualError(t, r.SayMix(map[mix.Figure]string{mix.FigureVOC: "300"}, "", 0), `There is no figure "voc" of a mix.`)
}

// Solids by weight do for an area where the density of the solvent is known:
// 1 − 1.40·0.40/0.87 by hand for the base.
func TestSolidsFromWeightInARecipe(t *testing.T) {
	r := described(t)
	r.Components[0].Content.VolumeSolids = 0
	require.NoError(t, r.Components[0].Say(map[mix.Figure]string{mix.FigureWeightSolids: "60 %", mix.FigureSolvent: "0.87"}, "sheet", 1))
	p, err := r.Plan(volume(600))
	require.NoError(t, err)
	share, stated, err := r.Solids(&p)
	require.NoError(t, err)
	assert.False(t, stated)
	assert.InDelta(t, (4*(1-1.40*0.40/0.87)+0.60)/6, share, 1e-9)
	require.NoError(t, r.SayMix(map[mix.Figure]string{mix.FigureMixSolids: "45 %"}, "sheet", 1))
	share, stated, err = r.Solids(&p)
	require.NoError(t, err)
	assert.True(t, stated)
	assert.InDelta(t, 0.45, share, 1e-12)
}
