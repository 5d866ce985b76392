package main

import (
	"context"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
	"gramcup/simulator"
	"gramcup/ui"
)

// health is the last health message of a page.
func (w *watched) health(t *testing.T) (h ui.Health) {
	w.mu.Lock()
	defer w.mu.Unlock()
	require.NotEmpty(t, w.healthBody, "no health message came yet")
	require.NoError(t, json.Unmarshal(w.healthBody, &h))
	return h
}

// take posts what a person presses who wants the other scale.
func (w *watched) take(t *testing.T, stranger string) (int, ui.Answer) {
	body, err := json.Marshal(ui.TakeBody{Stranger: stranger})
	require.NoError(t, err)
	resp, err := w.client.Post(w.address+"/api/scale/take", "application/json", strings.NewReader(string(body)))
	require.NoError(t, err)
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	require.NoError(t, err)
	var a ui.Answer
	require.NoError(t, json.Unmarshal(text, &a), string(text))
	return resp.StatusCode, a
}

// In mid-pour the scale is exchanged for one that shows whole grams. Nothing of
// it reaches the batch until a person takes it on, over a restart as well; then
// the batch asks, because it does not weigh what the old one did.
func TestAnotherScaleIsKeptOut(t *testing.T) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		old := simulated(61)
		other := simulator.New(simulator.Options{Seed: 62, Codec: scale.SMA{}, Preset: simulator.CheapBench()})
		var plugged atomic.Pointer[simulator.Bench]
		plugged.Store(old)
		open := func(ctx context.Context) (io.ReadWriteCloser, error) { return dialer(plugged.Load())(ctx) }
		running, stop := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { defer close(done); other.Run(running) }()
		defer func() { stop(); <-done }()

		d := startDaemonOn(t, folder, old, open, "simulated scale")
		w := d.watch()
		time.Sleep(2 * time.Second)
		d.painter.Pour(true)
		w.until(t, "the first pour", func(v ui.View) bool { return v.Phase == string(mix.PhasePour) })
		time.Sleep(3 * time.Second)
		plugged.Store(other)
		old.Inject(simulator.FaultUnplugged, time.Hour)
		d.painter.Pour(false)
		time.Sleep(2 * time.Second)
		content := old.True()[0]
		other.PlaceCup(simulatedCupG + content + 3) // by its own reckoning a little more
		time.Sleep(8 * time.Second)
		const why = "Another scale answers on this line: it shows 1 g steps, the one before 0.1 g steps. Put the old one back, or take this one on the Scale page."
		require.Equal(t, why, w.health(t).Stranger)
		require.Equal(t, []string{why}, w.health(t).Problems)
		require.Equal(t, string(mix.HoldScaleLost), w.now().Hold, "the batch waits, and nothing of the stranger was taken")
		w.leave()
		d.close()

		d = startDaemonOn(t, folder, old, open, "simulated scale")
		defer d.close()
		w = d.watch()
		defer w.leave()
		time.Sleep(5 * time.Second)
		require.Equal(t, why, w.health(t).Stranger, "the book remembers the old one")
		held := w.now()
		require.Equal(t, "held", held.State)

		status, a := w.take(t, "some other sentence")
		require.Equal(t, http.StatusConflict, status)
		require.Equal(t, "stale", a.Code)
		status, _ = w.take(t, why)
		require.Equal(t, http.StatusOK, status)
		asks := w.until(t, "the batch asking", func(v ui.View) bool { return v.Hold == string(mix.HoldOtherWeight) })
		require.Equal(t, held.Components, asks.Components, "nothing was booked by itself")
		require.Equal(t, "found", w.health(t).Scale)
		require.Empty(t, w.health(t).Problems)
		require.Empty(t, w.health(t).Stranger)
		t.Logf("%.1f g in the cup, the other scale says %v: %s %s %s", content, other.Reading().Number, asks.State, asks.Hold, asks.Headline)
		status, _ = w.take(t, why)
		require.Equal(t, http.StatusConflict, status, "it is taken on already")

		plugged.Store(old) // now that one is the stranger
		other.Inject(simulator.FaultUnplugged, time.Hour)
		old.Repair()
		time.Sleep(3 * time.Second)
		require.Contains(t, w.health(t).Stranger, "it shows 0.1 g steps, the one before 1 g steps")

		// A guided walk that waits for its scale says the same, and the way on.
		press(t, w, ui.CommandBody{Do: string(mix.VerbAbort)})
		resp, err := w.client.Get(w.address + "/api/measure")
		require.NoError(t, err)
		defer resp.Body.Close()
		var s ui.MeasureState
		require.NoError(t, json.NewDecoder(resp.Body).Decode(&s))
		require.Equal(t, w.health(t).Stranger, s.NotNow)
	})
}
