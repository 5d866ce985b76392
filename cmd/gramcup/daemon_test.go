package main

import (
	"context"
	"errors"
	"log/slog"
	"net"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/scale/port"
	"gramcup/simulator"
	"gramcup/ui"
)

// memory is a network inside the process, so that a whole daemon lives in a
// bubble of simulated time: real sockets would stop its clock.
type memory struct {
	conns chan net.Conn
	done  chan struct{}
	once  sync.Once
}

func newMemory() *memory { return &memory{conns: make(chan net.Conn), done: make(chan struct{})} }

// loopback is what both ends say they are: the gates of the page ask.
var loopback = &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 8484}

type memoryConn struct{ net.Conn }

func (memoryConn) LocalAddr() net.Addr  { return loopback }
func (memoryConn) RemoteAddr() net.Addr { return loopback }

func (m *memory) dial(context.Context, string, string) (net.Conn, error) {
	here, there := net.Pipe()
	select {
	case m.conns <- memoryConn{there}:
		return here, nil
	case <-m.done:
		return nil, net.ErrClosed
	}
}

func (m *memory) Accept() (net.Conn, error) {
	select {
	case c := <-m.conns:
		return c, nil
	case <-m.done:
		return nil, net.ErrClosed
	}
}

func (m *memory) Close() error {
	m.once.Do(func() { close(m.done) })
	return nil
}

func (m *memory) Addr() net.Addr { return loopback }

// daemon is the whole of it in a bubble: simulated scale, line, port, bench,
// book on a real disk, hub, server and pages over websockets.
type daemon struct {
	t       *testing.T
	sim     *simulator.Bench
	network *memory
	painter *painter
	stop    context.CancelFunc
	done    chan error
	sleeper chan struct{}
	book    *book.Book
	bench   *bench.Bench
}

func startDaemon(t *testing.T, folder string, sim *simulator.Bench) *daemon {
	return startDaemonOn(t, folder, sim, dialer(sim), "simulated scale")
}

// startDaemonOn opens the line to the scale in another way.
func startDaemonOn(t *testing.T, folder string, sim *simulator.Bench, open port.Opener, identity string) *daemon {
	d := &daemon{t: t, sim: sim, network: newMemory(), done: make(chan error, 1), sleeper: make(chan struct{})}
	b, err := book.Open(folder)
	require.NoError(t, err)
	require.NoError(t, b.FillSample())
	unfinished, _, err := b.Unfinished()
	require.NoError(t, err)
	s := station{
		Open: open, Identity: identity, Codec: scale.SMA{}, Stream: true, Name: "Bubble", Log: slog.New(slog.NewTextHandler(t.Output(), nil)),
		Practise: func(desk bench.Desk, shelf shopBook) (ui.Demo, bench.Audience, func(context.Context) error) {
			d.painter = newPainter(sim, desk, shelf)
			return d.painter, d.painter, d.painter.run
		},
	}
	parts, err := s.assemble(b, unfinished)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	d.stop, d.book, d.bench = cancel, b, parts.bench
	go func() { defer close(d.sleeper); sim.Run(ctx) }()
	go func() { d.done <- errors.Join(parts.live(ctx, d.network, nil), b.Close()) }()
	return d
}

func (d *daemon) close() {
	d.stop()
	require.NoError(d.t, <-d.done)
	<-d.sleeper
	_ = d.network.Close()
}

// watched is a page that keeps the last it was sent.
type watched struct {
	*page
	mu     sync.Mutex
	last   ui.View
	weight []byte

	healthBody []byte
	seen       int
	gone       chan struct{}
}

func (d *daemon) watch() *watched {
	w := &watched{page: dialPageOver(d.t, "http://127.0.0.1:8484/", d.network.dial), gone: make(chan struct{})}
	go func() {
		defer close(w.gone)
		for {
			typ, body, err := w.read()
			if err != nil {
				return
			}
			w.mu.Lock()
			if w.seen++; typ == "view" {
				w.last = w.view
			} else if typ == "weight" {
				w.weight = body
			} else if typ == "health" {
				w.healthBody = body
			}
			w.mu.Unlock()
		}
	}()
	return w
}

func (w *watched) leave() {
	_ = w.conn.Close()
	w.client.CloseIdleConnections()
	<-w.gone
}

func (w *watched) now() ui.View {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.last
}

// until lets simulated time pass until the page shows it.
func (w *watched) until(t *testing.T, what string, ok func(ui.View) bool) ui.View {
	t.Helper()
	for range 10 * 60 * 10 {
		if v := w.now(); ok(v) {
			return v
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatalf("ten simulated minutes passed without: %s; the page shows %+v", what, w.now())
	return ui.View{}
}

func simulated(seed uint64, blunders ...simulator.Blunder) *simulator.Bench {
	return simulator.New(simulator.Options{
		Seed: seed, Codec: scale.SMA{}, Skill: simulator.Steady(), Cup: simulator.Cup{MassG: simulatedCupG},
		Jugs: make([]simulator.Jug, mix.MaxComponents), Blunders: blunders,
	})
}

func ended(v ui.View) bool { return v.Batch != "" && mix.State(v.State).Ended() }

func TestDaemonInABubble(t *testing.T) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		began := time.Now()
		d := startDaemon(t, folder, simulated(1))
		defer d.close()
		one, two := d.watch(), d.watch()
		defer one.leave()
		defer two.leave()
		time.Sleep(2 * time.Second)
		d.painter.Pour(true)
		v := one.until(t, "a complete batch", ended)
		synctest.Wait()
		require.Equal(t, "complete", v.State)
		require.True(t, v.OnTheLine, "%+v", v.Components)
		require.Equal(t, v, two.now(), "two pages show the same")
		events, err := d.book.Events(v.Batch)
		require.NoError(t, err)
		b := mix.Fold(events)
		require.Equal(t, v.Seq, b.Seq, "what the page shows is what the book says")
		for i, l := range b.Layers[:b.N()] {
			require.InDelta(t, d.sim.True()[i], l.Poured.Grams(), 0.5, "the scale's error and no other: layer %d", i+1)
		}
		require.NotEmpty(t, must(d.book.Trace(v.Batch)))
		require.Len(t, must(d.book.Summaries(10, 0)), 1)
		t.Logf("a batch of %v simulated time, %d messages to one page", time.Since(began).Round(time.Second), one.seen)
	})
}

func TestOverPouredHardenerIsRescued(t *testing.T) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		d := startDaemon(t, folder, simulated(4, simulator.Blunder{Component: 1, TooMuch: 1.12}))
		defer d.close()
		w := d.watch()
		defer w.leave()
		time.Sleep(2 * time.Second)
		d.painter.Pour(true)
		v := w.until(t, "a complete batch", ended)
		require.Equal(t, "complete", v.State)
		require.Positive(t, v.LevelUps)
		require.True(t, v.OnTheLine)
		b := mix.Fold(must(d.book.Events(v.Batch)))
		shares := [3]float64{5, 1, 1}
		for i, l := range b.Layers[:b.N()] {
			ml := l.Poured.Grams() / b.Recipe.Components[i].Density.GPerML
			base := b.Layers[0].Poured.Grams() / b.Recipe.Components[0].Density.GPerML
			require.InEpsilon(t, shares[i]/shares[0], ml/base, 0.06, "the ratio holds again: layer %d", i+1)
		}
	})
}

func TestUnpluggedForTenSecondsInMidPour(t *testing.T) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		d := startDaemon(t, folder, simulated(2))
		defer d.close()
		w := d.watch()
		defer w.leave()
		time.Sleep(2 * time.Second)
		d.painter.Pour(true)
		w.until(t, "the first pour", func(v ui.View) bool { return v.Phase == string(mix.PhasePour) })
		time.Sleep(3 * time.Second)
		d.sim.Inject(simulator.FaultUnplugged, 10*time.Second)
		held := w.until(t, "a hold", func(v ui.View) bool { return v.State == string(mix.StateHeld) })
		require.Equal(t, string(mix.HoldScaleLost), held.Hold)
		lost := time.Now()
		w.until(t, "the pour going on by itself", func(v ui.View) bool { return v.State == string(mix.StateRunning) })
		t.Logf("went on %v after it was held", time.Since(lost).Round(100*time.Millisecond))
		v := w.until(t, "a complete batch", ended)
		require.Equal(t, "complete", v.State)
		require.True(t, v.OnTheLine, "%+v", v.Components)
		b := mix.Fold(must(d.book.Events(v.Batch)))
		for i, l := range b.Layers[:b.N()] {
			require.InDelta(t, d.sim.True()[i], l.Poured.Grams(), 0.5, "nothing was lost: layer %d", i+1)
		}
	})
}

func TestDaemonComesBackInMidPour(t *testing.T) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		sim := simulated(5)
		d := startDaemon(t, folder, sim)
		w := d.watch()
		time.Sleep(2 * time.Second)
		d.painter.Pour(true)
		before := w.until(t, "the second pour", func(v ui.View) bool { return v.Current == 1 })
		time.Sleep(time.Second)
		w.leave()
		d.close()
		sim.Look(simulator.Screen{})

		d = startDaemon(t, folder, sim)
		defer d.close()
		w = d.watch()
		defer w.leave()
		back := w.until(t, "the batch again", func(v ui.View) bool { return v.Batch == before.Batch })
		require.Equal(t, before.Components[0].PouredG, back.Components[0].PouredG)
		w.until(t, "it going on by itself", func(v ui.View) bool { return v.State == string(mix.StateRunning) })
		d.painter.Pour(true)
		v := w.until(t, "a complete batch", ended)
		require.Equal(t, before.Batch, v.Batch)
		require.True(t, v.OnTheLine, "%+v", v.Components)
	})
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// The second cup of a day is noticed without a press, though the scale still
// had the tare of the first: the bench asks it to forget that.
func TestSecondBatchNoticesItsCup(t *testing.T) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		d := startDaemon(t, folder, simulated(8))
		defer d.close()
		w := d.watch()
		defer w.leave()
		time.Sleep(2 * time.Second)
		d.painter.Pour(true)
		first := w.until(t, "the first batch", ended)
		second := w.until(t, "the second cup", func(v ui.View) bool {
			return v.Batch != first.Batch && v.Phase == string(mix.PhasePour)
		})
		require.InDelta(t, simulatedCupG, second.CupG, 0.2, "its weight is known, so it was seen and not said")
	})
}

// A cup that the scale was tared with before the start shows zero; since the
// start clears the tare it is noticed all the same, and its weight is known.
func TestATaredCupIsNoticed(t *testing.T) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		sim := simulated(33)
		sim.PlaceCup(simulatedCupG)
		d := startDaemon(t, folder, sim)
		defer d.close()
		w := d.watch()
		defer w.leave()
		time.Sleep(2 * time.Second)
		sim.PressTare()
		time.Sleep(2 * time.Second)
		a := w.post(t, ui.CommandBody{Do: string(mix.VerbStart), Start: &ui.StartBody{RecipeID: firstRecipe(t, w.page), Kind: "volume", ML: 120}})
		require.True(t, a.OK, a.Sentence)
		v := w.until(t, "the first pour", func(v ui.View) bool { return v.Phase == string(mix.PhasePour) })
		require.InDelta(t, simulatedCupG, v.CupG, 0.2)
	})
}
