//go:build linux

package main

import (
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale/port"
	"gramcup/simulator"
)

// TestReplugOnARealLine pulls the cable out of a running batch on a real
// pseudo-terminal with the real serial library, in the middle of a frame, and
// counts descriptors and goroutines. It lives in the time of the world and
// judges no time. GRAMCUP_REPLUG_LINE=100 plays 100 cycles.
func TestReplugOnARealLine(t *testing.T) {
	cycles := 5
	if n, err := strconv.Atoi(os.Getenv("GRAMCUP_REPLUG_LINE")); err == nil {
		cycles = n
	}
	folder := t.TempDir()
	link := filepath.Join(folder, "scale")
	sim := simulated(71)
	c := &cable{t: t, sim: sim, link: link}
	c.plug()
	open, identity, err := port.Open(link)
	require.NoError(t, err)
	d := startDaemonOn(t, filepath.Join(folder, "book"), sim, open, identity)
	defer func() { d.close(); c.pull() }()
	heard := func() bool { return c.hears(d) }
	require.Eventually(t, heard, patience, 5*time.Millisecond)
	r := &replug{t: t, d: d, rng: rand.New(rand.NewPCG(71, 1))}
	r.press(mix.VerbStart)
	require.Eventually(t, func() bool { b, _ := r.seen(); return b.Phase == mix.PhaseCup }, patience, 5*time.Millisecond)
	sim.PlaceCup(simulatedCupG)
	require.Eventually(t, func() bool { b, _ := r.seen(); return b.Phase == mix.PhasePour }, patience, 5*time.Millisecond)
	sim.Add(0, 100)

	files, goroutines := 0, 0
	for i := range cycles {
		if i == 2 { // by then everything that is made once is made
			files, goroutines = openFiles(t), runtime.NumGoroutine()
		}
		require.True(t, sim.CutAfter(i%(frameBytes+1), 150*time.Millisecond))
		c.gone()
		require.Eventually(t, func() bool { b, _ := r.seen(); return b.Hold == mix.HoldScaleLost }, patience, 5*time.Millisecond)
		require.Eventually(t, func() bool { return !sim.Unplugged() }, patience, 5*time.Millisecond)
		c.plug()
		require.Eventually(t, heard, patience, 5*time.Millisecond)
		require.Eventually(t, func() bool { b, _ := r.seen(); return b.State == mix.StateRunning }, patience, 5*time.Millisecond, "cycle %d", i)
	}
	late := time.Now().Add(patience) // not Eventually: it has goroutines of its own
	for (openFiles(t) > files || runtime.NumGoroutine() > goroutines) && time.Now().Before(late) {
		time.Sleep(10 * time.Millisecond)
	}
	require.LessOrEqual(t, openFiles(t), files, "no descriptor is left behind")
	require.LessOrEqual(t, runtime.NumGoroutine(), goroutines, "nor a goroutine")
	t.Logf("%d cycles: %d descriptors and %d goroutines before, %d and %d after", cycles, files, goroutines, openFiles(t), runtime.NumGoroutine())
	var live mix.Live
	require.Eventually(t, func() bool { _, live = r.seen(); return live.Valid }, patience, 5*time.Millisecond)
	require.InDelta(t, 100, live.Amount.Grams(), 0.3, "what was in the cup is in the cup")
}

// cable joins the simulated scale to the link, each time over another
// pseudo-terminal.
type cable struct {
	t      *testing.T
	sim    *simulator.Bench
	link   string
	cancel context.CancelFunc
	served sync.WaitGroup
}

func (c *cable) plug() {
	pty, err := simulator.OpenPty(c.link)
	require.NoError(c.t, err)
	var ctx context.Context
	ctx, c.cancel = context.WithCancel(context.Background())
	c.served.Go(func() { _ = c.sim.Serve(ctx, pty) })
}

// gone waits until the cut has ended the line; the pseudo-terminal goes too.
func (c *cable) gone() {
	c.served.Wait()
	c.cancel()
}

func (c *cable) pull() {
	c.cancel()
	c.served.Wait()
}

// hears reports whether a weight came that is not older than a moment.
func (c *cable) hears(d *daemon) bool {
	d.painter.mu.Lock()
	defer d.painter.mu.Unlock()
	return d.painter.live.Valid
}
