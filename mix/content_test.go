package mix_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// described is 4:1:1 with everything that a sheet can say.
func described(t *testing.T) mix.Recipe {
	r := recipeOf(t, "4:1:1", "1.40,1.06,0.87")
	r.Components[0].Content = mix.Content{VolumeSolids: 0.52, Volatile: 0.40, OHValue: 52, Kind: coating.KindSurfacer}
	r.Components[1].Content = mix.Content{VolumeSolids: 0.60, Volatile: 0.25, NCOPercent: 16}
	r.Components[2].Content = mix.Content{Volatile: 1}
	return r
}

// The worked cases of VOC and solids, through a recipe: 562.5 g/l by the
// definition in 40 CFR 59.104, 44.667 % by volume.
func TestRecipeVOC(t *testing.T) {
	r := described(t)
	p, err := r.Plan(volume(600))
	require.NoError(t, err)
	v, err := r.VOC(&p)
	require.NoError(t, err)
	assert.InDelta(t, 562.5, v.RegulatoryGL, 0.01)
	solids, stated, err := r.Solids(&p)
	require.NoError(t, err)
	assert.False(t, stated)
	assert.InDelta(t, 0.44667, solids, 1e-5)
	index, err := r.Index(&p)
	require.NoError(t, err)
	// 4·1.40 g of OH value 52 against 1.06 g of 16 % NCO.
	assert.InDelta(t, (1.06/(4202/16.0))/(4*1.40/(56100/52.0)), index, 1e-9)

	r.VolumeSolids = 0.45
	n, err := r.ForJob(mix.Job{AreaM2: 2, Coats: 2, DryUM: 25, Transfer: 0.65})
	require.NoError(t, err)
	assert.InDelta(t, 341.88, n.MixML, 0.01)
	assert.Equal(t, []string{
		"Mix 342 ml. Look for a wet film of 56 µm a coat.",
		"222 ml stay on the part, 342 ml go through the gun; volume solids 45.0 %, as the sheet gives them.",
	}, n.Text())
}

func TestContentRefuses(t *testing.T) {
	r := described(t)
	p, err := r.Plan(volume(600))
	require.NoError(t, err)
	r.Components[2].Content = mix.Content{}
	_, err = r.VOC(&p)
	assert.ErrorContains(t, err, "reducer: its VOC is not known.")
	r.Components[1].Content.VolumeSolids = 0
	_, _, err = r.Solids(&p)
	assert.ErrorContains(t, err, "hardener has no volume solids, so no amount can be worked out from an area")
	r.Components[0].Content.OHValue = 0
	_, err = r.Index(&p)
	assert.ErrorContains(t, err, "An OH value of 0")
	r.Components[1].Role = mix.RoleAdditive
	_, err = r.Index(&p)
	assert.EqualError(t, err, "the recipe has no hardener, so it has no index")

	for says, c := range map[string]mix.Content{
		"volatile is 40, it is a fraction between 0 and 1: 0.40 for 40 %":                      {Volatile: 40},
		"voc_g_l is -1, it can not be negative":                                                {VOCGL: -1},
		`kind "paint" is not known: leave it out, or use one of primer surfacer, epoxy primer`: {Kind: "paint"},
	} {
		r := described(t)
		r.Components[1].Content = c
		assert.ErrorContains(t, r.Check(), says)
	}
	r = described(t)
	r.VolumeSolids = 45
	assert.ErrorContains(t, r.Check(), "volume solids are 45, they are a fraction between 0 and 1: 0.45 for 45 %")
}

// A warm shop: densities move, the ratio by as much as their expansions differ
// (0.397 % for 0.0007 and 0.0011 in 10 K, computed from the definition), and
// what is not known is said.
func TestAtTemperature(t *testing.T) {
	r := described(t)
	r.Components[0].Density.ExpansionPerK = 0.0007
	r.Components[1].Density.ExpansionPerK = 0.0011
	w, err := r.At(30)
	require.NoError(t, err)
	assert.InDelta(t, 1.40/(1+0.007), w.Recipe.Components[0].Density.GPerML, 1e-9)
	assert.InDelta(t, 0.00397, w.Shift[1], 1e-5)
	require.Len(t, w.Notes, 1)
	assert.Equal(t, "reducer: how much it expands is not known, so its density stays at that of 20 °C; paint grows by about 0.8 % in 10 K.", w.Notes[0])
	assert.InDelta(t, 1.40, r.Components[0].Density.GPerML, 0, "the recipe itself is left alone")

	w, err = r.At(34)
	require.NoError(t, err)
	assert.Contains(t, w.Notes[0], "base, hardener, reducer: The paint is at 34 °C and its density holds for 20 °C: more than 10 K apart")
	_, err = r.At(80)
	assert.ErrorContains(t, err, "A shop at 80 °C can not be right")
}
