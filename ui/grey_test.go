package ui

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// greysInMemory keeps every version, as the book does.
type greysInMemory struct {
	mu       sync.Mutex
	versions map[string][]mix.GreySystem
	off      map[string]bool
	err      error
}

func (g *greysInMemory) Greys() (list []mix.GreySystem, err error) {
	for id := range g.versions {
		if s, found, _ := g.Grey(id); found {
			list = append(list, s)
		}
	}
	return list, g.err
}

func (g *greysInMemory) Grey(id string) (mix.GreySystem, bool, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	v := g.versions[id]
	if len(v) == 0 || g.off[id] {
		return mix.GreySystem{}, false, g.err
	}
	return v[len(v)-1], true, g.err
}

func (g *greysInMemory) PutGrey(s mix.GreySystem, _ time.Time) error {
	g.mu.Lock()
	defer g.mu.Unlock()
	if err := errors.Join(g.err, s.Check()); err != nil {
		return err
	}
	g.versions[s.ID] = append(g.versions[s.ID], s)
	g.off[s.ID] = false
	return nil
}

func (g *greysInMemory) TakeGrey(id string, _ time.Time) (bool, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	was := len(g.versions[id]) > 0 && !g.off[id]
	g.off[id] = true
	return was, g.err
}

func (g *greysInMemory) GreyVersions(id string) ([]mix.GreySystem, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.versions[id], g.err
}

// greying is a server with undercoats.
type greying struct {
	*rig
	greys *greysInMemory
	shelf *shelfInMemory
	keys  int
}

func newGreying(t *testing.T) *greying {
	g := &greying{greys: &greysInMemory{versions: map[string][]mix.GreySystem{}, off: map[string]bool{}}, shelf: newShelfInMemory(primer())}
	g.rig = newStillRig(t, func(c *Config) {
		c.Shelf, c.Edit = g.shelf, NewShelfDesk(g.shelf)
		c.Grey = NewGreyDesk(g.greys, c.Edit)
	})
	return g
}

type greyEdit struct {
	GreyEditAnswer
	Code     string `json:"code"`
	Sentence string `json:"sentence"`
}

func (g *greying) change(b GreyBody) (int, greyEdit) {
	g.t.Helper()
	if b.Key == "" {
		g.keys++
		b.Key = fmt.Sprint("change-", g.keys)
	}
	body, err := json.Marshal(b)
	require.NoError(g.t, err)
	resp, text := g.send(http.MethodPost, "/api/grey", string(body), nil)
	var a greyEdit
	require.NoError(g.t, json.Unmarshal([]byte(text), &a), text)
	return resp.StatusCode, a
}

func (g *greying) list() []GreySystem {
	g.t.Helper()
	resp, text := g.send(http.MethodGet, "/api/grey", "", nil)
	require.Equal(g.t, http.StatusOK, resp.StatusCode, text)
	var a GreyAnswer
	require.NoError(g.t, json.Unmarshal([]byte(text), &a))
	return a.Systems
}

func (g *greying) shade(query string) (int, ShadeAnswer, string) {
	g.t.Helper()
	resp, text := g.send(http.MethodGet, "/api/grey/shade?"+query, "", nil)
	var a ShadeAnswer
	var said Answer
	require.NoError(g.t, json.Unmarshal([]byte(text), &a))
	require.NoError(g.t, json.Unmarshal([]byte(text), &said))
	return resp.StatusCode, a, said.Sentence
}

// slate has drawdowns of a pair of L* 93 and 25 that scatters by 0.5: L* 60 wants
// 16.0474 % of the dark one (two-constant form, worked out beside this program).
func slate() *mix.GreySystem {
	return &mix.GreySystem{
		Name: "Slate", LikeID: primer().ID, Light: mix.GreyTin{Name: "Slate light"}, Dark: mix.GreyTin{Name: "Slate dark"},
		Cards: []mix.GreyCard{{DarkPercent: 0, Lightness: 93}, {DarkPercent: 10, Lightness: 66.698}, {DarkPercent: 100, Lightness: 25}},
		Steps: []mix.GreyStep{{Name: "middle", Lightness: 60}},
	}
}

func TestGreyFromDrawdownsToGrams(t *testing.T) { synctest.Test(t, greyFromDrawdownsToGrams) }

func greyFromDrawdownsToGrams(t *testing.T) {
	g := newGreying(t)
	require.Empty(t, g.list())
	status, a := g.change(GreyBody{Do: "put", System: slate(), LightDensity: "1.45", DarkDensity: "11,52 lb/gal"})
	require.Equal(t, http.StatusOK, status, a.Sentence)
	require.Equal(t, "slate", a.ID)
	systems := g.list()
	require.Len(t, systems, 1)
	s := systems[0]
	assert.Equal(t, a.Revision, s.Revision)
	assert.Equal(t, primer().Name, s.LikeName)
	assert.InDelta(t, 1.3804, s.Dark.DensityGML, 1e-4)
	assert.Contains(t, s.Dark.Provenance, "product sheet")
	assert.Equal(t, "11,52 lb/gal", s.System.Dark.Density.AsGiven)
	assert.Positive(t, s.System.Cards[0].AtMS)
	require.True(t, s.Fit.OK)
	assert.InDelta(t, 0.5, s.Fit.Strength, 0.01)
	assert.Len(t, s.Fit.Line, greyPoints)
	assert.False(t, s.Fit.FromCards)

	status, shade, _ := g.shade("id=slate&l=60&ml=300")
	require.Equal(t, http.StatusOK, status)
	assert.InDelta(t, 16.0474, shade.DarkPercent, 0.02)
	assert.Equal(t, "Slate, middle", shade.Name)
	assert.Equal(t, "middle", shade.Step)
	assert.Empty(t, shade.WhyNoGrams)
	require.Len(t, shade.Parts, len(primer().Components)+1)
	base := 300 * 4.0 / 6
	assert.InDelta(t, base*0.160474, shade.Parts[1].ML, 0.05)
	assert.InDelta(t, base*0.160474*1.3804, shade.Parts[1].G, 0.1)
	assert.InDelta(t, base*0.839526*1.45, shade.Parts[0].G, 0.1)
	assert.Positive(t, shade.PerGramL)
	assert.Greater(t, shade.PlusMinus, shade.FitPlusMinus)
	assert.Contains(t, strings.Join(shade.Sentences, " "), "Their scatter is assumed, half an L*")
	assert.Contains(t, strings.Join(shade.Sentences, " "), "1 g more of Slate dark makes it 0.")
	assert.Contains(t, strings.Join(shade.Sentences, " "), "Weighed ± ")
	assert.False(t, shade.OnTheShelf)

	for query, says := range map[string]string{
		"id=slate&l=20&ml=300":  "draw down a darker mix, or choose a grey in between.",
		"id=slate&l=95&ml=300":  "draw down a lighter mix",
		"id=slate&l=60&ml=0":    "is not an amount for a bench",
		"id=nothing&l=60&ml=30": "There are no undercoats",
		"id=slate&l=x":          "give a number",
	} {
		status, _, said := g.shade(query)
		assert.GreaterOrEqual(t, status, 400, query)
		assert.Contains(t, said, says, query)
	}
}

func TestGreyIsMadeAProduct(t *testing.T) { synctest.Test(t, greyIsMadeAProduct) }

func greyIsMadeAProduct(t *testing.T) {
	g := newGreying(t)
	_, a := g.change(GreyBody{Do: "put", System: slate(), LightDensity: "1.45", DarkDensity: "1.38"})
	status, made := g.change(GreyBody{Key: "make-it", Do: "make", ID: "slate", Revision: a.Revision, Lightness: 60})
	require.Equal(t, http.StatusOK, status, made.Sentence)
	require.NotNil(t, made.Made)
	assert.Equal(t, "grey-slate-60", made.Made.ID)
	assert.Equal(t, "Slate, middle", made.Made.Name)
	assert.Contains(t, made.Made.Note, "fitted on")
	assert.Contains(t, made.Made.Note, "Undercoats slate, version "+a.Revision)
	_, again := g.change(GreyBody{Key: "make-it", Do: "make", ID: "slate", Revision: a.Revision, Lightness: 60})
	require.True(t, again.OK)
	assert.Equal(t, 1, g.shelf.puts, "the same press twice makes one")
	status, other := g.change(GreyBody{Key: "make-it", Do: "make", ID: "slate", Revision: a.Revision, Lightness: 50})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, strings.ToLower(other.Sentence), "this key was used for another change already")
	_, shade, _ := g.shade("id=slate&l=60&ml=300")
	assert.True(t, shade.OnTheShelf)

	resp, text := g.send(http.MethodPost, "/api/shelf", fmt.Sprintf(`{"key":"back","do":"undo","id":"grey-slate-60","revision":%q}`, made.Made.Revision), nil)
	require.Equal(t, http.StatusOK, resp.StatusCode, text)
	_, found, _ := g.shelf.Recipe("grey-slate-60")
	assert.False(t, found, "undone as any product is")

	_, refused := g.change(GreyBody{Do: "make", ID: "slate", Revision: a.Revision, Lightness: 20})
	assert.Contains(t, refused.Sentence, "draw down a darker mix")
	_, refused = g.change(GreyBody{Do: "make", ID: "slate", Revision: "0123", Lightness: 60})
	assert.Equal(t, "stale", refused.Code)
}

// A product of the shop that happens to have the id of a grey is never written
// over; the grey stands beside it, and made again it is a new version of itself.
func TestGreyLeavesTheShopsOwnAlone(t *testing.T) { synctest.Test(t, greyLeavesTheShopsOwnAlone) }

func greyLeavesTheShopsOwnAlone(t *testing.T) {
	g := newGreying(t)
	own := primer()
	own.ID, own.Name = "grey-slate-60", "Grey slate 60"
	require.NoError(t, g.shelf.PutRecipe(own))
	_, a := g.change(GreyBody{Do: "put", System: slate(), LightDensity: "1.45", DarkDensity: "1.38"})
	for range 2 {
		status, made := g.change(GreyBody{Do: "make", ID: "slate", Revision: a.Revision, Lightness: 60})
		require.Equal(t, http.StatusOK, status, made.Sentence)
		require.NotNil(t, made.Made)
		assert.Equal(t, "grey-slate-60-2", made.Made.ID)
	}
	kept, found, err := g.shelf.Recipe("grey-slate-60")
	require.NoError(t, err)
	require.True(t, found)
	assert.Equal(t, "Grey slate 60", kept.Name)
}

// Without densities there are millilitres and the ways on, never grams.
func TestGreyWithoutDensities(t *testing.T) { synctest.Test(t, greyWithoutDensities) }

func greyWithoutDensities(t *testing.T) {
	g := newGreying(t)
	_, a := g.change(GreyBody{Do: "put", System: slate(), LightDensity: "1.45"})
	status, shade, _ := g.shade("id=slate&l=60&ml=300")
	require.Equal(t, http.StatusOK, status)
	assert.Equal(t, "The density of Slate dark is not known, and none is assumed: millilitres, no grams. Put the grey on the shelf and measure it there, type it from the sheet, or pour by the marks of a cup.", shade.WhyNoGrams)
	assert.InDelta(t, 32.09, shade.Parts[1].ML, 0.05)
	for _, p := range shade.Parts {
		assert.Zero(t, p.G)
	}
	assert.Zero(t, shade.PerGramL)
	_, made := g.change(GreyBody{Do: "make", ID: "slate", Revision: a.Revision, Lightness: 60})
	require.NotNil(t, made.Made)
	assert.Zero(t, made.Made.Components[1].DensityGML, "it waits to be measured")
}

func TestGreyUndo(t *testing.T) { synctest.Test(t, greyUndo) }

func greyUndo(t *testing.T) {
	g := newGreying(t)
	_, first := g.change(GreyBody{Do: "put", System: slate()})
	more := slate()
	more.ID, more.Cards = "slate", append(more.Cards, mix.GreyCard{DarkPercent: 40, Lightness: 44.475})
	_, second := g.change(GreyBody{Do: "put", ID: "slate", Revision: first.Revision, System: more})
	require.True(t, second.OK, second.Sentence)
	_, stale := g.change(GreyBody{Do: "put", ID: "slate", Revision: first.Revision, System: more})
	require.Equal(t, "stale", stale.Code)
	_, undone := g.change(GreyBody{Do: "undo", ID: "slate", Revision: second.Revision})
	require.True(t, undone.OK, undone.Sentence)
	require.Equal(t, first.Revision, undone.Revision)
	_, taken := g.change(GreyBody{Do: "take", ID: "slate", Revision: first.Revision})
	require.True(t, taken.OK)
	require.Empty(t, taken.Revision)
	require.Empty(t, g.list())
	_, gone := g.change(GreyBody{Do: "make", ID: "slate", Lightness: 60})
	require.Contains(t, gone.Sentence, "were taken away")
	_, back := g.change(GreyBody{Do: "undo", ID: "slate"})
	require.True(t, back.OK, back.Sentence)
	require.Len(t, g.list(), 1)
}

func TestGreyRefuses(t *testing.T) { synctest.Test(t, greyRefuses) }

func greyRefuses(t *testing.T) {
	g := newGreying(t)
	_, ask := g.change(GreyBody{Do: "put", System: slate(), LightDensity: "1.01"})
	assert.Equal(t, "ask", ask.Code)
	assert.Contains(t, ask.Sentence, "Slate light: 1.010 g/ml is unusual")
	_, sure := g.change(GreyBody{Do: "put", System: slate(), LightDensity: "1.01", Confirm: true})
	assert.True(t, sure.OK)
	forged := slate()
	forged.Dark.Density = mix.Density{GPerML: 1.4, ReferenceC: 20, Source: "weighed here against water"}
	for says, b := range map[string]GreyBody{
		"this one did not stand there":  {Do: "put", System: forged},
		"is not a number with a unit":   {Do: "put", System: slate(), DarkDensity: "heavy"},
		"is not known: it is put":       {Do: "paint", ID: "slate"},
		"only a put, brings a system":   {Do: "put"},
		"names the id of a system":      {Do: "take"},
		"says which lightness":          {Do: "make", ID: "slate"},
		"never were undercoats of that": {Do: "undo", ID: "never"},
		"were taken away: undo that":    {Do: "take", ID: "never"},
		"Slate dark: density 1380 g/mL": {Do: "put", System: slate(), DarkDensity: "1380"},
	} {
		status, a := g.change(b)
		assert.GreaterOrEqual(t, status, 400, says)
		assert.Contains(t, a.Sentence, says)
	}
	swapped := slate()
	swapped.Cards[1].Lightness = 96
	_, a := g.change(GreyBody{Do: "put", System: swapped})
	require.True(t, a.OK, "what was drawn down is kept: %s", a.Sentence)
	for _, s := range g.list() {
		if s.ID == a.ID {
			assert.False(t, s.Fit.OK)
			assert.Contains(t, s.Fit.Why, "Was a card swapped?")
		}
	}
	g.greys.err = errors.New("the disk is full")
	status, failed := g.change(GreyBody{Do: "put", System: slate()})
	assert.Equal(t, http.StatusServiceUnavailable, status)
	assert.Contains(t, failed.Sentence, "the disk is full")
}
