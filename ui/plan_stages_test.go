package ui

import (
	"encoding/json"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// stating is a recipe whose mix has a VOC of so many g/l.
func stating(id string, gl float64) mix.Recipe {
	r := surfacer()
	r.ID, r.Name = id, id
	for i := range r.Components {
		r.Components[i].Content = mix.Content{VOCGL: gl, Plain: true}
	}
	return r
}

// What goes over a base is chosen on the page, kept with it, and its VOC is that
// of the stages together: (720 + 2·500)/3 (Kern County APCD rule 410.4A).
func TestStagesOfARecipe(t *testing.T) { synctest.Test(t, stagesOfARecipe) }

func stagesOfARecipe(t *testing.T) {
	settings := new(shop)
	base, clear := stating("blue", 720), stating("clear", 500)
	base.Uses = []string{"US national, 40 CFR 59 subpart B: Topcoat of one or two stages"}
	clear.Uses = base.Uses
	primer := stating("primer", 500)
	primer.Components[0].Content.Kind = "primer surfacer"
	r := newStillRig(t, func(c *Config) { c.Shelf, c.Settings = shelfOf{recipes: []mix.Recipe{base, clear, primer}}, settings })
	set := func(body string) (int, string) {
		resp, text := r.send("POST", "/api/settings", body, nil)
		return resp.StatusCode, text
	}
	status, text := set(`{"do":"stages","recipe_id":"blue","over":["clear"]}`)
	require.Equal(t, 200, status, text)
	require.Equal(t, []string{"clear"}, settings.put[0].Over)
	require.Equal(t, base.Uses, settings.put[0].Uses, "its categories stay")
	for says, body := range map[string]string{
		"There is no recipe \\\"gone\\\" on the shelf": `{"do":"stages","recipe_id":"blue","over":["gone"]}`,
		"Primer goes under the colour and not over it: choose a clear, or set its kind on the shelf if it is something else.": `{"do":"stages","recipe_id":"blue","over":["primer"]}`,
		"Blue can not go over itself": `{"do":"stages","recipe_id":"blue","over":["blue"]}`,
	} {
		status, text = set(body)
		assert.Equal(t, 422, status)
		assert.Contains(t, text, says)
	}
	assert.Len(t, settings.put, 1, "what is refused changes nothing")
	stages := map[string]string{}
	for _, listed := range get[ShelfAnswer](r, "/api/shelf").Recipes {
		stages[listed.ID] = listed.Stage
	}
	assert.Equal(t, map[string]string{"blue": "", "clear": "", "primer": "under"}, stages)
	got := get[PlanAnswer](newStillRig(t, func(c *Config) { c.Shelf = shelfOf{recipes: []mix.Recipe{settings.put[0], clear}} }), "/api/plan?recipe=blue&kind=volume&ml=600").VOC
	assert.InDelta(t, 573.333, got.Stages.GL, 0.001)
	assert.InDelta(t, 26.667, got.Stages.SpareGL, 0.001)
	assert.Equal(t, []string{"clear"}, got.Stages.Over)
	assert.Nil(t, got.Limit, "the base alone is not held against the limit of the topcoat")
}

// Each field of a limit of one's own has its own refusal, and the figure is
// taken in the unit of its source.
func TestOwnLimitsAreRefusedBesideTheirField(t *testing.T) {
	synctest.Test(t, ownLimitsAreRefusedBesideTheirField)
}

func ownLimitsAreRefusedBesideTheirField(t *testing.T) {
	settings := new(shop)
	r := newStillRig(t, func(c *Config) { c.Settings = settings })
	send := func(change func(*SettingsBody)) ShelfRefusal {
		body := SettingsBody{Do: "add-limit", Typed: "4.0 lb/gal", Limit: &LimitBody{Set: "Booth permit", Category: "Topcoat", Basis: "less water and exempt solvent", Source: "the permit on the wall", Date: "3 May 2026"}}
		change(&body)
		text, err := json.Marshal(body)
		require.NoError(t, err)
		_, answer := r.send("POST", "/api/settings", string(text), nil)
		var a ShelfRefusal
		require.NoError(t, json.Unmarshal([]byte(answer), &a))
		return a
	}
	for field, c := range map[string]struct {
		says   string
		change func(*SettingsBody)
	}{
		"set":      {"Whose limit is it? Name its table: a rule, or the permit of your booth.", func(b *SettingsBody) { b.Limit.Set = " " }},
		"category": {"What is it for? Name the category as it stands there.", func(b *SettingsBody) { b.Limit.Category = "" }},
		"source":   {"Say where it stands: a figure without a source can not be trusted later.", func(b *SettingsBody) { b.Limit.Source = "" }},
		"date":     {"Say of when it is: limits change.", func(b *SettingsBody) { b.Limit.Date = "" }},
		"g_l":      {"4 may be lb/gal or g/l: write the unit.", func(b *SettingsBody) { b.Typed = "4" }},
	} {
		a := send(c.change)
		assert.Equal(t, field, a.Field)
		assert.Equal(t, c.says, a.Sentence)
	}
	assert.Equal(t, "Give the limit as it stands there: 420 g/l, or 3.5 lb/gal.", send(func(b *SettingsBody) { b.Typed = "" }).Sentence)
	require.Empty(t, settings.s.Limits)
	require.True(t, send(func(*SettingsBody) {}).OK)
	// 4.0 lb/gal by the exact pound and gallon: 479.31 g/l.
	assert.InDelta(t, 479.306, settings.s.Limits[0].GL, 0.001)
	a := send(func(*SettingsBody) {})
	assert.Equal(t, "category", a.Field)
	assert.Contains(t, a.Sentence, `of the name "Booth permit: Topcoat" already`)
}
