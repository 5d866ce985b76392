package mix_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// kinded is a recipe whose base is of a kind.
func kinded(t *testing.T, kind coating.Kind, uses ...string) mix.Recipe {
	r := stating(t, string(kind), 500, uses...)
	r.Components[0].Content.Kind = kind
	return r
}

func TestStageOfARecipe(t *testing.T) {
	const euPrimer = "EU, Directive 2004/42/EC annex II B: (c)(i) Surfacer, filler, general metal primer"
	for _, c := range []struct {
		kind coating.Kind
		uses []string
		want mix.Stage
	}{
		{coating.KindSurfacer, nil, mix.StageUnder}, {coating.KindEpoxy, nil, mix.StageUnder}, {coating.KindEtch, []string{oneOrTwo}, mix.StageUnder},
		{coating.KindSolventBase, []string{usPrimer}, mix.StageColour}, {coating.KindWaterBase, nil, mix.StageColour}, {coating.KindClear, nil, mix.StageClear},
		{"", nil, mix.StageUnknown}, {"", []string{usPrimer, euPrimer}, mix.StageUnder}, {"", []string{oneOrTwo}, mix.StageUnknown}, {"", []string{usPrimer, euTop}, mix.StageUnknown},
		{"", []string{"Primer booth, permit: Clear"}, mix.StageUnknown},
	} {
		r := kinded(t, c.kind, c.uses...)
		assert.Equal(t, c.want, r.Stage(), "%s, %v", c.kind, c.uses)
	}
}

// Every built-in category lies under a topcoat or not.
func TestWhichCategoriesLieUnder(t *testing.T) {
	under := map[string]bool{}
	for _, l := range coating.Limits() {
		r := kinded(t, "", l.Name())
		under[l.Category] = r.Stage() == mix.StageUnder
	}
	assert.Equal(t, map[string]bool{
		"Pretreatment wash primer": true, "Primer and primer surfacer": true, "Primer sealer": true, "Topcoat of one or two stages": false,
		"Topcoat of more than two stages": false, "Multi-colored topcoat": false, "Specialty coating": false,
		"(a)(i) Preparatory product": true, "(a)(ii) Pre-cleaner": true, "(b) Bodyfiller and stopper": true, "(c)(i) Surfacer, filler, general metal primer": true,
		"(c)(ii) Wash primer": true, "(d) Topcoat: base, clear, single stage": false, "(e) Special finish": false,
	}, under)
}

// A primer goes over nothing, a colour is not the last; what does not say what it
// is stays possible, and a clear may be tinted as a midcoat.
func TestWhatCanStandOverABase(t *testing.T) {
	primer, colour, clear, unknown := kinded(t, coating.KindSurfacer), kinded(t, coating.KindWaterBase), kinded(t, coating.KindClear), kinded(t, "")
	for _, over := range [][]mix.Recipe{nil, {clear}, {unknown}, {colour, clear}, {clear, clear}, {unknown, colour, unknown}} {
		assert.NoError(t, mix.CheckOver(over))
	}
	assert.EqualError(t, mix.CheckOver([]mix.Recipe{primer}), "primer surfacer goes under the colour and not over it: choose a clear, or set its kind on the shelf if it is something else")
	assert.EqualError(t, mix.CheckOver([]mix.Recipe{primer, clear}), "primer surfacer goes under the colour and not over it: choose a midcoat, or set its kind on the shelf if it is something else")
	assert.EqualError(t, mix.CheckOver([]mix.Recipe{clear, colour}), "water base is a colour, and the last stage is the clear: choose a clear, or set its kind on the shelf if it is something else")
}
