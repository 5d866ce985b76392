package main

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/book"
)

// Undercoats that the page kept are asked by their name in the terminal, and
// give what the same drawdowns typed here give.
func TestGreyFromTheBook(t *testing.T) {
	folder := t.TempDir()
	b, err := book.Open(folder)
	require.NoError(t, err)
	require.NoError(t, b.FillSample())
	require.NoError(t, b.PutGrey(mix.GreySystem{
		ID: "slate-greys", Name: "Slate greys", Light: mix.GreyTin{Name: "Slate surfacer"}, Dark: mix.GreyTin{Name: "Slate dark", Density: mix.Density{GPerML: 1.38, ReferenceC: 20}},
		Cards: []mix.GreyCard{{DarkPercent: 0, Lightness: 91}, {DarkPercent: 10, Lightness: 68}, {DarkPercent: 50, Lightness: 44}, {DarkPercent: 100, Lightness: 30}},
		Steps: []mix.GreyStep{{Name: "Middle", Lightness: 60}},
	}, time.Now()))
	from := []string{"grey", "--json", "--data", folder, "--wanted", "middle", "--volume-ml", "300", "--system"}

	kept := printed(t, append(from, "slate greys")...)
	typed := printed(t, line("grey --json --card 0:91 --card 10:68 --card 50:44 --card 100:30 --wanted 60 --volume-ml 300 --light 1.42 --dark 1.38")...)
	// The light one stands on the sample shelf with 1.42 g/ml ± 0.012, which is surer
	// than the half per cent that is assumed for one that is typed.
	assert.Less(t, kept["weighed"].(map[string]any)["densities_lightness_uncertainty"], typed["weighed"].(map[string]any)["densities_lightness_uncertainty"])
	typed["weighed"] = kept["weighed"]
	assert.Equal(t, typed, kept)
	assert.InDelta(t, 55.6*1.38, kept["dark_g"], 0.1)

	require.NoError(t, b.Close(), "until now a bench had the book")
	assert.Equal(t, kept, printed(t, append(from, "slate greys")...))

	for says, args := range map[string][]string{
		"the book keeps: Slate greys":         append(from, "Ferry"),
		"has its own drawdowns":               append(from, "Slate greys", "--card", "0:90"),
		"which undercoats? give --system":     {"grey", "--wanted", "60"},
		"there is no book in":                 {"grey", "--wanted", "60", "--system", "Slate greys", "--data", t.TempDir()},
		"neither an L* nor a step; steps are": append(from[:4:4], "--wanted", "dim", "--system", "Slate greys"),
	} {
		status, out, errs := gramcup(t, "", args...)
		assert.NotZero(t, status, says)
		assert.Empty(t, out)
		assert.Contains(t, errs, says)
	}
}

// What weighing adds is counted as soon as densities and a scale are given, and
// until then it is said that it is not. By hand: the share 0.1852 moves by
// 0.1852·0.8148·√2·0.005 = 0.001067 with both densities, and that times the slope.
func TestGreyCountsWhatIsWeighed(t *testing.T) {
	const cards = "grey --card 0:91 --card 10:68 --card 50:44 --card 100:30 --wanted 60 --volume-ml 300"
	got := printed(t, line(cards+" --json --light 1.45 --dark 1.38")...)
	weighed := got["weighed"].(map[string]any)
	slope := got["lightness_uncertainty"].(float64) / got["dark_share_uncertainty"].(float64)
	share := got["dark_share_by_volume"].(float64)
	assert.InEpsilon(t, share*(1-share)*math.Sqrt2*0.005*slope, weighed["densities_lightness_uncertainty"], 1e-6)
	assert.Zero(t, weighed["scale_lightness_uncertainty"])
	assert.Equal(t, true, weighed["densities_assumed"])
	coarse := printed(t, line(cards+" --json --light 1.45 --dark 1.38 --division 1g")...)["weighed"].(map[string]any)
	fine := printed(t, line(cards+" --json --light 1.45 --dark 1.38 --division 1g --repeatability-g 0.2")...)["weighed"].(map[string]any)
	assert.Greater(t, coarse["scale_lightness_uncertainty"], fine["scale_lightness_uncertainty"])
	d, s, cardU := coarse["densities_lightness_uncertainty"].(float64), coarse["scale_lightness_uncertainty"].(float64), got["lightness_uncertainty"].(float64)
	assert.InEpsilon(t, math.Sqrt(d*d+s*s+cardU*cardU), coarse["lightness_uncertainty"], 1e-9)

	for args, says := range map[string]string{
		"":                          "The ± holds the drawdowns alone: densities and scale come on top, and count most for a small share of the dark one.\n",
		" --light 1.45 --dark 1.38": "; what the scale adds is not counted: give --division.\n",
		" --light 1.45 --dark 1.38 --division 1g": " A pour off its line is not counted: 1 g more of the dark one is 0.2 L* darker.\nWorked out for a scale of 1 g, taken to scatter by one division because nobody measured it.\n",
	} {
		_, out, _ := gramcup(t, "", line(cards+args)...)
		assert.Contains(t, out, says)
	}
	_, _, errs := gramcup(t, "", line(cards+" --light 1.45 --dark 1.38 --division 1furlong")...)
	assert.Contains(t, errs, "furlong")
}

// Where the drawdowns end their own card is the grey, at both ends and within its
// ± of an L*; further out it is refused.
func TestGreyAtTheEndsOfTheCards(t *testing.T) {
	const cards = "grey --card 0:91 --card 10:68 --card 50:44 --card 100:30 --volume-ml 300 --light 1.45 --dark 1.38 --wanted "
	for wanted, says := range map[string]string{
		"91":   "L* 91 is where your cards end: the light one alone, which dried to L* 91.0 ± 1.4, ",
		"91.8": "L* 91.8 is where your cards end: the light one alone, which dried to L* 91.0 ± 1.4, ",
		"30":   "L* 30 is where your cards end: the dark one alone, which dried to L* 30.0 ± 1.4, ",
		"29.2": "L* 29.2 is where your cards end: the dark one alone, which dried to L* 30.0 ± 1.4, ",
	} {
		_, out, errs := gramcup(t, "", line(cards+wanted)...)
		assert.Empty(t, errs, wanted)
		assert.Contains(t, out, says, wanted)
		got := printed(t, line(cards+wanted+" --json")...)
		assert.Contains(t, []any{0.0, 1.0}, got["dark_share_by_volume"])
		assert.Contains(t, []any{91.0, 30.0}, got["end_card_lightness"])
		assert.InDelta(t, 300, got["light_ml"].(float64)+got["dark_ml"].(float64), 1e-9)
		assert.NotContains(t, got, "weighed", "nothing is weighed together")
	}
	for wanted, says := range map[string]string{"92.2": "draw down a lighter mix", "28.8": "draw down a darker mix"} {
		status, _, errs := gramcup(t, "", line(cards+wanted)...)
		assert.Equal(t, 1, status)
		assert.Contains(t, errs, "is outside what was drawn down, L* 91.0 to 30.0 and ± 1.0 a card: "+says)
	}
}
