package ui

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// shelfInMemory keeps every version, as the book does.
type shelfInMemory struct {
	mu       sync.Mutex
	versions map[string][]mix.Recipe
	off      map[string]bool
	puts     int
	err      error
}

func newShelfInMemory(list ...mix.Recipe) *shelfInMemory {
	s := &shelfInMemory{versions: map[string][]mix.Recipe{}, off: map[string]bool{}}
	for _, r := range list {
		s.versions[r.ID] = []mix.Recipe{r}
	}
	return s
}

func (s *shelfInMemory) Recipes() (list []mix.Recipe, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for id, v := range s.versions {
		if !s.off[id] {
			list = append(list, v[len(v)-1])
		}
	}
	slices.SortFunc(list, func(a, b mix.Recipe) int { return strings.Compare(a.ID, b.ID) })
	return list, s.err
}

func (s *shelfInMemory) Recipe(id string) (mix.Recipe, bool, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	v := s.versions[id]
	if len(v) == 0 || s.off[id] {
		return mix.Recipe{}, false, s.err
	}
	return v[len(v)-1], true, s.err
}

func (s *shelfInMemory) PutRecipe(r mix.Recipe) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := errors.Join(s.err, r.Check()); err != nil {
		return err
	}
	s.versions[r.ID] = append(s.versions[r.ID], r)
	s.off[r.ID] = false
	s.puts++
	return nil
}

func (s *shelfInMemory) TakeRecipe(id string) (bool, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	was := len(s.versions[id]) > 0 && !s.off[id]
	s.off[id] = true
	return was, s.err
}

func (s *shelfInMemory) RecipeVersions(id string) ([]mix.Recipe, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.versions[id]), s.err
}

// editing is a server whose shelf can be changed.
type editing struct {
	*rig
	book *shelfInMemory
	keys int
}

func newEditing(t *testing.T) *editing {
	e := &editing{book: newShelfInMemory(primer())}
	e.rig = newStillRig(t, func(c *Config) { c.Shelf, c.Edit = e.book, NewShelfDesk(e.book) })
	return e
}

type editAnswer struct {
	ShelfEditAnswer
	Code     string `json:"code"`
	Sentence string `json:"sentence"`
	Field    string `json:"field"`
}

func (e *editing) post(body string) (int, editAnswer) {
	e.t.Helper()
	resp, text := e.send(http.MethodPost, "/api/shelf", body, nil)
	var a editAnswer
	require.NoError(e.t, json.Unmarshal([]byte(text), &a), text)
	return resp.StatusCode, a
}

// change sends a change with a key of its own.
func (e *editing) change(b ShelfBody) (int, editAnswer) {
	e.t.Helper()
	e.keys++
	b.Key = fmt.Sprint("change-", e.keys)
	body, err := json.Marshal(b)
	require.NoError(e.t, err)
	return e.post(string(body))
}

func (e *editing) recipe(id string) ShelfRecipe {
	e.t.Helper()
	for _, r := range get[ShelfAnswer](e.rig, "/api/shelf").Recipes {
		if r.ID == id {
			return r
		}
	}
	e.t.Fatalf("%s is not on the shelf", id)
	return ShelfRecipe{}
}

// quay is a product whose hardener has no density.
func quay() *mix.Recipe {
	return &mix.Recipe{Name: "Quay surfacer", Basis: mix.ByVolume, Components: []mix.Component{
		{Name: "Quay surfacer", Role: mix.RoleBase, Parts: 4, Tolerance: 0.02}, {Name: "Quay hardener", Role: mix.RoleHardener, Parts: 1, Tolerance: 0.03},
	}}
}

// slowShelf takes its time to read, as a disk does; its settings write into it.
type slowShelf struct {
	*shelfInMemory
	*shop
}

func (s slowShelf) Recipe(id string) (mix.Recipe, bool, error) {
	r, found, err := s.shelfInMemory.Recipe(id)
	time.Sleep(2 * time.Millisecond)
	return r, found, err
}

func (s slowShelf) PutRecipe(r mix.Recipe) error { return s.shelfInMemory.PutRecipe(r) }

// What a product is used as and a change of the product are decided at the same
// moment, on two pages: both are kept, or one is refused, and none is lost.
func TestNoChangeOfARecipeIsLost(t *testing.T) {
	shelf := slowShelf{newShelfInMemory(surfacer()), new(shop)}
	r := newRig(t, func(c *Config) { c.Shelf, c.Settings, c.Edit = shelf, shelf, NewShelfDesk(shelf) })
	limit := coating.Limits()[0].Name()
	for round := range 20 {
		before, _, err := shelf.Recipe("kl-primer")
		require.NoError(t, err)
		changed := before
		changed.Note = fmt.Sprint("round ", round)
		uses := []string{limit}
		if len(before.Uses) > 0 {
			uses = nil
		}
		put, err := json.Marshal(ShelfBody{Key: fmt.Sprint("put-", round), Do: "put", ID: before.ID, Revision: revisionOf(before), Recipe: &changed, Densities: make([]ShelfDensity, len(before.Components))})
		require.NoError(t, err)
		use, err := json.Marshal(SettingsBody{Do: "uses", RecipeID: before.ID, Uses: uses})
		require.NoError(t, err)
		var status [2]int
		var wg sync.WaitGroup
		for i, ask := range [][2]string{{"/api/shelf", string(put)}, {"/api/settings", string(use)}} {
			wg.Go(func() {
				resp, _ := r.send(http.MethodPost, ask[0], ask[1], nil)
				status[i] = resp.StatusCode
			})
		}
		wg.Wait()
		after, _, err := shelf.Recipe("kl-primer")
		require.NoError(t, err)
		require.Equal(t, 200, status[1], "what it is used as is decided on no version")
		assert.Len(t, after.Uses, len(uses), "round %d", round)
		if status[0] == 200 {
			assert.Equal(t, changed.Note, after.Note, "round %d", round)
		} else {
			assert.Equal(t, 409, status[0])
		}
	}
}

func TestARecipeIsAddedChangedTakenAndBroughtBack(t *testing.T) {
	synctest.Test(t, aRecipeIsAddedChangedTakenAndBroughtBack)
}

func aRecipeIsAddedChangedTakenAndBroughtBack(t *testing.T) {
	e := newEditing(t)
	status, a := e.change(ShelfBody{Do: "put", Recipe: quay(), Densities: []ShelfDensity{{Typed: "11,85 lb/gal"}, {}}})
	require.Equal(t, http.StatusOK, status, a.Sentence)
	assert.Equal(t, "quay-surfacer", a.ID)
	base := a.Recipe.Components[0]
	// 11.85 lb/gal are 1.41994 g/ml: 453.59237 g over 3785.411784 ml (NIST Handbook 44, appendix C).
	assert.InDelta(t, 1.41994, base.DensityGML, 1e-5)
	assert.Equal(t, "11,85 lb/gal", base.AsGiven, "as it was typed")
	assert.Equal(t, "product sheet", base.Source)
	assert.Positive(t, base.SinceMS)
	assert.Zero(t, a.Recipe.Components[1].DensityGML, "none is assumed")

	changed := a.Recipe.Recipe
	changed.PotLifeMin = 30
	status, b := e.change(ShelfBody{Do: "put", ID: a.ID, Revision: a.Recipe.Revision, Recipe: &changed})
	require.Equal(t, http.StatusOK, status, b.Sentence)
	assert.Equal(t, 30, e.recipe(a.ID).PotLifeMin)
	assert.Equal(t, base, e.recipe(a.ID).Components[0], "a density that was not touched keeps its past")

	status, old := e.change(ShelfBody{Do: "put", ID: a.ID, Revision: a.Recipe.Revision, Recipe: &changed})
	assert.Equal(t, http.StatusConflict, status)
	assert.Equal(t, "stale", old.Code, "decided on what is no longer there")

	_, c := e.change(ShelfBody{Do: "undo", ID: a.ID, Revision: b.Recipe.Revision})
	assert.True(t, c.OK)
	assert.Zero(t, e.recipe(a.ID).PotLifeMin, "the version before is back")
	_, c = e.change(ShelfBody{Do: "take", ID: a.ID, Revision: c.Recipe.Revision})
	assert.True(t, c.OK)
	assert.Nil(t, c.Recipe)
	assert.Len(t, get[ShelfAnswer](e.rig, "/api/shelf").Recipes, 1)
	_, c = e.change(ShelfBody{Do: "undo", ID: a.ID})
	assert.True(t, c.OK)
	assert.Equal(t, "Quay surfacer", e.recipe(a.ID).Name)
	assert.Len(t, e.book.versions[a.ID], 4, "every version stays")
}

func TestUndoingANewRecipeTakesItOff(t *testing.T) { synctest.Test(t, undoingANewRecipeTakesItOff) }

func undoingANewRecipeTakesItOff(t *testing.T) {
	e := newEditing(t)
	_, a := e.change(ShelfBody{Do: "put", Recipe: quay()})
	_, b := e.change(ShelfBody{Do: "undo", ID: a.ID, Revision: a.Recipe.Revision})
	assert.True(t, b.OK)
	assert.Nil(t, b.Recipe)
	_, again := e.change(ShelfBody{Do: "put", Recipe: quay()})
	assert.Equal(t, "quay-surfacer-2", again.ID, "an id that once meant something is not used again")
}

func TestTheSameChangeTwiceIsDoneOnce(t *testing.T) { synctest.Test(t, theSameChangeTwiceIsDoneOnce) }

func theSameChangeTwiceIsDoneOnce(t *testing.T) {
	e := newEditing(t)
	body, err := json.Marshal(ShelfBody{Key: "one press", Do: "put", Recipe: quay()})
	require.NoError(t, err)
	_, a := e.post(string(body))
	_, b := e.post(string(body))
	assert.Equal(t, a.ID, b.ID)
	assert.Equal(t, 1, e.book.puts)
}

func TestAnUnlikelyDensityIsAskedAboutOnce(t *testing.T) {
	synctest.Test(t, anUnlikelyDensityIsAskedAboutOnce)
}

func anUnlikelyDensityIsAskedAboutOnce(t *testing.T) {
	e := newEditing(t)
	put := ShelfBody{Do: "put", Recipe: quay(), Densities: []ShelfDensity{{Typed: "1.4"}, {Typed: "1.31"}}}
	status, a := e.change(put)
	assert.Equal(t, http.StatusConflict, status)
	assert.Equal(t, "ask", a.Code)
	assert.Contains(t, a.Sentence, "Quay hardener: 1.310 g/ml is unusual for hardener")
	put.Confirm = true
	_, a = e.change(put)
	require.True(t, a.OK, a.Sentence)

	changed := a.Recipe.Recipe
	changed.PotLifeMin = 20
	_, b := e.change(ShelfBody{Do: "put", ID: a.ID, Revision: a.Recipe.Revision, Recipe: &changed})
	assert.True(t, b.OK, "what stands there already is not asked about again: %s", b.Sentence)

	put.Densities[1].Typed = "1070"
	_, a = e.change(put)
	assert.Equal(t, "bad-order", a.Code, "what can not be is not taken, confirmed or not")
	assert.Contains(t, a.Sentence, "g/L")

	_, a = e.change(ShelfBody{Do: "put", Recipe: quay()})
	assert.Equal(t, "ask", a.Code)
	assert.Contains(t, a.Sentence, "of the name Quay surfacer")
}

func TestTheTinsTwoRatios(t *testing.T) { synctest.Test(t, theTinsTwoRatios) }

func theTinsTwoRatios(t *testing.T) {
	e := newEditing(t)
	put := ShelfBody{Do: "put", Recipe: quay(), Densities: []ShelfDensity{{Typed: "1.36"}, {ByWeight: "100:19,5"}}}
	_, a := e.change(put)
	require.True(t, a.OK, a.Sentence)
	// ρb = ρa·(wb/wa)·(va/vb) = 1.36 · 0.195 · 4.
	assert.InDelta(t, 1.0608, a.Recipe.Components[1].DensityGML, 1e-9)
	assert.Equal(t, "the tin's two ratios", a.Recipe.Components[1].Source)
	// Half a per cent of the first, and 19.5 to half of its last digit over √3.
	assert.InDelta(t, 1.0608*0.0052145, a.Recipe.Components[1].UncertaintyGML, 1e-6)
	put.Recipe.Name, put.Densities[0].Typed = "Another", ""
	_, a = e.change(put)
	assert.Contains(t, a.Sentence, "needs its density first")
}

func TestADensityWithAnInventedPastIsRefused(t *testing.T) {
	synctest.Test(t, aDensityWithAnInventedPastIsRefused)
}

func aDensityWithAnInventedPastIsRefused(t *testing.T) {
	e := newEditing(t)
	r := quay()
	r.Components[1].Density = mix.Density{GPerML: 1.06, ReferenceC: 20, Source: "weighed here against water"}
	_, a := e.change(ShelfBody{Do: "put", Recipe: r})
	assert.Equal(t, "bad-order", a.Code)
	assert.Contains(t, a.Sentence, "typed from the sheet")
}

func TestChangesThatAreNotUnderstood(t *testing.T) { synctest.Test(t, changesThatAreNotUnderstood) }

func changesThatAreNotUnderstood(t *testing.T) {
	e := newEditing(t)
	for body, want := range map[string]string{
		`{"do":"put"}`:                                  "needs a key",
		`{"key":"a","do":"burn"}`:                       "put, take or undo",
		`{"key":"a","do":"put"}`:                        "brings a recipe",
		`{"key":"a","do":"take","id":""}`:               "names the id",
		`{"key":"a","do":"take","id":"x","colour":"y"}`: "colour",
		`{"key":"a","do":"put","recipe":{"name":"x","components":[{"nme":"y"}]}}`: "nme",
		`{"key":"a","do":"put","recipe":{"name":"x"},"densities":[{}]}`:           "1 densities for 0",
	} {
		status, a := e.post(body)
		assert.Equal(t, http.StatusBadRequest, status, body)
		assert.Contains(t, a.Sentence, want, body)
	}
	status, a := e.post(`{"key":"` + strings.Repeat("x", maxShelfBytes) + `"}`)
	assert.Equal(t, http.StatusRequestEntityTooLarge, status)
	assert.Contains(t, a.Sentence, "49152")
	_, a = e.change(ShelfBody{Do: "put", Recipe: &mix.Recipe{Name: "x"}})
	assert.Equal(t, "bad-order", a.Code)
	_, a = e.change(ShelfBody{Do: "take", ID: "never"})
	assert.Equal(t, "stale", a.Code)
	resp, _ := e.send(http.MethodPost, "/api/shelf", `{}`, func(r *http.Request) { r.Header.Del("Cookie") })
	assert.Equal(t, http.StatusForbidden, resp.StatusCode, "the gates are those of commands")
	e.book.err = errors.New("the disk is full")
	status, a = e.change(ShelfBody{Do: "put", Recipe: quay()})
	assert.Equal(t, http.StatusServiceUnavailable, status)
	assert.Equal(t, "book", a.Code)
}
