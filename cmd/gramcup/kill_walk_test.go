package main

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix/book"
	"gramcup/ui"
)

// measure does something to the measuring of a density, on the state as it is.
func (p *page) measure(t *testing.T, verb string, start *ui.MeasureStart) ui.MeasureState {
	t.Helper()
	body, err := json.Marshal(ui.MeasureBody{Key: newID("key"), Version: p.measured(t).Version, Do: verb, Start: start})
	require.NoError(t, err)
	r, err := p.client.Post(p.address+"/api/measure", "application/json", strings.NewReader(string(body)))
	require.NoError(t, err)
	defer r.Body.Close()
	var a struct {
		ui.MeasureAnswer
		Sentence string
	}
	require.NoError(t, json.NewDecoder(r.Body).Decode(&a))
	require.Equal(t, http.StatusOK, r.StatusCode, a.Sentence)
	return *a.State
}

func (p *page) measured(t *testing.T) (s ui.MeasureState) {
	t.Helper()
	r, err := p.client.Get(p.address + "/api/measure")
	require.NoError(t, err)
	defer r.Body.Close()
	require.NoError(t, json.NewDecoder(r.Body).Decode(&s))
	return s
}

// comes waits until the measuring has come to something.
func (p *page) comes(t *testing.T, what string, to func(ui.MeasureState) bool) ui.MeasureState {
	t.Helper()
	deadline := time.Now().Add(patience)
	for s := p.measured(t); ; s = p.measured(t) {
		if to(s) {
			return s
		}
		if time.Now().After(deadline) {
			t.Fatalf("it never came to %s: %+v %+v", what, s.Walk, s.Broken)
		}
		time.Sleep(50 * time.Millisecond)
	}
}

func (p *page) comesTo(t *testing.T, step string, noted bool) {
	t.Helper()
	p.comes(t, step, func(s ui.MeasureState) bool {
		return s.Walk != nil && s.Walk.Step == step && (s.Walk.NotedG > 0) == noted
	})
}

// TestKillInMidWalk is the same for a density being measured: kill -9 the moment a
// page has seen a step, each time with the cup still on the scale, and the next
// process goes on from that step to the density that the tin has.
func TestKillInMidWalk(t *testing.T) {
	t.Parallel() // it waits for weights that stand still most of the time
	folder := t.TempDir()
	link := filepath.Join(folder, "scale")
	sim := simulated(8)
	ctx, cancel := context.WithCancel(context.Background())
	var parts sync.WaitGroup
	parts.Go(func() { sim.Run(ctx) })
	defer func() { cancel(); parts.Wait() }()
	pull := plugged(t, sim, link)
	args := []string{"serve", "--scale", link, "--data", filepath.Join(folder, "book"), "--listen", "127.0.0.1:0"}
	hand := newPainter(sim, nil, nil)
	do := func(verb string) { require.NoError(t, hand.Hand(verb, 0)) }

	p := startProgram(t, args...)
	w := dialPage(t, p.address)
	waitWeight(t, w)
	// again kills the process and starts another; the walk is there, and goes on.
	again := func(far string) {
		t.Helper()
		p.kill(t)
		pull()
		pull = plugged(t, sim, link)
		p = startProgram(t, args...)
		w = dialPage(t, p.address)
		waitWeight(t, w)
		s := w.measured(t)
		require.NotNil(t, s.Broken)
		require.Equal(t, "The measuring of the density of Slate hardener was broken off.", s.Broken.Said)
		require.Contains(t, s.Broken.Far, far)
		t.Logf("%s %s %s", s.Broken.Said, s.Broken.Far, s.Broken.Next)
		sim.LiftCup()
		w.comes(t, "an empty pan", func(s ui.MeasureState) bool { return s.Broken.Waits == "" })
		w.measure(t, "go-on", nil)
	}
	// weighs fills the cup and lifts it when its weight is noted. Where the scale was
	// away just then it is asked for once more, and goes back on the pan.
	weighs := func(fill, step, next string) {
		t.Helper()
		for now := step; now == step; {
			do(fill)
			w.comesTo(t, step, true)
			do("lift")
			now = w.comes(t, next, func(s ui.MeasureState) bool {
				return s.Walk != nil && (s.Walk.Step == next || strings.Contains(s.Walk.Waits, "put it back"))
			}).Walk.Step
		}
	}
	w.measure(t, "start", &ui.MeasureStart{RecipeID: "slate-surfacer", Component: 1, HeightMM: 60, TempC: 20})
	again("Nothing was weighed yet.")
	do("cup")
	w.comesTo(t, "water", false)
	again("Noted: the empty cup, 42")
	do("fill-water")
	w.comesTo(t, "water", true)
	again("Noted: the empty cup, 42")
	weighs("fill-water", "water", "dry")
	again("of water to the mark.")
	do("cup")
	w.comesTo(t, "paint", false)
	again("the cup dried.")
	weighs("fill-hardener", "paint", "done")
	p.kill(t)
	pull()
	defer plugged(t, sim, link)()
	p = startProgram(t, args...)
	w = dialPage(t, p.address)
	s := w.measured(t)
	require.NotNil(t, s.Walk, "a finished one is as it was")
	require.InDelta(t, 1.062, s.Walk.Result.GML, 0.006)
	w.measure(t, "keep", nil)
	require.NoError(t, p.cmd.Process.Signal(os.Interrupt))
	require.NoError(t, p.cmd.Wait(), "Ctrl-C is an orderly end")

	b, err := book.Open(filepath.Join(folder, "book"))
	require.NoError(t, err)
	defer func() { require.NoError(t, b.Close()) }()
	r, found, err := b.Recipe("slate-surfacer")
	require.NoError(t, err)
	require.True(t, found)
	require.InDelta(t, s.Walk.Result.GML, r.Components[1].Density.GPerML, 1e-6, fmt.Sprintf("%+v", r.Components[1].Density))
	left, err := b.Walks()
	require.NoError(t, err)
	require.Equal(t, []string{"marks"}, keysOf(left), "what was kept is over; the cup is known for the next density")
}

func keysOf(m map[string][]byte) (keys []string) {
	for k := range m {
		keys = append(keys, k)
	}
	return keys
}
