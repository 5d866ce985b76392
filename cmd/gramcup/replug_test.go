package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// The states in which the cable is pulled, in the order in which a batch goes
// through them.
var replugStates = []string{"idle", "cup", "tare", "pour 1", "pour 2", "held", "past the line", "pour 3", "stir", "complete"}

const (
	frameBytes   = 20 // of the simulated scale: the cable is cut after 0 to 20 of them
	cyclesEach   = 5  // in each state of one batch
	replugWithin = 2 * time.Second
)

// TestReplug pulls the cable in every state of a batch and after every byte of
// a frame, with the whole daemon in a bubble of simulated time. Each time the
// page must live again within two seconds of the cable being back, a held pour
// must go on by itself, and at the end the book must say what is in the cup.
// Each batch has fifty cycles; GRAMCUP_REPLUG=41 plays the 2,000.
func TestReplug(t *testing.T) {
	batches := 12
	if n, err := strconv.Atoi(os.Getenv("GRAMCUP_REPLUG")); err == nil {
		batches = n
	}
	sum := &replugSum{took: map[string][]time.Duration{}, rested: map[string]time.Duration{}, offsets: map[string]map[int]bool{}}
	before := openFiles(t)
	for seed := range batches {
		replugBatch(t, uint64(seed), sum)
	}
	require.LessOrEqual(t, openFiles(t), before, "no descriptor is left behind")
	t.Log("\n" + sum.table())
	for _, state := range replugStates {
		require.NotEmpty(t, sum.took[state], state)
		if batches >= 12 {
			require.Len(t, sum.offsets[state], frameBytes+1, "every byte of a frame in state %s", state)
		}
	}
	if batches >= 41 {
		require.GreaterOrEqual(t, sum.pulled, 2000)
	}
}

func openFiles(t *testing.T) int {
	entries, err := os.ReadDir("/proc/self/fd")
	if err != nil {
		t.Log("descriptors can not be counted here:", err)
		return 0
	}
	return len(entries)
}

// replugSum gathers what the cycles of all batches took.
type replugSum struct {
	took    map[string][]time.Duration // from the cable being back to the batch being back
	rested  map[string]time.Duration   // the longest since then and since the display stood still
	offsets map[string]map[int]bool
	worst   float64 // grams between the book and the cup
	pulled  int
}

func (s *replugSum) table() string {
	var out strings.Builder
	fmt.Fprintf(&out, "%-14s %7s %8s %9s %9s %11s\n", "state", "cycles", "offsets", "median", "max", "after still")
	for _, state := range replugStates {
		took := slices.Clone(s.took[state])
		if len(took) == 0 {
			continue
		}
		slices.Sort(took)
		fmt.Fprintf(&out, "%-14s %7d %8d %9v %9v %11v\n", state, len(took), len(s.offsets[state]), took[len(took)/2], took[len(took)-1], s.rested[state])
	}
	fmt.Fprintf(&out, "%d cycles; book and cup at most %.2f g apart for a component", s.pulled, s.worst)
	return out.String()
}

// replug is one batch whose cable is pulled again and again.
type replug struct {
	t    *testing.T
	d    *daemon
	w    *watched
	rng  *rand.Rand
	seed uint64
	sum  *replugSum
}

func replugBatch(t *testing.T, seed uint64, sum *replugSum) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		d := startDaemon(t, folder, simulated(1000+seed))
		defer d.close()
		w := d.watch()
		defer w.leave()
		r := &replug{t: t, d: d, w: w, rng: rand.New(rand.NewPCG(seed, 2000)), seed: seed, sum: sum}
		time.Sleep(2 * time.Second)
		r.pulls("idle", 1, false) // the first connection is made anew in any case
		// Some come and go, such as one that answers a page: the most of a while is
		// held against the least of another. One that is left behind stays.
		goroutines := 0
		for range 20 {
			goroutines = max(goroutines, bubbled())
			time.Sleep(100 * time.Millisecond)
		}
		r.journey()
		left := bubbled()
		for range 100 {
			time.Sleep(100 * time.Millisecond)
			left = min(left, bubbled())
		}
		require.LessOrEqual(t, left, goroutines, "no goroutine is left behind by a cable that was pulled")
	})
}

// bubbled counts the goroutines in bubbles of simulated time; those of the test
// binary itself come and go as they like.
func bubbled() int {
	synctest.Wait()
	buf := make([]byte, 1<<20)
	return strings.Count(string(buf[:runtime.Stack(buf, true)]), "synctest bubble ")
}

// journey takes a batch through all states.
func (r *replug) journey() {
	r.pulls("idle", cyclesEach-1, false)
	for i := range cyclesEach {
		r.cupAndTare(i == cyclesEach-1)
	}
	d := r.d
	d.painter.Pour(true)
	r.pulls("pour 1", cyclesEach, true)
	r.until("the second pour", func(b *mix.Batch) bool { return b.Current == 1 && b.Phase == mix.PhasePour })
	r.pulls("pour 2", cyclesEach, true)
	d.painter.Pour(false)
	r.rest()
	if b, _ := r.seen(); b.Current == 1 && b.Phase == mix.PhasePour {
		d.sim.LiftCup()
		r.until("a hold", func(b *mix.Batch) bool { return b.Hold == mix.HoldCupLifted })
		r.pulls("held", cyclesEach, false)
		d.sim.PutBackCup()
		r.until("it going on", func(b *mix.Batch) bool { return b.State == mix.StateRunning })
		d.sim.Pour(1, b.Layers[1].Target.Grams()*0.3+b.Layers[1].Target.Grams()-r.amount(), 8)
		r.until("a pour past its line", func(b *mix.Batch) bool { return b.Phase == mix.PhaseDecide })
		r.pulls("past the line", cyclesEach, false)
	}
	d.painter.Pour(true)
	r.until("the third pour", func(b *mix.Batch) bool { return b.Current == 2 && b.Phase == mix.PhasePour })
	r.pulls("pour 3", cyclesEach, true)
	r.until("stirring", func(b *mix.Batch) bool { return b.Phase == mix.PhaseStir })
	d.painter.Pour(false)
	r.pulls("stir", cyclesEach, false)
	d.painter.Pour(true)
	r.until("the end", func(b *mix.Batch) bool { return b.State.Ended() })
	d.painter.Pour(false)
	r.judge()
	r.pulls("complete", cyclesEach, false)
	r.judge()
}

// cupAndTare starts a batch and pulls the cable before the cup is on, and
// again while its tare is awaited. Unless it is the last it aborts the batch.
func (r *replug) cupAndTare(last bool) {
	r.press(mix.VerbStart)
	r.until("the cup being asked for", func(b *mix.Batch) bool { return b.State == mix.StateRunning && b.Phase == mix.PhaseCup })
	r.pulls("cup", 1, false)
	r.d.sim.PlaceCup(simulatedCupG)
	r.until("the tare", func(b *mix.Batch) bool { return b.Phase == mix.PhaseTare })
	r.pulls("tare", 1, false)
	r.until("the first pour", func(b *mix.Batch) bool { return b.Phase == mix.PhasePour })
	if last {
		return
	}
	r.press(mix.VerbAbort)
	r.d.sim.LiftCup()
	time.Sleep(2 * time.Second)
}

func (r *replug) press(verb mix.Verb) {
	b, _ := r.seen()
	c := mix.Command{Key: newID("press"), Batch: b.ID, Version: b.Seq, Do: verb}
	if verb == mix.VerbStart {
		c, _ = r.d.painter.start()
	}
	_, err := r.d.painter.desk.Do(r.t.Context(), c)
	require.NoError(r.t, err)
}

// seen is what the painter is shown.
func (r *replug) seen() (mix.Batch, mix.Live) {
	p := r.d.painter
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.batch, p.live
}

func (r *replug) amount() float64 {
	_, live := r.seen()
	return live.Amount.Grams()
}

// rest waits until what the hand has poured is all in the cup.
func (r *replug) rest() {
	for still := 0; still < 25; still++ {
		time.Sleep(100 * time.Millisecond)
		if r.d.sim.Reading().Motion == scale.MotionMoving {
			still = 0
		}
	}
}

func (r *replug) until(what string, ok func(*mix.Batch) bool) {
	r.t.Helper()
	for range 10 * 60 * 2 {
		if b, _ := r.seen(); ok(&b) {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	b, live := r.seen()
	require.Fail(r.t, "two simulated minutes passed", "seed %d waits for %s: %s %s %d %s, amount %v to go %v", r.seed, what, b.State, b.Phase, b.Current, b.Hold, live.Amount, live.ToGo)
}

// pulls pulls the cable so many times in a state. In a pour the hand goes on
// for a moment in between; when the pour is over the rest is left out.
func (r *replug) pulls(state string, times int, pouring bool) {
	r.t.Helper()
	now, _ := r.seen()
	for range times {
		if pouring {
			time.Sleep(time.Duration(200+r.rng.IntN(1500)) * time.Millisecond)
			b, _ := r.seen()
			if b.Current != now.Current || b.Phase != mix.PhasePour || b.State != mix.StateRunning {
				return
			}
		}
		r.pull(state)
	}
}

// pull cuts the cable in the middle of a frame, plugs it in again after a
// while, and sees the batch come back as it was.
func (r *replug) pull(state string) {
	r.t.Helper()
	offset := len(r.sum.took[state]) % (frameBytes + 1)
	r.sum.pulled++
	before, _ := r.seen()
	what := fmt.Sprintf("seed %d, %s, cut after %d bytes", r.seed, state, offset)
	require.True(r.t, r.d.sim.CutAfter(offset, time.Duration(100+r.rng.IntN(4000))*time.Millisecond), what)
	r.tick(what+": the cable is never out", time.Second, func() bool { return r.d.sim.Unplugged() })
	r.tick(what+": the cable is never in", 5*time.Second, func() bool { return !r.d.sim.Unplugged() })
	back, restless := time.Now(), time.Duration(0)
	r.tick(what+": the batch is not back", replugWithin+8*time.Second, func() bool {
		if r.d.sim.Reading().Motion == scale.MotionMoving {
			restless = time.Since(back)
		}
		b, live := r.seen()
		return live.Valid && live.At.WallMS > back.UnixMilli() && (b.State == before.State || b.State.Ended() && before.State == mix.StateRunning)
	})
	took := time.Since(back)
	// What a hand had tipped, and the second for which a scale watches before
	// it calls a weight still, do not count as time to come back.
	require.LessOrEqual(r.t, took-restless, replugWithin, what)
	r.sum.rested[state] = max(r.sum.rested[state], took-restless)
	r.note(state, offset, took)
	after, _ := r.seen()
	for i := range after.Recipe.Components {
		if i < before.Current && before.ID == after.ID {
			require.Equal(r.t, before.Layers[i].Poured, after.Layers[i].Poured, what+": what was accepted stays")
		}
	}
}

func (r *replug) note(state string, offset int, took time.Duration) {
	s := r.sum
	s.took[state] = append(s.took[state], took)
	if s.offsets[state] == nil {
		s.offsets[state] = map[int]bool{}
	}
	s.offsets[state][offset] = true
}

func (r *replug) tick(what string, patience time.Duration, ok func() bool) {
	r.t.Helper()
	for end := time.Now().Add(patience); !ok(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			b, live := r.seen()
			require.Fail(r.t, what, "%s %s %d held for %q, live %+v", b.State, b.Phase, b.Current, b.Hold, live)
		}
	}
}

// judge holds the book against the cup.
func (r *replug) judge() {
	shown, _ := r.seen()
	b := mix.Fold(must(r.d.book.Events(shown.ID)))
	require.Equal(r.t, mix.StateComplete, b.State, "seed %d", r.seed)
	require.NoError(r.t, b.Check())
	require.Empty(r.t, b.Fault)
	require.Equal(r.t, shown, b, "what is shown is what the book says")
	truth := r.d.sim.True()
	for i, l := range b.Layers[:b.N()] {
		apart := l.Poured.Grams() - truth[i]
		r.sum.worst = max(r.sum.worst, apart, -apart)
		require.InDelta(r.t, truth[i], l.Poured.Grams(), 0.5, "seed %d: nothing was lost of layer %d", r.seed, i+1)
	}
}
