package ui

import (
	"encoding/json"
	"errors"
	"net/http"
	"testing"
	"testing/fstest"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/scale"
)

func get[T any](r *rig, path string) T {
	r.t.Helper()
	resp, body := r.send("GET", path, "", nil)
	require.Equal(r.t, http.StatusOK, resp.StatusCode, body)
	require.Equal(r.t, "application/json", resp.Header.Get("Content-Type"))
	return into[T](r.t, []byte(body))
}

func TestShelf(t *testing.T) { synctest.Test(t, theShelf) }

func theShelf(t *testing.T) {
	r := newStillRig(t, nil)
	got := get[ShelfAnswer](r, "/api/shelf")
	require.Len(t, got.Recipes, 1)
	one := got.Recipes[0]
	assert.Equal(t, "kl-primer", one.ID)
	assert.Equal(t, "4 : 1 : 1 by volume", one.Ratio)
	assert.Equal(t, 60, one.PotLifeMin)
	assert.Equal(t, 1100.0, one.CupUsable)
	require.Len(t, one.Components, 3)
	assert.Equal(t, ShelfComponent{
		Name: "Hardener H", Role: "hardener", Share: "1 part", DensityGML: 1.07, ReferenceC: 20,
		AsGiven: "1.07", Source: "invented", Tolerance: 0.03, PricePerL: 61, Kind: "hardener",
		Figures: []ShelfFigure{{Figure: "price", Text: "61.00 /l", Typed: "61.00 /l"}, {Figure: "tolerance", Text: "3 %", Typed: "3 %"}},
	}, one.Components[1])
}

func TestEmptyListsAreNotNull(t *testing.T) { synctest.Test(t, emptyListsAreNotNull) }

func emptyListsAreNotNull(t *testing.T) {
	r := newStillRig(t, func(c *Config) { c.Shelf = shelfOf{} })
	for path, want := range map[string]string{
		"/api/shelf": `{"recipes":[]}`, "/api/book": `{"batches":[]}`,
		"/api/book/trace?batch=b": `{"batch":"b","began_ms":0,"points":[],"damaged":false}`,
	} {
		_, body := r.send("GET", path, "", nil)
		assert.Equal(t, want, body)
	}
	body, err := json.Marshal(viewOf(mix.Batch{}))
	require.NoError(t, err)
	assert.NotContains(t, string(body), "null")
}

// 4 : 1 : 1 of 600 ml is 400, 100 and 100 ml; at 1.42, 1.07 and 0.87 g/ml that
// is 568, 107 and 87 g (checked by hand).
func TestPlan(t *testing.T) { synctest.Test(t, thePlan) }

func thePlan(t *testing.T) {
	r := newStillRig(t, nil)
	got := get[PlanAnswer](r, "/api/plan?recipe=kl-primer&kind=volume&ml=600")
	require.Len(t, got.Components, 3)
	for i, want := range [][2]float64{{568, 400}, {107, 100}, {87, 100}} {
		assert.Equal(t, want[0], got.Components[i].TargetG)
		assert.Equal(t, want[1], got.Components[i].VolumeML)
	}
	assert.Equal(t, 762.0, got.TotalG)
	assert.Equal(t, 600.0, got.TotalML)
	assert.Equal(t, 0.745407, got.Components[0].MassFraction)
	require.NotNil(t, got.Fits)
	assert.True(t, *got.Fits)
	assert.Equal(t, "Fits this cup", got.Cup)
	assert.Empty(t, got.Cautions)
	assert.Equal(t, 1, got.Decimals)

	big := get[PlanAnswer](r, "/api/plan?recipe=kl-primer&kind=volume&ml=1500")
	assert.False(t, *big.Fits)
	assert.Contains(t, big.Cup, "400 ml over")
	mass := get[PlanAnswer](r, "/api/plan?recipe=kl-primer&kind=mass&g=762")
	assert.Equal(t, got.Components, mass.Components)
	first := get[PlanAnswer](r, "/api/plan?recipe=kl-primer&kind=first&g=568")
	assert.Equal(t, got.Components, first.Components)
	free := get[PlanAnswer](r, "/api/plan?recipe=kl-primer&kind=as-poured")
	assert.Zero(t, free.TotalG)
	assert.Nil(t, free.Fits)
	assert.Equal(t, got.Components[1].MassFraction, free.Components[1].MassFraction)
}

// 10 ml of 4 : 1 : 1 asks for 1.8 g of hardener; a scale of whole grams can
// hold that only to more than half, where ±3 % is asked for.
func TestPlanSaysWhatTheScaleCanNot(t *testing.T) { synctest.Test(t, planSaysWhatTheScaleCanNot) }

func planSaysWhatTheScaleCanNot(t *testing.T) {
	r := newStillRig(t, func(c *Config) { c.Division = func() scale.Mass { return scale.Gram } })
	got := get[PlanAnswer](r, "/api/plan?recipe=kl-primer&kind=volume&ml=10")
	require.Len(t, got.Cautions, 3)
	assert.Equal(t, "This scale shows steps of 1 g: Hardener H can only be poured to ±56.1 %, its recipe asks for ±3.0 %.", got.Cautions[1])
	r = newStillRig(t, func(c *Config) { c.Division = nil })
	assert.Empty(t, get[PlanAnswer](r, "/api/plan?recipe=kl-primer&kind=volume&ml=10").Cautions)
}

func TestPlanRefusals(t *testing.T) { synctest.Test(t, planRefusals) }

func planRefusals(t *testing.T) {
	unknown := primer()
	unknown.ID, unknown.Components[1].Density = "no-density", mix.Density{}
	r := newStillRig(t, func(c *Config) { c.Shelf = shelfOf{recipes: []mix.Recipe{primer(), unknown}} })
	for query, want := range map[string]int{
		"recipe=gone&kind=volume&ml=600":        404,
		"recipe=kl-primer&kind=volume&ml=a+lot": 400,
		"recipe=kl-primer&kind=mass&g=1,5":      400,
		"recipe=kl-primer&kind=volume&ml=0.5":   422,
		"recipe=kl-primer&kind=volume&ml=NaN":   422,
		"recipe=kl-primer&kind=volume&ml=Inf":   422,
		"recipe=kl-primer&kind=volume&ml=-600":  422,
		"recipe=kl-primer&kind=bucket&ml=600":   422,
		"recipe=kl-primer":                      422,
		"recipe=no-density&kind=volume&ml=600":  422,
	} {
		resp, body := r.send("GET", "/api/plan?"+query, "", nil)
		assert.Equal(t, want, resp.StatusCode, "%s: %s", query, body)
		assertRefusal(t, query, "/api/plan", resp, body)
	}
}

func TestBook(t *testing.T) { synctest.Test(t, theBook) }

func theBook(t *testing.T) {
	var asked [2]int64
	p := pouring().do(mix.Accepted{Component: 0, Amount: grams(568.3), Line: mix.LineOn}, mix.AbortedNow{Net: grams(568.3)})
	row := mix.Summarize(&p.b)
	r := newStillRig(t, func(c *Config) { c.History = pages{rows: []mix.Summary{row, row, row}, asked: &asked} })
	got := get[BookAnswer](r, "/api/book?limit=2&before=1760000000000")
	assert.Equal(t, [2]int64{2, 1760000000000}, asked)
	require.Len(t, got.Batches, 2)
	one := got.Batches[0]
	assert.Equal(t, "b-0007", one.Batch)
	assert.Equal(t, "aborted", one.Outcome)
	assert.False(t, one.OnTheLine)
	assert.Equal(t, int64(40_000), one.DurationMS, "five events ten seconds apart")
	assert.Equal(t, one.EndedMS-one.StartedMS, one.DurationMS)
	assert.Equal(t, BookLine{Name: "Primer base", Role: "base", TargetG: 568, PouredG: 568.3, ErrorG: 0.3, VolumeML: 400.211268, Line: "on", DensityGML: 1.42, Source: "invented", Provenance: "1.42 g/ml at 20 °C, invented"}, one.Components[0])
	get[BookAnswer](r, "/api/book")
	assert.Equal(t, [2]int64{bookDefault, 0}, asked)
	for _, query := range []string{"limit=0", "limit=201", "limit=all", "before=-1", "before=monday"} {
		resp, body := r.send("GET", "/api/book?"+query, "", nil)
		assert.Equal(t, http.StatusBadRequest, resp.StatusCode, query)
		assertRefusal(t, query, "/api/book", resp, body)
	}
}

func TestTrace(t *testing.T) { synctest.Test(t, theTrace) }

func theTrace(t *testing.T) {
	packed := mix.PackTrace(nil, []mix.TracePoint{{WallMS: 1000, Net: 0}, {WallMS: 1250, Net: grams(12.5)}})
	packed = mix.PackTrace(packed, []mix.TracePoint{{WallMS: 1500, Net: grams(20.125)}})
	r := newStillRig(t, func(c *Config) { c.History = pages{trace: packed} })
	want := TraceAnswer{Batch: "b-0007", BeganMS: 1000, Points: [][2]float64{{0, 0}, {250, 12.5}, {500, 20.125}}}
	assert.Equal(t, want, get[TraceAnswer](r, "/api/book/trace?batch=b-0007"))
	r = newStillRig(t, func(c *Config) { c.History = pages{trace: append(packed, 200)} })
	want.Damaged = true
	assert.Equal(t, want, get[TraceAnswer](r, "/api/book/trace?batch=b-0007"))
	resp, _ := r.send("GET", "/api/book/trace", "", nil)
	assert.Equal(t, http.StatusBadRequest, resp.StatusCode)
	r = newStillRig(t, func(c *Config) { c.History = pages{err: errors.New("read the trace: the disk is gone")} })
	for _, path := range []string{"/api/book", "/api/book/trace?batch=b-0007"} {
		resp, _ = r.send("GET", path, "", nil)
		assert.Equal(t, http.StatusServiceUnavailable, resp.StatusCode)
	}
}

func TestDemo(t *testing.T) { synctest.Test(t, theDemo) }

func theDemo(t *testing.T) {
	hand := new(painter)
	r := newStillRig(t, func(c *Config) { c.Demo = hand })
	for body, want := range map[string]int{
		`{"do":"dance"}`: 400, `{"do":"pour","fault":"unplug"}`: 400, `{"do":"fault","fault":"flood"}`: 422, `{"do":"fault"}`: 422, `{}`: 400, `{"do":"pour","ml":5}`: 400,
	} {
		resp, answer := r.send("POST", "/api/demo", body, nil)
		assert.Equal(t, want, resp.StatusCode, body)
		assertRefusal(t, body, "/api/demo", resp, answer)
	}
	for _, body := range []string{`{"do":"pour"}`, `{"do":"pause"}`, `{"do":"fault","fault":"unplug"}`} {
		resp, answer := r.send("POST", "/api/demo", body, nil)
		assert.Equal(t, http.StatusOK, resp.StatusCode, body)
		assert.Equal(t, `{"ok":true}`, answer)
	}
	assert.Equal(t, []string{"pour", "pause", "unplug"}, hand.asked)
	r = newStillRig(t, func(c *Config) { c.Demo = nil })
	resp, answer := r.send("POST", "/api/demo", `{"do":"pour"}`, nil)
	assert.Equal(t, http.StatusNotFound, resp.StatusCode, "a real bench has no painter")
	assertRefusal(t, "demo", "/api/demo", resp, answer)
}

// Ready is about the daemon: a lost scale is not its fault, and starting it
// anew would not bring the scale back.
func TestReady(t *testing.T) { synctest.Test(t, theReady) }

func theReady(t *testing.T) {
	r := newStillRig(t, nil)
	for _, c := range []struct {
		health bench.Health
		status int
		text   string
	}{
		{bench.Health{Scale: bench.ScaleFound}, 200, "ready\n"},
		{bench.Health{Scale: bench.ScaleLost, Reason: "unplugged"}, 200, "ready\n"},
		{bench.Health{Scale: bench.ScaleNever}, 200, "ready\n"},
		{bench.Health{Scale: bench.ScaleFound, Book: "The book can not be written: the disk is full."}, 503, "The book can not be written: the disk is full.\n"},
	} {
		r.hub.Health(c.health)
		resp, body := r.send("GET", "/readyz", "", nil)
		assert.Equal(t, c.status, resp.StatusCode)
		assert.Equal(t, c.text, body)
		resp, _ = r.send("GET", "/livez", "", nil)
		assert.Equal(t, http.StatusOK, resp.StatusCode, "it lives all the same")
	}
}

func TestStaticFiles(t *testing.T) { synctest.Test(t, staticFiles) }

func staticFiles(t *testing.T) {
	files := fstest.MapFS{
		"index.html": {Data: []byte("<!doctype html>")}, "view/cup.js": {Data: []byte("export {}"), ModTime: time.Now()},
		"style.css": {Data: []byte("body{}")}, ".secret.js": {Data: []byte("x")}, "view/.hidden/a.js": {Data: []byte("x")}, "notes.md": {Data: []byte("x")},
	}
	r := newStillRig(t, func(c *Config) { c.WebFS = files })
	resp, body := r.send("GET", "/view/cup.js", "", nil)
	assert.Equal(t, "export {}", body)
	assert.Equal(t, "text/javascript; charset=utf-8", resp.Header.Get("Content-Type"))
	assert.Equal(t, "no-cache", resp.Header.Get("Cache-Control"))
	tag := resp.Header.Get("ETag")
	assert.Regexp(t, `^"[0-9a-f]{32}"$`, tag)
	ask := func(req *http.Request) { req.Header.Set("If-None-Match", tag) }
	resp, body = r.send("GET", "/view/cup.js", "", ask)
	assert.Equal(t, http.StatusNotModified, resp.StatusCode)
	assert.Empty(t, body)
	assertHeaders(t, "not modified", resp)
	files["view/cup.js"].Data = []byte("export default 1")
	resp, _ = r.send("GET", "/view/cup.js", "", ask)
	assert.Equal(t, http.StatusOK, resp.StatusCode, "a changed file is a new one")
	resp, body = r.send("HEAD", "/style.css", "", nil)
	assert.Equal(t, http.StatusOK, resp.StatusCode)
	assert.Empty(t, body)
	for _, path := range []string{"/gone.js", "/view", "/view/", "/.secret.js", "/view/.hidden/a.js", "/notes.md", "/%2e%2e/server.go", "/view%2f..%2f..%2fgo.mod", "/index.html/x", "/api/", "/api/gone"} {
		resp, body := r.send("GET", path, "", nil)
		assert.Equal(t, http.StatusNotFound, resp.StatusCode, path)
		assertRefusal(t, path, path, resp, body)
	}
}
