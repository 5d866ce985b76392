package mix_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// What is assumed for a job that says nothing else, with where it is from.
func TestUsualFigures(t *testing.T) {
	assert.InDelta(t, 0.65, mix.UsualTransfer, 1e-12, "HVLP or equal, South Coast AQMD and Puget Sound Clean Air Agency reg. I 9.16(e)(5)")
	assert.InDelta(t, 0.40, mix.SmallTransfer, 1e-12, "within the 20 to 50 % that a tester measured on small parts (Paints & Coatings Resource Center, April 2009)")
	assert.InDelta(t, 0.05, mix.UsualLoss, 1e-12, "common practice, no source")
	assert.InDelta(t, 30, mix.UsualDeadML, 1e-12, "common practice, no source")
	// Total dry film of the trade's ranges, common practice, no source.
	for kind, total := range map[coating.Kind][2]float64{
		coating.KindEtch: {8, 15}, coating.KindEpoxy: {25, 50}, coating.KindSurfacer: {75, 150}, coating.KindSolventBase: {12, 25}, coating.KindClear: {45, 65},
	} {
		r := recipeOf(t, "4:1", "1,1")
		r.Components[0].Content.Kind = kind
		film := r.UsualFilm()
		sum := float64(film.Coats) * film.DryUM
		assert.True(t, sum >= total[0] && sum <= total[1], "%s: %g µm", kind, sum)
	}
	for ml, cup := range map[float64]float64{1: 180, 180: 180, 181: 400, 600: 650, 2300: 2300, 2301: 0} {
		assert.InDelta(t, cup, mix.NextCupML(ml), 1e-9, ml)
	}
}

// A batch that an area asks for is never rounded down, and what a person would
// mix in its place is taken as it is.
func TestAmountOfAJob(t *testing.T) {
	r := described(t)
	r.VolumeSolids = 0.45
	j := mix.Job{AreaM2: 2, Coats: 2, DryUM: 25, Transfer: 0.65}
	a, n, err := r.AmountFor(j, 0)
	require.NoError(t, err)
	assert.InDelta(t, 341.88, n.MixML, 0.01)
	assert.InDelta(t, 342, a.ML, 0)
	a, _, err = r.AmountFor(j, 500)
	require.NoError(t, err)
	assert.InDelta(t, 500, a.ML, 0)
}

// The strictest of the categories governs in whatever order they are named.
func TestTheOrderOfUsesPlaysNoPart(t *testing.T) {
	const european = "EU, Directive 2004/42/EC annex II B: (c)(i) Surfacer, filler, general metal primer"
	for _, uses := range [][]string{{usPrimer, european}, {european, usPrimer}} {
		r := described(t)
		r.Uses = uses
		f, err := r.Figures(asked(volume(600)))
		require.NoError(t, err)
		require.NotNil(t, f.VOC.Held)
		assert.InDelta(t, 540, f.VOC.Held.Limit.GL, 1e-9)
	}
}
