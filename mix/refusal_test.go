package mix_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// TestDensityRefusals: what no paint has is refused with a sentence that says
// what would be right.
func TestDensityRefusals(t *testing.T) {
	const between = "paint, hardener and reducer lie between 0.6 and 3 g/mL"
	for text, want := range map[string]string{
		"0":               `density "0": a density of 0 means that nothing is known, and nothing is assumed: read it from the product sheet or weigh it against water`,
		"12.5":            "density 12.5 g/mL can not be right: " + between,
		"-1.2":            "density -1.2 g/mL can not be right: " + between,
		"1.42 g/L":        "density 0.00142 g/mL can not be right: " + between,
		"12 oz/gal":       `density "12 oz/gal": "oz" may be a mass or a fluid ounce, and US and imperial differ: give g/mL, kg/L, g/L or lb/gal`,
		"1.2 oz":          `density "1.2 oz": "oz" may be a mass or a fluid ounce, and US and imperial differ: give g/mL, kg/L, g/L or lb/gal`,
		"1.42 stones":     `density "1.42 stones": unit " stones" is not known, use g/mL, kg/L, g/L, lb/gal (US) or lb/ukgal`,
		"":                `density "" is not a number with a unit: write 1.42, 1420 g/L or 11.85 lb/gal`,
		"thick":           `density "thick" is not a number with a unit: write 1.42, 1420 g/L or 11.85 lb/gal`,
		"1,42":            `density "1,42": unit ",42" is not known, use g/mL, kg/L, g/L, lb/gal (US) or lb/ukgal`,
		"1.4.2":           `density "1.4.2" is not a number with a unit: write 1.42, 1420 g/L or 11.85 lb/gal`,
		"NaN":             `density "NaN" is not a number with a unit: write 1.42, 1420 g/L or 11.85 lb/gal`,
		"Inf g/mL":        `density "Inf g/mL" is not a number with a unit: write 1.42, 1420 g/L or 11.85 lb/gal`,
		"1.3 lb/ imp gal": `density "1.3 lb/ imp gal": unit " lb/ imp gal" is not known, use g/mL, kg/L, g/L, lb/gal (US) or lb/ukgal`,
	} {
		_, err := mix.ParseDensity(text)
		assert.EqualError(t, err, want, text)
	}
	for _, d := range []float64{math.NaN(), math.Inf(1), 0.59, 3.01} {
		assert.Error(t, mix.Density{GPerML: d, ReferenceC: 20}.Check(), "%v", d)
	}
	assert.EqualError(t, mix.Density{GPerML: 1, ReferenceC: 200}.Check(), "reference temperature 200 °C can not be right: a sheet gives 15 to 25 °C")
	assert.NoError(t, mix.Density{GPerML: mix.DensityMinGML}.Check())
	assert.NoError(t, mix.Density{GPerML: mix.DensityMaxGML}.Check())
}

// TestRecipeRefusals spoils a good recipe in one place.
func TestRecipeRefusals(t *testing.T) {
	for _, row := range []struct {
		name, want string
		spoil      func(r *mix.Recipe)
	}{
		{"no name", "the recipe has no name: give it one that the painter will recognise",
			func(r *mix.Recipe) { r.Name = " " }},
		{"no basis", `recipe "test mix": basis is "", it must be "volume" or "weight", as the product sheet says`,
			func(r *mix.Recipe) { r.Basis = "" }},
		{"one component", `recipe "test mix" has 1 component: a mix has 2 to 8`,
			func(r *mix.Recipe) { r.Components = r.Components[:1] }},
		{"nine components", `recipe "test mix" has 9 components: a mix has 2 to 8`,
			func(r *mix.Recipe) {
				for len(r.Components) < 9 {
					r.Components = append(r.Components, r.Components[2])
				}
			}},
		{"negative part", `recipe "test mix", component 2 (hardener): its share is -1 parts and 0 %: it must be a number above 0`,
			func(r *mix.Recipe) { r.Components[1].Parts = -1 }},
		{"part NaN", `recipe "test mix", component 2 (hardener): its share is NaN parts and 0 %: it must be a number above 0`,
			func(r *mix.Recipe) { r.Components[1].Parts = math.NaN() }},
		{"part infinite", `recipe "test mix", component 1 (base): its share is +Inf parts and 0 %: it must be a number above 0`,
			func(r *mix.Recipe) { r.Components[0].Parts = math.Inf(1) }},
		{"part that would overflow", `recipe "test mix", component 1 (base): its share is 1e+308 parts and 0 %: no tin says more than 10000`,
			func(r *mix.Recipe) { r.Components[0].Parts = 1e308 }},
		{"percentage infinite", `recipe "test mix", component 3 (reducer): its share is 0 parts and +Inf %: it must be a number above 0`,
			func(r *mix.Recipe) { r.Components[2].Parts, r.Components[2].Percent = 0, math.Inf(1) }},
		{"no share", `recipe "test mix", component 3 (reducer): give it either parts or a percentage above 0, not both and not neither`,
			func(r *mix.Recipe) { r.Components[2].Parts = 0 }},
		{"two shares", `recipe "test mix", component 3 (reducer): give it either parts or a percentage above 0, not both and not neither`,
			func(r *mix.Recipe) { r.Components[2].Percent = 10 }},
		{"percentage of nothing", `recipe "test mix", component 3 (reducer): 10 % of what? say "first" (of the first component), "parts" (of all that is given in parts) or "whole" (of the finished mix)`,
			func(r *mix.Recipe) { r.Components[2].Parts, r.Components[2].Percent = 0, 10 }},
		{"the whole is reducer", `recipe "test mix", component 3 (reducer): 100 % of the whole leaves no room for anything else: it must be below 100`,
			func(r *mix.Recipe) {
				r.Components[2].Parts, r.Components[2].Percent, r.Components[2].Of = 0, 100, mix.OfWhole
			}},
		{"percentages fill the whole", `recipe "test mix": percentages of the whole add up to 110 %, they must stay below 100`,
			func(r *mix.Recipe) {
				for i := 1; i < 3; i++ {
					r.Components[i].Parts, r.Components[i].Percent, r.Components[i].Of = 0, 55, mix.OfWhole
				}
			}},
		{"only percentages", `recipe "test mix" has no component in parts: at least one must be`,
			func(r *mix.Recipe) {
				for i := range r.Components {
					r.Components[i].Parts, r.Components[i].Percent, r.Components[i].Of = 0, 10, mix.OfParts
				}
			}},
		{"percentage of a first that is one itself", `recipe "test mix": reducer is a percentage of the first component, which must then be given in parts`,
			func(r *mix.Recipe) {
				r.Components[0].Parts, r.Components[0].Percent, r.Components[0].Of = 0, 10, mix.OfParts
				r.Components[2].Parts, r.Components[2].Percent, r.Components[2].Of = 0, 10, mix.OfFirst
			}},
		{"nameless tin", `recipe "test mix", component 2 (): it has no name: use what stands on the tin`,
			func(r *mix.Recipe) { r.Components[1].Name = "" }},
		{"role", `recipe "test mix", component 2 (hardener): role is "glue": use base, hardener, reducer or additive`,
			func(r *mix.Recipe) { r.Components[1].Role = "glue" }},
		{"tolerance", `recipe "test mix", component 2 (hardener): tolerance is 3: it is a fraction between 0 and 0.5, 0.03 for ±3 %`,
			func(r *mix.Recipe) { r.Components[1].Tolerance = 3 }},
		{"price", `recipe "test mix", component 2 (hardener): price is -1 a litre: it is between 0 and 1000000`,
			func(r *mix.Recipe) { r.Components[1].PricePerL = -1 }},
		{"density", `recipe "test mix", component 2 (hardener): density 12.5 g/mL can not be right: paint, hardener and reducer lie between 0.6 and 3 g/mL`,
			func(r *mix.Recipe) { r.Components[1].Density.GPerML = 12.5 }},
		{"pot life", `recipe "test mix": pot life and cup volume can not be negative`,
			func(r *mix.Recipe) { r.PotLifeMin = -1 }},
		{"cup", `recipe "test mix": pot life and cup volume can not be negative`,
			func(r *mix.Recipe) { r.CupUsableML = math.NaN() }},
		{"by volume without a density", `recipe "test mix": hardener has no density, and a ratio by volume can not be weighed without it: read it from the product sheet, weigh it against water, or pour by volume marks`,
			func(r *mix.Recipe) { r.Components[1].Density = mix.Density{} }},
		{"a volume by weight without a density", `recipe "test mix": hardener has no density, so a volume can not be weighed: give an amount in grams, or its density from the product sheet`,
			func(r *mix.Recipe) { r.Basis, r.Components[1].Density = mix.ByWeight, mix.Density{} }},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := recipeOf(t, "4:1:1", "1.42,1.06,0.87")
			row.spoil(&r)
			_, err := r.Plan(volume(600))
			require.EqualError(t, err, row.want)
		})
	}
}

// TestAmountRefusals: what can not be poured at a bench.
func TestAmountRefusals(t *testing.T) {
	r := recipeOf(t, "4:1:1", "1.42,1.06,0.87")
	for _, row := range []struct {
		amount mix.Amount
		want   string
	}{
		{volume(0), "0 ml is not an amount for a bench: give 1 to 100000 ml"},
		{volume(-600), "-600 ml is not an amount for a bench: give 1 to 100000 ml"},
		{volume(1e9), "1e+09 ml is not an amount for a bench: give 1 to 100000 ml"},
		{volume(math.NaN()), "NaN ml is not an amount for a bench: give 1 to 100000 ml"},
		{mass(math.Inf(1)), "+Inf g is not an amount for a bench: give 1 to 100000 g"},
		{mass(0.5), "0.5 g is not an amount for a bench: give 1 to 100000 g"},
		{mix.Amount{Kind: mix.AmountFirst}, "0 g is not an amount for a bench: give 1 to 100000 g"},
		{mix.Amount{Kind: "handful"}, `amount of kind "handful": say a volume, a mass, the first component's mass, or as poured`},
	} {
		_, err := r.Plan(row.amount)
		assert.EqualError(t, err, row.want)
	}
}

// TestTooLittleForTheScale: a line of a division or less would be met by an
// empty hand, so such a batch does not start, and as poured does not settle.
func TestTooLittleForTheScale(t *testing.T) {
	r := newRig(t)
	ready := r.start(recipeOf(t, "100:1", "1.0,1.0"), mass(10))
	require.NotNil(t, ready.Refused)
	assert.Equal(t, mix.RefusedOrder, ready.Refused.Code)
	assert.Equal(t, "0.099 g of hardener can not be weighed on a scale that shows steps of 0.1 g: mix more than 11 g in all, or use a finer scale", ready.Refused.Sentence)

	require.Nil(t, r.start(recipeOf(t, "100:1", "1.0,1.0"), mix.Amount{Kind: mix.AmountAsPoured}).Refused)
	r.cupOn(10 * scale.Gram)
	r.pour(5*scale.Gram, 0)
	r.stand(2e9)
	require.Contains(t, r.press(mix.VerbEnough).Refused.Sentence, "mix more than 11 g in all")
	r.pour(45*scale.Gram, 3e9)
	r.stand(2e9)
	require.Nil(t, r.press(mix.VerbEnough).Refused)
	require.Equal(t, grams(0.5), r.b.Layers[1].Target)
}

// TestStartRefusals: an order that names nothing, a scale that is not known, a
// cup that is still full.
func TestStartRefusals(t *testing.T) {
	r := newRig(t)
	recipe := recipeOf(t, "2:1", "1.0,1.0")
	for _, row := range []struct {
		order *mix.Order
		code  mix.RefusalCode
		want  string
	}{
		{nil, mix.RefusedOrder, "the start names no recipe and no amount: choose both"},
		{&mix.Order{Recipe: recipe, Amount: mass(300), Division: division}, mix.RefusedOrder, "the start names no recipe and no amount: choose both"},
		{&mix.Order{ID: "b", Recipe: recipe, Amount: mass(0), Division: division}, mix.RefusedOrder, "0 g is not an amount for a bench: give 1 to 100000 g"},
		{&mix.Order{ID: "b", Recipe: recipe, Amount: mass(300)}, mix.RefusedNoScale, "the scale's division is not known yet: wait until the scale is found"},
	} {
		ready := r.command(mix.VerbStart, 0, r.key(), row.order)
		require.NotNil(t, ready.Refused)
		assert.Equal(t, row.code, ready.Refused.Code)
		assert.EqualError(t, ready.Refused, row.want)
	}
	require.Nil(t, r.start(recipe, mass(300)).Refused)
	assert.EqualError(t, r.start(recipe, mass(300)).Refused, "another batch is still in the cup: finish, stop or abort it first")
}
