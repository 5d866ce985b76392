package main

import (
	"encoding/json"
	"net/http"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
	"gramcup/simulator"
	"gramcup/ui"
)

// bothPages is a whole daemon with two open pages, each with its own session,
// and a hand at the simulated scale.
type bothPages struct {
	*daemon
	one, two *watched
	pressed  map[mix.Verb]int
}

// until waits until both pages show it, and the weight has stood still.
func (p *bothPages) until(what string, ok func(ui.View) bool) ui.View {
	p.t.Helper()
	p.one.until(p.t, what, ok)
	v := p.two.until(p.t, what, ok)
	time.Sleep(700 * time.Millisecond)
	synctest.Wait()
	require.Equal(p.t, p.one.now(), p.two.now(), "two pages show the same")
	return v
}

func (p *bothPages) phase(want mix.Phase) ui.View {
	p.t.Helper()
	return p.until(string(want), func(v ui.View) bool { return v.State == "running" && v.Phase == string(want) })
}

// send posts a command as a page would and gives the status with the answer.
func (p *bothPages) send(w *watched, c ui.CommandBody) (int, ui.Answer) {
	p.t.Helper()
	body, err := json.Marshal(c)
	require.NoError(p.t, err)
	r, err := w.client.Post(w.address+"/api/command", "application/json", strings.NewReader(string(body)))
	require.NoError(p.t, err)
	defer func() { _ = r.Body.Close() }()
	var a ui.Answer
	require.NoError(p.t, json.NewDecoder(r.Body).Decode(&a))
	return r.StatusCode, a
}

// clash presses the same button on both pages at the same moment, on the view
// that both show: one wins, the other is told that it came too late, and the
// winner's press sent again changes nothing.
func (p *bothPages) clash(do mix.Verb, start *ui.StartBody) ui.View {
	p.t.Helper()
	synctest.Wait()
	shown := p.one.now()
	require.Equal(p.t, shown, p.two.now())
	commands := [2]ui.CommandBody{}
	answers, statuses := [2]ui.Answer{}, [2]int{}
	var both sync.WaitGroup
	for i, w := range []*watched{p.one, p.two} {
		commands[i] = ui.CommandBody{Key: newID("key"), Batch: shown.Batch, Version: shown.Seq, Do: string(do), Start: start}
		both.Go(func() { statuses[i], answers[i] = p.send(w, commands[i]) })
	}
	both.Wait()
	synctest.Wait()
	won := 0
	if !answers[0].OK {
		won = 1
	}
	lost := 1 - won
	require.Equal(p.t, http.StatusOK, statuses[won], "%s: %+v", do, answers)
	require.Equal(p.t, http.StatusConflict, statuses[lost], "%s: only one of two wins: %+v", do, answers)
	require.Equal(p.t, "stale", answers[lost].Code)
	require.NotEmpty(p.t, answers[lost].Sentence)
	require.Equal(p.t, p.one.now(), p.two.now(), "%s: and both pages show what came of it", do)
	after := p.one.now()
	require.Equal(p.t, *answers[won].View, after, do)
	events := must(p.book.Events(after.Batch))
	keys := 0
	for _, e := range events {
		if e.Key == commands[won].Key {
			keys++
		}
		require.NotEqual(p.t, commands[lost].Key, e.Key, "%s: nothing of the other is in the book", do)
	}
	require.Equal(p.t, 1, keys, "%s: the book names the press that did it", do)

	status, again := p.send(p.one, commands[won])
	require.Equal(p.t, http.StatusOK, status, "%s again: %+v", do, again)
	synctest.Wait()
	require.Equal(p.t, after, *again.View, "%s: the same press again does nothing", do)
	require.Len(p.t, must(p.book.Events(after.Batch)), len(events))
	p.pressed[do]++
	return after
}

// pour puts so many grams in and lets them come to rest.
func (p *bothPages) pour(component int, grams float64) {
	p.sim.Pour(component, grams, 10)
	time.Sleep(time.Duration(grams/10*float64(time.Second)) + 6*time.Second)
}

// TestOfTwoPagesOneWins presses every verb that changes a batch on two pages at
// once, over HTTP, against the whole daemon.
func TestOfTwoPagesOneWins(t *testing.T) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		sim := simulator.New(simulator.Options{Seed: 31, Codec: scale.SMA{}, Cup: simulator.Cup{MassG: simulatedCupG}, Jugs: make([]simulator.Jug, mix.MaxComponents)})
		d := startDaemon(t, folder, sim)
		defer d.close()
		p := &bothPages{daemon: d, one: d.watch(), two: d.watch(), pressed: map[mix.Verb]int{}}
		defer p.one.leave()
		defer p.two.leave()
		time.Sleep(2 * time.Second)
		order := func(kind string) *ui.StartBody {
			return &ui.StartBody{RecipeID: firstRecipe(t, p.one.page), Kind: kind, ML: 120}
		}

		p.clash(mix.VerbStart, order("volume"))
		require.Equal(t, "aborted", p.clash(mix.VerbAbort, nil).State)

		p.clash(mix.VerbStart, order("as-poured"))
		sim.PlaceCup(simulatedCupG)
		p.phase(mix.PhasePour)
		p.pour(0, 120)
		p.clash(mix.VerbEnough, nil)
		p.clash(mix.VerbReopen, nil)
		p.clash(mix.VerbKeep, nil)
		p.clash(mix.VerbHold, nil)
		p.clash(mix.VerbRestart, nil)
		sim.LiftCup()
		p.until("a hold", func(v ui.View) bool { return v.Hold == string(mix.HoldCupLifted) })
		sim.PutBackCup()
		sim.Add(3, 15) // something that is no paint lies in it
		p.until("another weight", func(v ui.View) bool { return v.Hold == string(mix.HoldOtherWeight) })
		p.clash(mix.VerbLeaveOut, nil)
		p.phase(mix.PhasePour)
		wanted := p.one.now().Components[1].TargetG
		p.pour(1, wanted*1.2)
		p.phase(mix.PhaseDecide)
		p.clash(mix.VerbLevelUp, nil)
		for range 4 {
			v := p.until("a pour or the stir", func(v ui.View) bool { return v.Phase == string(mix.PhasePour) || v.Phase == string(mix.PhaseStir) })
			if v.Phase == string(mix.PhaseStir) {
				break
			}
			c := v.Components[v.Current]
			p.pour(v.Current, c.TargetG-c.PouredG)
			time.Sleep(4 * time.Second)
		}
		p.phase(mix.PhaseStir)
		require.Equal(t, "complete", p.clash(mix.VerbStirred, nil).State)
		sim.LiftCup()
		time.Sleep(2 * time.Second)

		p.clash(mix.VerbStart, order("volume"))
		require.Equal(t, "stopped", p.clash(mix.VerbStop, nil).State)
		for _, v := range mix.Verbs() {
			if v != mix.VerbZero && v != mix.VerbCupOn { // the one changes no batch, the other stands below
				require.Positive(t, p.pressed[v], "%s was pressed on both", v)
			}
		}
	})
}

// TestOfTwoPagesOneSaysThatTheCupIsOn: a cup that is too light to be told from
// a draught is only known by a word, and only one of two is taken.
func TestOfTwoPagesOneSaysThatTheCupIsOn(t *testing.T) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		sim := simulator.New(simulator.Options{Seed: 32, Codec: scale.SMA{}, Cup: simulator.Cup{MassG: simulatedCupG}, Jugs: make([]simulator.Jug, mix.MaxComponents)})
		sim.PlaceCup(1.5)
		d := startDaemon(t, folder, sim)
		defer d.close()
		p := &bothPages{daemon: d, one: d.watch(), two: d.watch(), pressed: map[mix.Verb]int{}}
		defer p.one.leave()
		defer p.two.leave()
		time.Sleep(3 * time.Second)
		p.clash(mix.VerbStart, &ui.StartBody{RecipeID: firstRecipe(t, p.one.page), Kind: "volume", ML: 120})
		time.Sleep(time.Second)
		require.Equal(t, string(mix.PhaseTare), p.clash(mix.VerbCupOn, nil).Phase)
	})
}
