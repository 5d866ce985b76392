package main

import (
	"bufio"
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/prometheus/client_golang/prometheus/testutil/promlint"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/simulator"
	"gramcup/ui"
)

// witness listens beside the pages and holds every batch that is shown against
// the book on disk at that moment.
type witness struct {
	bench.Audience
	t    *testing.T
	book *book.Book
	held atomic.Int64
}

func (w *witness) Batch(b mix.Batch, events []mix.Recorded) {
	w.Audience.Batch(b, events)
	if b.ID == "" {
		return
	}
	written, err := w.book.Events(b.ID)
	if assert.NoError(w.t, err) {
		assert.Equal(w.t, mix.Fold(written), b, "the batch folded from the book is the live one")
		w.held.Add(1)
	}
}

// startWitnessed is startDaemon with a witness.
func startWitnessed(t *testing.T, folder string, sim *simulator.Bench) (*daemon, *witness) {
	d := &daemon{t: t, sim: sim, network: newMemory(), done: make(chan error, 1), sleeper: make(chan struct{})}
	b, err := book.Open(folder)
	require.NoError(t, err)
	require.NoError(t, b.FillSample())
	unfinished, _, err := b.Unfinished()
	require.NoError(t, err)
	w := &witness{t: t, book: b}
	s := station{
		Open: dialer(sim), Identity: "simulated scale", Codec: scale.SMA{}, Stream: true, Name: "Bubble",
		Log: slog.New(slog.NewTextHandler(t.Output(), nil)),
		Practise: func(desk bench.Desk, shelf shopBook) (ui.Demo, bench.Audience, func(context.Context) error) {
			d.painter = newPainter(sim, desk, shelf)
			w.Audience = d.painter
			return d.painter, w, d.painter.run
		},
	}
	parts, err := s.assemble(b, unfinished)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	d.stop, d.book = cancel, b
	go func() { defer close(d.sleeper); sim.Run(ctx) }()
	go func() { d.done <- errors.Join(parts.live(ctx, d.network, nil), b.Close()) }()
	return d, w
}

// TestFoldedBookIsTheLiveBatch goes through a day that has everything in it: a
// hardener that runs, a lifted cup, a lost scale, a stop of the daemon in
// mid-pour. After every step the book on disk, folded, is the live batch.
func TestFoldedBookIsTheLiveBatch(t *testing.T) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		sim := simulated(21, simulator.Blunder{Component: 1, TooMuch: 1.15}, simulator.Blunder{Component: 2, LiftCup: 3 * time.Second})
		d, seen := startWitnessed(t, folder, sim)
		w := d.watch()
		time.Sleep(2 * time.Second)
		d.painter.Pour(true)
		w.until(t, "the first pour", func(v ui.View) bool { return v.Phase == string(mix.PhasePour) })
		time.Sleep(2 * time.Second)
		sim.Inject(simulator.FaultUnplugged, 8*time.Second)
		w.until(t, "the hardener", func(v ui.View) bool { return v.Current == 1 })
		time.Sleep(time.Second)
		w.leave()
		d.close()
		sim.Look(simulator.Screen{})
		steps := seen.held.Load()

		d, seen = startWitnessed(t, folder, sim)
		defer d.close()
		w = d.watch()
		defer w.leave()
		w.until(t, "it going on by itself", func(v ui.View) bool { return v.State == string(mix.StateRunning) })
		d.painter.Pour(true)
		v := w.until(t, "a complete batch", ended)
		require.Equal(t, "complete", v.State)
		require.True(t, v.OnTheLine)
		require.Positive(t, v.LevelUps)
		events := must(d.book.Events(v.Batch))
		met := map[string]bool{}
		for _, e := range events {
			met[e.Event.Type()] = true
			if h, ok := e.Event.(mix.HeldUp); ok {
				met[string(h.Reason)] = true
			}
		}
		for _, kind := range []string{"leveled-up", "restarted", "scale-lost", "power-cut", "cup-lifted"} {
			require.True(t, met[kind], "the day had a %s in it: %v", kind, met)
		}
		require.Greater(t, steps, int64(4))
		require.Greater(t, steps+seen.held.Load(), int64(12), "it was looked at after every step")
	})
}

// scraped is /metrics as Prometheus would get it: each sample by its name with
// its labels.
func scraped(t *testing.T, client *http.Client) (samples map[string]float64, text string) {
	t.Helper()
	r, err := client.Get("http://127.0.0.1:8484/metrics")
	require.NoError(t, err)
	defer func() { _ = r.Body.Close() }()
	require.Equal(t, http.StatusOK, r.StatusCode)
	body, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	samples = map[string]float64{}
	for lines := bufio.NewScanner(strings.NewReader(string(body))); lines.Scan(); {
		if line := lines.Text(); !strings.HasPrefix(line, "#") {
			cut := strings.LastIndexByte(line, ' ')
			samples[line[:cut]], err = strconv.ParseFloat(line[cut+1:], 64)
			require.NoError(t, err, line)
		}
	}
	return samples, string(body)
}

// TestEveryMetricMoves scrapes the whole daemon before and after a hardener
// that ran, junk on the line, an unplugged scale, and a batch that was aborted:
// each metric tells of it, by the right amount where that is known.
func TestEveryMetricMoves(t *testing.T) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		d := startDaemon(t, folder, simulated(4, simulator.Blunder{Component: 1, TooMuch: 1.12}))
		defer d.close()
		w := d.watch()
		defer w.leave()
		time.Sleep(2 * time.Second)
		before, _ := scraped(t, w.client)
		d.painter.Pour(true)
		w.until(t, "the first pour", func(v ui.View) bool { return v.Phase == string(mix.PhasePour) })
		d.sim.Inject(simulator.FaultGarbage, time.Second)
		time.Sleep(3 * time.Second)
		d.sim.Inject(simulator.FaultUnplugged, 6*time.Second)
		w.until(t, "a hold", func(v ui.View) bool { return v.State == string(mix.StateHeld) })
		time.Sleep(3 * time.Second)
		lost, _ := scraped(t, w.client)
		require.Greater(t, lost["gramcup_scale_frame_age_seconds"], 2.5, "nothing has come for that long")
		v := w.until(t, "a complete batch", ended)
		require.Equal(t, "complete", v.State)
		d.painter.Pour(false)
		time.Sleep(15 * time.Second) // an empty scale at rest tells its noise
		two := d.watch()
		defer two.leave()
		press(t, w, ui.CommandBody{Do: string(mix.VerbStart), Start: &ui.StartBody{RecipeID: firstRecipe(t, w.page), Kind: "volume", ML: 200}})
		press(t, w, ui.CommandBody{Do: string(mix.VerbAbort)})
		synctest.Wait()
		after, text := scraped(t, w.client)

		moved := func(sample string) float64 { return after[sample] - before[sample] }
		require.Equal(t, 1.0, moved(`gramcup_batches_total{outcome="complete"}`))
		require.Equal(t, 1.0, moved(`gramcup_batches_total{outcome="aborted"}`))
		require.Zero(t, moved(`gramcup_batches_total{outcome="stopped"}`))
		require.Equal(t, 1.0, moved("gramcup_level_ups_total"))
		require.Equal(t, float64(v.LevelUps), moved("gramcup_level_ups_total"))
		b := mix.Fold(must(d.book.Events(v.Batch)))
		ran := b.Layers[1].Poured.Grams() * (1 - 1/1.12) // 12 % past its first line, less its lag
		require.InDelta(t, ran, moved(`gramcup_pour_error_grams_sum{role="hardener"}`), 0.7)
		require.InDelta(t, 0.12, moved(`gramcup_pour_error_ratio_sum{role="hardener"}`), 0.03)
		for _, role := range []string{"base", "hardener", "reducer"} {
			require.Positive(t, moved(`gramcup_pour_error_grams_count{role="`+role+`"}`), role)
			require.Positive(t, moved(`gramcup_pour_error_ratio_count{role="`+role+`"}`), role)
		}
		require.Positive(t, moved("gramcup_pour_duration_seconds_count"))
		require.Positive(t, moved("gramcup_pour_duration_seconds_sum"))
		require.Greater(t, moved(`gramcup_frames_total{result="good"}`), 100.0)
		require.Greater(t, moved(`gramcup_frames_total{result="bad"}`), 3.0)
		require.Equal(t, 1.0, moved("gramcup_scale_reconnects_total"))
		require.Less(t, after["gramcup_scale_frame_age_seconds"], 1.0)
		require.Equal(t, 1.0, moved("gramcup_clients"))
		require.Greater(t, moved("gramcup_book_append_seconds_count"), 8.0)
		// The simulated scale is a decent one, ten readings a second.
		require.InDelta(t, 0.1, after["gramcup_scale_reading_period_seconds"], 0.02)
		require.Zero(t, before["gramcup_scale_settle_seconds"], "no load has changed yet")
		require.InDelta(t, 1.5, after["gramcup_scale_settle_seconds"], 0.4)
		require.InDelta(t, 0.25, after["gramcup_scale_lag_seconds"], 0.1)
		_, known := before["gramcup_scale_noise_grams"]
		require.False(t, known, "two seconds are no measurement")
		noise, known := after["gramcup_scale_noise_grams"]
		require.True(t, known)
		require.Less(t, noise, 0.1)

		problems, err := promlint.New(strings.NewReader(text)).Lint()
		require.NoError(t, err)
		require.Empty(t, problems, "the whole daemon's metrics are lint-clean")
		for _, private := range []string{v.Batch, v.Recipe, v.Components[0].Name, "Kestrel", "127.0.0.1"} {
			require.NotContains(t, text, private, "no batch, person or product is a label")
		}
	})
}

// press sends a command on what the watched page shows.
func press(t *testing.T, w *watched, c ui.CommandBody) ui.Answer {
	t.Helper()
	synctest.Wait()
	p := &page{client: w.client, address: w.address, view: w.now()}
	a := p.post(t, c)
	require.True(t, a.OK, "%s: %s", c.Do, a.Sentence)
	synctest.Wait()
	return a
}
