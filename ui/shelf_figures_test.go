package ui

import (
	"encoding/json"
	"net/http"
	"net/url"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// putFigures adds quay with figures of base, hardener and mix.
func putFigures(e *editing, base, hardener, mixed map[mix.Figure]string) (int, editAnswer) {
	return e.change(ShelfBody{Do: "put", Recipe: quay(), Densities: []ShelfDensity{{Typed: "1.40"}, {Typed: "1.06"}},
		Figures: []ShelfFigures{{Typed: base}, {Typed: hardener}}, Mix: mixed, From: "Quay sheet, edition 4"})
}

func TestFiguresArePutWithTheirPast(t *testing.T) { synctest.Test(t, figuresArePutWithTheirPast) }

func figuresArePutWithTheirPast(t *testing.T) {
	e := newEditing(t)
	_, a := putFigures(e, map[mix.Figure]string{mix.FigurePrice: "98.42 /gal", mix.FigureVOC: "4.7 lb/gal", mix.FigurePlain: "yes", mix.FigureOH: "38"},
		map[mix.Figure]string{mix.FigureNCO: "262.625 g/eq", mix.FigureExpansion: "0.0011 /K"}, map[mix.Figure]string{mix.FigureMixSolids: "44.5 %"})
	require.True(t, a.OK, a.Sentence)
	byName := map[string]ShelfFigure{}
	for _, f := range append(a.Recipe.Components[0].Figures, a.Recipe.Components[1].Figures...) {
		byName[f.Figure+f.Text] = f
	}
	// 4.7 lb/gal by the exact pound and gallon: 563.18 g/l.
	voc := byName["voc563 g/l"]
	assert.Equal(t, "4.7 lb/gal", voc.Typed)
	assert.Regexp(t, `^Quay sheet, edition 4, \d+ \w{3} \d{4}$`, voc.From)
	assert.Contains(t, byName, "nco16 %")
	assert.Contains(t, byName, "price26.00 /l")
	assert.Equal(t, "44.5 %", a.Recipe.Figures[0].Text)
	assert.InDelta(t, 0.445, a.Recipe.Recipe.VolumeSolids, 1e-12)

	// A change that does not name them leaves them and their past; a new density
	// leaves how the liquid expands.
	next := a.Recipe.Recipe
	next.Components[1].Density = mix.Density{}
	_, b := e.change(ShelfBody{Do: "put", ID: a.ID, Revision: a.Recipe.Revision, Recipe: &next, Densities: []ShelfDensity{{}, {Typed: "1.07"}}})
	require.True(t, b.OK, b.Sentence)
	assert.Equal(t, a.Recipe.Components[0].Figures, b.Recipe.Components[0].Figures)
	assert.InDelta(t, 0.0011, b.Recipe.Recipe.Components[1].Density.ExpansionPerK, 1e-12)

	next = b.Recipe.Recipe
	_, c := e.change(ShelfBody{Do: "put", ID: a.ID, Revision: b.Recipe.Revision, Recipe: &next, Figures: []ShelfFigures{{Typed: map[mix.Figure]string{mix.FigureVOC: ""}}, {}}})
	require.True(t, c.OK, c.Sentence)
	assert.Zero(t, e.recipe(a.ID).Recipe.Components[0].Content.VOCGL, "an emptied figure is not known any more")
	_, d := e.change(ShelfBody{Do: "undo", ID: a.ID, Revision: c.Recipe.Revision})
	require.True(t, d.OK, d.Sentence)
	assert.Equal(t, b.Recipe.Components[0].Figures, d.Recipe.Components[0].Figures, "undone with its past")
}

func TestAFigureIsRefusedBesideItsField(t *testing.T) {
	synctest.Test(t, aFigureIsRefusedBesideItsField)
}

func aFigureIsRefusedBesideItsField(t *testing.T) {
	e := newEditing(t)
	for field, c := range map[string]struct {
		base, hardener, mixed map[mix.Figure]string
		says                  string
	}{
		"voc-0":          {base: map[mix.Figure]string{mix.FigureVOC: "4.7"}, says: "4.7 may be lb/gal or g/l: write the unit."},
		"nco-1":          {hardener: map[mix.Figure]string{mix.FigureNCO: "60"}, says: "An NCO content of 60 % can not be right: hardeners as supplied have about 5 to 25 %."},
		"mix_solids-mix": {mixed: map[mix.Figure]string{mix.FigureMixSolids: "0.4"}, says: "0.4 may be 0.4 % or a share: write it with %."},
		"exempt_density-0": {base: map[mix.Figure]string{mix.FigureVolatile: "40 %", mix.FigureExempt: "10 %"},
			says: "Exempt solvent is taken off by its volume: give its density, 0.79 for acetone."},
	} {
		before := e.book.puts
		status, a := putFigures(e, c.base, c.hardener, c.mixed)
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		assert.Equal(t, c.says, a.Sentence)
		assert.Equal(t, field, a.Field)
		assert.Equal(t, before, e.book.puts, "nothing is put")
	}
	r := quay()
	r.Components[0].Said = []mix.Said{{Figure: mix.FigureVOC, AsGiven: "1 g/l", Source: "product sheet", SinceMS: 1}}
	_, a := e.change(ShelfBody{Do: "put", Recipe: r})
	assert.Equal(t, `Where the figure "voc" came from is written down here when it is typed, and is not posted.`, a.Sentence)
	_, a = e.change(ShelfBody{Do: "put", Recipe: quay(), Figures: []ShelfFigures{{}}})
	assert.Equal(t, "Figures for 1 of 2 components: give some for each, empty where they stay.", a.Sentence)
}

// What is typed is read back before anything is put.
func TestAFigureIsReadBack(t *testing.T) { synctest.Test(t, aFigureIsReadBack) }

func aFigureIsReadBack(t *testing.T) {
	r := newStillRig(t, nil)
	got := get[FigureAnswer](r, "/api/shelf/figure?figure=voc&text="+url.QueryEscape("4.7 lb/gal"))
	assert.Equal(t, "563 g/l", got.Text)
	resp, body := r.send(http.MethodGet, "/api/shelf/figure?figure=voc&text=4.7", "", nil)
	assert.Equal(t, http.StatusUnprocessableEntity, resp.StatusCode)
	var a Answer
	require.NoError(t, json.Unmarshal([]byte(body), &a))
	assert.Equal(t, "4.7 may be lb/gal or g/l: write the unit.", a.Sentence)
}
