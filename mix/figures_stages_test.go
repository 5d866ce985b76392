package mix_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/coating"
)

const (
	oneOrTwo = "US national, 40 CFR 59 subpart B: Topcoat of one or two stages"
	moreThan = "US national, 40 CFR 59 subpart B: Topcoat of more than two stages"
	euTop    = "EU, Directive 2004/42/EC annex II B: (d) Topcoat: base, clear, single stage"
)

// stating is a recipe whose mix has a VOC of so many g/l.
func stating(t *testing.T, name string, gl float64, uses ...string) mix.Recipe {
	r := recipeOf(t, "4:1", "1.00,1.00")
	r.ID, r.Name, r.Uses = name, name, uses
	for i := range r.Components {
		r.Components[i].Content = mix.Content{VOCGL: gl, Plain: true}
	}
	return r
}

// Two stages of 720 and 500 g/l are (720 + 2·500)/3 = 573.33 (Kern County APCD
// rule 410.4A, San Luis Obispo APCD rule 423); with a midcoat of 700 over 750 it
// is (750 + 700 + 2·500)/4 = 612.5 (40 CFR 59.104(a)(2)).
func TestStagesTogether(t *testing.T) {
	base, clear := stating(t, "Blue", 720, oneOrTwo), stating(t, "Clear", 500)
	f, err := base.Figures(mix.Question{Amount: volume(600), Over: []mix.Recipe{clear}})
	require.NoError(t, err)
	x := f.VOC.Stages
	require.True(t, x.Known, x.WhyNot)
	assert.InDelta(t, 573.333, x.GL, 0.001)
	assert.Equal(t, "The 2 stages together (Blue, Clear): VOC 573 g/l less water and exempt solvent, the clear counted twice. "+
		"VOC 573 g/l less water and exempt solvent: 27 g/l below the limit of 600 for Topcoat of one or two stages (US national, 40 CFR 59 subpart B).", x.Text)
	assert.Nil(t, f.VOC.Held, "the base alone is not held against it")
	assert.Equal(t, "VOC 720 g/l less water and exempt solvent, of this stage alone.", f.VOC.Text)

	base = stating(t, "Pearl", 750, moreThan, euTop)
	f, err = base.Figures(mix.Question{Amount: volume(600), Over: []mix.Recipe{stating(t, "Mid", 700), clear}})
	require.NoError(t, err)
	assert.InDelta(t, 612.5, f.VOC.Stages.GL, 0.001)
	assert.InDelta(t, 17.5, f.VOC.Stages.Held.Spare, 0.001)
	require.NotNil(t, f.VOC.Held, "the European one counts each coating on its own")
	assert.Equal(t, coating.BasisEuropean, f.VOC.Held.Limit.Basis)
	assert.False(t, f.VOC.Held.Within())

	f, err = base.Figures(mix.Question{Amount: volume(600)})
	require.NoError(t, err)
	assert.False(t, f.VOC.Stages.Asked)
	assert.False(t, f.VOC.Held.Within(), "without stages the strictest governs, as before")
}

func TestStagesSayWhyNot(t *testing.T) {
	why := func(x mix.StagesFigure) string { return x.WhyNot }
	for says, c := range map[string]struct {
		base  mix.Recipe
		over  mix.Recipe
		where func(mix.StagesFigure) string
	}{
		"Which topcoat category is it used as? Choose one of its table: only those count the stages together.": {
			stating(t, "Blue", 720, euTop), stating(t, "Clear", 500), func(x mix.StagesFigure) string { return x.HeldWhyNot }},
		"The stages together are not known. base: its VOC is not known. Give its volatile, water and exempt shares by weight, or the VOC on its sheet; it is never taken as 0.": {
			stating(t, "Blue", 720, oneOrTwo), recipeOf(t, "2:1", "1.00,1.00"), why},
		"The stages together are not known. What goes over it is not on the shelf any more (gone): choose it again.": {
			stating(t, "Blue", 720, oneOrTwo), mix.Recipe{ID: "gone", Name: "gone"}, why},
		"The stages together are not known, because this one is not.": {
			recipeOf(t, "2:1", "1.00,1.00"), stating(t, "Clear", 500), why},
	} {
		f, err := c.base.Figures(mix.Question{Amount: volume(600), Over: []mix.Recipe{c.over}})
		require.NoError(t, err)
		assert.Equal(t, says, c.where(f.VOC.Stages))
	}
	base := stating(t, "Blue", 600, moreThan)
	f, err := base.Figures(mix.Question{Amount: volume(600), Over: []mix.Recipe{stating(t, "Clear", 500)}})
	require.NoError(t, err)
	assert.Contains(t, f.VOC.Stages.Text, "That category is for another number of stages: these are 2.")
	base.Over = []string{"a", "b", "c", "d", "e"}
	assert.ErrorContains(t, base.Check(), "has 5 stages over it: a topcoat has at most 4")
}
