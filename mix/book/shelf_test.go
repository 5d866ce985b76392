package book

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

func TestShelf(t *testing.T) {
	b := fresh(t)
	list, err := b.Recipes()
	require.NoError(t, err)
	require.Empty(t, list)
	_, found, err := b.Recipe("slate-surfacer")
	require.NoError(t, err)
	require.False(t, found)

	first := Sample()[0]
	require.NoError(t, b.PutRecipe(first))
	second := Sample()[0]
	second.PotLifeMin, second.Name = 40, "another name"
	require.NoError(t, b.PutRecipe(second))
	require.NoError(t, b.PutRecipe(second), "the same once more")
	got, found, err := b.Recipe(first.ID)
	require.NoError(t, err)
	require.True(t, found)
	require.Equal(t, second, got)
	versions, err := b.RecipeVersions(first.ID)
	require.NoError(t, err)
	require.Equal(t, []mix.Recipe{first, second}, versions, "the earlier one is kept, the same one is not kept twice")

	found, err = b.TakeRecipe(first.ID)
	require.NoError(t, err)
	require.True(t, found)
	found, err = b.TakeRecipe(first.ID)
	require.NoError(t, err)
	require.False(t, found)
	_, found, err = b.Recipe(first.ID)
	require.NoError(t, err)
	require.False(t, found)

	require.NoError(t, b.PutRecipe(second), "it comes back")
	list, err = b.Recipes()
	require.NoError(t, err)
	require.Equal(t, []mix.Recipe{second}, list)
	versions, err = b.RecipeVersions(first.ID)
	require.NoError(t, err)
	require.Len(t, versions, 2)
}

func TestShelfIsSortedByName(t *testing.T) {
	b := fresh(t)
	for i, name := range []string{"slate", "Ballast", "estuary", "Zinc", "ballast"} {
		r := Sample()[0]
		r.ID, r.Name = string(rune('e'-i)), name
		require.NoError(t, b.PutRecipe(r))
	}
	list, err := b.Recipes()
	require.NoError(t, err)
	var names []string
	for _, r := range list {
		names = append(names, r.Name)
	}
	require.Equal(t, []string{"ballast", "Ballast", "estuary", "slate", "Zinc"}, names)
}

func TestRefusedRecipes(t *testing.T) {
	b := fresh(t)
	for name, c := range map[string]struct {
		spoil func(*mix.Recipe)
		says  string
	}{
		"Check":     {func(r *mix.Recipe) { r.Components = r.Components[:1] }, "a mix has 2 to 8"},
		"no id":     {func(r *mix.Recipe) { r.ID = " " }, "has no id"},
		"long id":   {func(r *mix.Recipe) { r.ID = strings.Repeat("i", maxNameBytes+1) }, "more than 4096 bytes"},
		"long note": {func(r *mix.Recipe) { r.Note = strings.Repeat("n", MaxBodyBytes) }, "shorten its note"},
	} {
		t.Run(name, func(t *testing.T) {
			r := Sample()[0]
			c.spoil(&r)
			require.ErrorContains(t, b.PutRecipe(r), c.says)
		})
	}
	list, err := b.Recipes()
	require.NoError(t, err)
	require.Empty(t, list)
}

func TestFillSample(t *testing.T) {
	b := fresh(t)
	require.NoError(t, b.FillSample())
	list, err := b.Recipes()
	require.NoError(t, err)
	require.ElementsMatch(t, Sample(), list)
	for _, r := range list {
		_, err := b.TakeRecipe(r.ID)
		require.NoError(t, err)
	}
	require.NoError(t, b.FillSample())
	list, err = b.Recipes()
	require.NoError(t, err)
	require.Empty(t, list, "a shelf that was emptied on purpose stays empty")

	own := fresh(t)
	require.NoError(t, own.PutRecipe(Sample()[3]))
	require.NoError(t, own.FillSample())
	list, err = own.Recipes()
	require.NoError(t, err)
	require.Len(t, list, 1, "nothing is added to a shelf in use")
}

// Ranges of density at 20 °C: common practice, no source. A filled single
// stage white may be as heavy as a light surfacer.
func TestSample(t *testing.T) {
	ids := map[string]bool{}
	density := map[mix.Role][2]float64{
		mix.RoleBase: {0.93, 1.75}, mix.RoleHardener: {0.95, 1.12}, mix.RoleReducer: {0.80, 1.00}, mix.RoleAdditive: {0.80, 1.12},
	}
	require.GreaterOrEqual(t, len(Sample()), 6)
	for _, r := range Sample() {
		require.NoError(t, r.Check())
		require.False(t, ids[r.ID], r.ID)
		ids[r.ID] = true
		require.LessOrEqual(t, len(r.Name), 24, "%s: a name is read on a card, in one line", r.Name)
		require.False(t, strings.ContainsAny(r.Name, ":%0123456789"), "%s: the ratio stands beside the name already", r.Name)
		require.Contains(t, strings.ToLower(r.Note), "invented")
		require.Positive(t, r.CupUsableML)
		for _, c := range r.Components {
			require.Equal(t, "invented", c.Density.Source)
			require.Equal(t, 20.0, c.Density.ReferenceC)
			require.Positive(t, c.PricePerL)
			require.GreaterOrEqual(t, c.Density.GPerML, density[c.Role][0], c.Name)
			require.LessOrEqual(t, c.Density.GPerML, density[c.Role][1], c.Name)
			if c.Role == mix.RoleHardener {
				require.Positive(t, r.PotLifeMin, "what has hardener has a pot life: %s", r.Name)
			}
		}
	}
}

// The grams are worked out by hand: 600 mL of 4:1:1 are 400, 100 and 100 mL;
// 660 mL of 2:1 + 10 % of both are 400, 200 and 60 mL; 500 g of 100:30 split as
// 135 to 33.
func TestSampleGrams(t *testing.T) {
	for id, c := range map[string]struct {
		amount mix.Amount
		grams  []float64
	}{
		"slate-surfacer": {mix.Amount{Kind: mix.AmountVolume, ML: 600}, []float64{568, 106, 87}},
		"lantern-clear":  {mix.Amount{Kind: mix.AmountVolume, ML: 660}, []float64{392, 210, 52.2}},
		"harbour-white":  {mix.Amount{Kind: mix.AmountMass, Grams: 500}, []float64{500 * 135.0 / 168, 500 * 33.0 / 168}},
	} {
		b := fresh(t)
		require.NoError(t, b.FillSample())
		r, found, err := b.Recipe(id)
		require.NoError(t, err)
		require.True(t, found, id)
		p, err := r.Plan(c.amount)
		require.NoError(t, err)
		require.Equal(t, len(c.grams), p.N)
		for i, want := range c.grams {
			require.InDelta(t, want, p.Targets[i].MassG, 1e-9, "%s, component %d", id, i+1)
		}
	}
}
