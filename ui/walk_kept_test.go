package ui

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// walksInMemory keeps walks as the book does; err makes it fail, and slow is
// waited for before each is kept.
type walksInMemory struct {
	mu     sync.Mutex
	bodies map[string][]byte
	puts   int
	err    error
	slow   chan struct{}
}

func (b *walksInMemory) PutWalk(kind string, body []byte, _ time.Time) error {
	if b.slow != nil {
		<-b.slow
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.puts++
	if b.err != nil {
		return b.err
	}
	if b.bodies == nil {
		b.bodies = map[string][]byte{}
	}
	if b.bodies[kind] = body; len(body) == 0 {
		delete(b.bodies, kind)
	}
	return nil
}

func (b *walksInMemory) Walks() (map[string][]byte, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return maps.Clone(b.bodies), nil
}

func (b *walksInMemory) fails(err error) {
	b.mu.Lock()
	b.err = err
	b.mu.Unlock()
}

// shop of walks: what outlives the daemon.
type lasting struct {
	t      *testing.T
	shelf  *shelfInMemory
	cups   *cupsInMemory
	checks *shelfOfChecks
	walks  *walksInMemory
}

func newLasting(t *testing.T) *lasting {
	r := quay()
	r.ID = "quay"
	return &lasting{t, newShelfInMemory(*r), &cupsInMemory{gone: map[string]bool{}}, &shelfOfChecks{}, &walksInMemory{}}
}

// start is a daemon that starts over what was kept; the one before is dropped as
// a power cut drops it: it is asked nothing more and flushes nothing.
func (l *lasting) start() *benchWalks {
	l.t.Helper()
	w := newBenchWalksOn(l.t, l.shelf, l.cups, l.checks, l.walks)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); _ = w.walks.Run(ctx) }()
	l.t.Cleanup(func() { cancel(); <-done })
	return w
}

const measureAt, checkAt = "/api/measure", "/api/scale/check"

func measureState1(w *benchWalks) MeasureState { return get[MeasureState](w.rig, measureAt) }

// goOn says that the pan is empty, which it is.
func (w *benchWalks) goOn(path, more string) {
	w.t.Helper()
	w.shows(0)
	a := w.do(path, "go-on", more)
	require.True(w.t, a.OK, a.Sentence)
}

// A density that is cut off at each step comes to the same figure, and the page
// is told each time what it was and how far it came.
func TestADensityOutlivesTheDaemon(t *testing.T) { synctest.Test(t, aDensityOutlivesTheDaemon) }

func aDensityOutlivesTheDaemon(t *testing.T) {
	l := newLasting(t)
	w := l.start()
	require.True(t, w.do(measureAt, "start", theHardener).OK)
	for _, s := range []struct {
		tenths uint64
		step   string
		far    string
	}{
		{0, "cup", "Nothing was weighed yet."},
		{420, "water", "Noted: the empty cup, 42.0 g."},
		{1418, "water", "Noted: the empty cup, 42.0 g."},
		{0, "water", "Noted: the empty cup, 42.0 g."},
		{1418, "water", "Noted: the empty cup, 42.0 g."},
	} {
		w.shows(s.tenths)
		require.Equal(t, s.step, measureState1(w).Walk.Step)
		w = l.start()
		st := measureState1(w)
		require.Nil(t, st.Walk)
		require.NotNil(t, st.Broken)
		assert.Equal(t, "The measuring of the density of Quay hardener was broken off.", st.Broken.Said)
		assert.Equal(t, s.far, st.Broken.Far)
		assert.Empty(t, st.Broken.Asks)
		assert.Equal(t, "less than a minute ago", st.Broken.AgoText)
		w.goOn(measureAt, "")
		require.Equal(t, s.step, measureState1(w).Walk.Step)
	}
	w.shows(1418, 0)
	require.Equal(t, "dry", measureState1(w).Walk.Step)
	w = l.start()
	assert.Equal(t, "Noted: the empty cup, 42.0 g; 99.8 g of water to the mark.", measureState1(w).Broken.Far)
	w.goOn(measureAt, "")
	w.shows(420)
	require.Equal(t, "paint", measureState1(w).Walk.Step)
	w = l.start()
	w.goOn(measureAt, "")
	w.shows(1480, 0)
	w = l.start()
	st := measureState1(w)
	require.NotNil(t, st.Walk, "a finished one is as it was")
	assert.InDelta(t, 1.0602, st.Walk.Result.GML, 1e-4)
	assert.Equal(t, []WalkNote{{Kind: "density", Place: "shelf", What: "the measuring of the density of Quay hardener", Said: "The measuring of the density of Quay hardener is finished and waits to be kept.", Done: true}}, w.walks.State().Going)
	require.True(t, w.do(measureAt, "keep", "").OK)
	r, _, _ := l.shelf.Recipe("quay")
	assert.InDelta(t, 1.0602, r.Components[1].Density.GPerML, 1e-4)
	w = l.start()
	st = measureState1(w)
	assert.Nil(t, st.Walk)
	assert.Nil(t, st.Broken, "what was kept is over")
	require.Len(t, st.Vessels, 1, "its cup is known for the next density")
	assert.InDelta(t, 99.98, st.Vessels[0].ML, 0.01)
	require.True(t, w.do(measureAt, "start", fmt.Sprintf(`,"start":{"recipe_id":"quay","component":0,"temp_c":20,"vessel":%q}`, st.Vessels[0].ID)).OK)
	w.shows(0, 420)
	w = l.start()
	assert.Equal(t, "It goes on with Quay surfacer to the mark.", measureState1(w).Broken.Next)
	w.goOn(measureAt, "")
	w.shows(1800, 0)
	assert.InDelta(t, 1.3803, measureState1(w).Walk.Result.GML, 1e-4)
}

// A walk that rests keeps no batch from beginning and no other walk, but one of
// its own kind; a batch in the cup keeps it from going on.
func TestAWalkThatRestsIsInNobodysWay(t *testing.T) { synctest.Test(t, aWalkThatRestsIsInNobodysWay) }

func aWalkThatRestsIsInNobodysWay(t *testing.T) {
	l := newLasting(t)
	w := l.start()
	require.True(t, w.do(measureAt, "start", theHardener).OK)
	w.shows(420, 1418)
	measureState1(w)
	w = l.start()
	assert.Equal(t, "The measuring of the density of Quay hardener was broken off: go on with that first, or put it away.", measureState1(w).NotNow)
	assert.Equal(t, "not-now", w.do(measureAt, "start", theHardener).Code)
	require.True(t, w.do(checkAt, "start", withKilogram).OK)
	assert.Equal(t, "The scale is being checked: finish or cancel that first, under Scale.", measureState1(w).Broken.NotNow)
	assert.Contains(t, w.do(measureAt, "go-on", "").Sentence, "The scale is being checked")
	require.True(t, w.do(checkAt, "cancel", "").OK)
	require.True(t, w.batch().OK)
	w.walks.Batch(mix.Batch{ID: "b", State: mix.StateRunning}, nil)
	assert.Contains(t, measureState1(w).Broken.NotNow, "A batch is in the cup")
	assert.Contains(t, w.do(measureAt, "go-on", "").Sentence, "A batch is in the cup")
	w.walks.Batch(mix.Batch{ID: "b", State: mix.StateComplete}, nil)
	w.goOn(measureAt, "")
	assert.Equal(t, "water", measureState1(w).Walk.Step)

	// A batch that gets past the guard breaks it off, and it goes on after that.
	w.walks.Batch(mix.Batch{ID: "c", State: mix.StateRunning}, nil)
	st := measureState1(w)
	assert.Equal(t, "A batch was started, so the measurement was broken off: what it had noted is kept, and it can be gone on with.", st.Said)
	require.NotNil(t, st.Broken)
	w.walks.Batch(mix.Batch{ID: "c", State: mix.StateAborted}, nil)
	w.shows(800)
	assert.Equal(t, "It shows 80.0 g: take everything off the pan, or zero the scale if it is empty.", measureState1(w).Broken.Waits)
	a := w.do(measureAt, "go-on", "")
	assert.Equal(t, "moving", a.Code)
	assert.Equal(t, "It shows 80.0 g: take everything off the pan, or zero the scale if it is empty.", a.Sentence)
	w.goOn(measureAt, "")
}

func TestAWalkThatIsPutAwayComesBack(t *testing.T) { synctest.Test(t, aWalkThatIsPutAwayComesBack) }

func aWalkThatIsPutAwayComesBack(t *testing.T) {
	l := newLasting(t)
	w := l.start()
	require.True(t, w.do(cupsAt, "start", `,"temp_c":20`).OK)
	w.shows(0, 420, 1420)
	require.True(t, w.do(cupsAt, "next", "").OK)
	w = l.start()
	require.True(t, w.do(cupsAt, "put-away", "").OK)
	s := cupState(w)
	assert.Nil(t, s.Broken)
	assert.Equal(t, "The cup whose measuring was broken off is put away.", s.PutAway)
	assert.Equal(t, "not-now", w.do(cupsAt, "go-on", "").Code)
	w = l.start()
	require.Equal(t, "The cup whose measuring was broken off is put away.", cupState(w).PutAway, "over a restart as well")
	require.True(t, w.do(cupsAt, "undo-put-away", "").OK)
	s = cupState(w)
	require.NotNil(t, s.Broken)
	assert.Equal(t, "Noted: the empty cup, 42.0 g; 30 mm, 100.0 g of water.", s.Broken.Far)
	require.True(t, w.do(cupsAt, "put-away", "").OK)
	require.True(t, w.do(cupsAt, "start", `,"temp_c":20`).OK)
	assert.Empty(t, cupState(w).PutAway)
	assert.Equal(t, "not-now", w.do(cupsAt, "undo-put-away", "").Code, "another one took its place")
}

func TestACupOutlivesTheDaemon(t *testing.T) { synctest.Test(t, aCupOutlivesTheDaemon) }

func aCupOutlivesTheDaemon(t *testing.T) {
	l := newLasting(t)
	w := l.start()
	require.True(t, w.do(cupsAt, "start", `,"temp_c":20`).OK)
	w.shows(0, 420)
	w = l.start()
	w.goOn(cupsAt, "")
	for i, fill := range []struct {
		tenths uint64
		mm     int
	}{{1420, 30}, {2720, 60}} {
		w.shows(fill.tenths)
		require.True(t, w.do(cupsAt, "next", fmt.Sprintf(`,"height_mm":%d`, fill.mm)).OK)
		w = l.start()
		assert.Contains(t, cupState(w).Broken.Far, fmt.Sprintf("%d mm", fill.mm))
		w.goOn(cupsAt, "")
		require.Len(t, cupState(w).Walk.Levels, i+1)
	}
	require.True(t, w.do(cupsAt, "enough", "").OK)
	w = l.start()
	require.Equal(t, "done", cupState(w).Walk.Step)
	require.True(t, w.do(cupsAt, "keep", `,"name":"Blue tub"`).OK)
	require.Len(t, l.cups.list, 1)
	assert.Equal(t, []mix.CupFill{{HeightMM: 30, WaterG: 100}, {HeightMM: 60, WaterG: 230}}, l.cups.list[0].Fills)
	assert.Equal(t, 42.0, l.cups.list[0].EmptyG)
	assert.Equal(t, "bench scale", l.cups.list[0].Scale)
	assert.Nil(t, cupState(l.start()).Broken)
}

// A check is of one scale: another one that answers can not take it on.
func TestACheckOutlivesTheDaemon(t *testing.T) { synctest.Test(t, aCheckOutlivesTheDaemon) }

func aCheckOutlivesTheDaemon(t *testing.T) {
	l := newLasting(t)
	w := l.start()
	state := func() CheckState { return get[CheckState](w.rig, checkAt) }
	require.True(t, w.do(checkAt, "start", withKilogram).OK)
	w.shows(0, 10000)
	require.Len(t, state().Walk.Readings, 2)
	w = l.start()
	assert.Equal(t, "The check of the scale was broken off.", state().Broken.Said)
	assert.Contains(t, state().Broken.Next, "it is weighed again")
	w.walks.Found("another scale")
	assert.Equal(t, "It is a check of the scale bench scale, and another scale answers now: plug that one in again, or put the check away.", state().Broken.NotNow)
	assert.Contains(t, w.do(checkAt, "go-on", `,"confirm":true`).Sentence, "It is a check of the scale bench scale")
	w.walks.Found("bench scale")
	w.goOn(checkAt, "")
	w.shows(10000, 0, 10000, 0, 10000, 0)
	require.Equal(t, "done", state().Walk.Step)
	stamp := w.rig.server.config.Check.finished
	w = l.start()
	require.Equal(t, "done", state().Walk.Step)
	assert.Equal(t, stamp, w.rig.server.config.Check.finished, "two keeps are one, over a restart as well")
	require.True(t, w.do(checkAt, "keep", "").OK)
	require.Len(t, l.checks.list, 1)
	assert.True(t, l.checks.list[0].Passed)
	assert.Contains(t, l.checks.list[0].Notes[2], "It was broken off after reading 1")
}

// Another scale, a long time and a clock that was set back are for a person to
// decide on.
func TestWhatIsAskedBeforeAWalkGoesOn(t *testing.T) { synctest.Test(t, whatIsAskedBeforeAWalkGoesOn) }

func whatIsAskedBeforeAWalkGoesOn(t *testing.T) {
	l := newLasting(t)
	w := l.start()
	require.True(t, w.do(measureAt, "start", theHardener).OK)
	w.shows(420, 1418, 0)
	measureState1(w)
	w = l.start()
	w.walks.Found("another scale")
	w.shows(0)
	asks := "It was weighed on the scale bench scale, and another scale answers now. Two scales never show quite the same: plug the first one in again, or go on if you accept that."
	require.Equal(t, asks, measureState1(w).Broken.Asks)
	a := w.do(measureAt, "go-on", "")
	assert.Equal(t, "ask", a.Code)
	assert.Equal(t, asks, a.Sentence)

	seat := &w.rig.server.config.Measure.seat
	later := func(d time.Duration) { seat.row.NotedMS -= d.Milliseconds() }
	w.walks.Found("bench scale")
	require.Empty(t, measureState1(w).Broken.Asks)
	later(longPause - time.Minute)
	require.Empty(t, measureState1(w).Broken.Asks)
	later(3 * time.Hour)
	assert.Equal(t, "That was 3 hours ago. What was weighed still holds. But thinner leaves an open cup, so fill in fresh paint; and go on only if it is still at 20 °C.", measureState1(w).Broken.Asks)
	later(-24 * time.Hour)
	assert.Contains(t, measureState1(w).Broken.Asks, "The clock was set back meanwhile, so nobody knows how long it has rested.")
	w.goOn(measureAt, `,"confirm":true`)
	require.Equal(t, "dry", measureState1(w).Walk.Step)
}

// What is not on disk is not shown, as long as the disk is only slow; one that
// fails is said, and tried again.
func TestNothingIsShownBeforeItIsKept(t *testing.T) { synctest.Test(t, nothingIsShownBeforeItIsKept) }

func nothingIsShownBeforeItIsKept(t *testing.T) {
	l := newLasting(t)
	l.walks.slow = make(chan struct{})
	w := newBenchWalksOn(t, l.shelf, l.cups, l.checks, l.walks)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { defer close(done); _ = w.walks.Run(ctx) }()
	defer func() { cancel(); close(l.walks.slow); <-done }()
	go func() { l.walks.slow <- struct{}{} }()
	require.True(t, w.do(measureAt, "start", theHardener).OK)
	w.shows(420)
	shown := make(chan MeasureState)
	go func() { shown <- measureState1(w) }()
	time.Sleep(keepWait - time.Millisecond)
	synctest.Wait()
	select {
	case <-shown:
		t.Fatal("the weight was shown before it was on disk")
	default:
	}
	l.walks.slow <- struct{}{}
	assert.Equal(t, "water", (<-shown).Walk.Step)
	kept, err := l.walks.Walks()
	require.NoError(t, err)
	assert.Contains(t, string(kept["density"]), `"cup":{"ug":42000000`)
}

func TestADiskThatFailsIsSaidAndTriedAgain(t *testing.T) {
	synctest.Test(t, aDiskThatFailsIsSaidAndTriedAgain)
}

func aDiskThatFailsIsSaidAndTriedAgain(t *testing.T) {
	l := newLasting(t)
	w := l.start()
	require.True(t, w.do(measureAt, "start", theHardener).OK)
	l.walks.fails(errors.New("the disk is full"))
	w.shows(420)
	assert.Equal(t, "water", measureState1(w).Walk.Step, "it is still here")
	assert.Equal(t, "What was weighed could not be written down yet, and it is tried again: the disk is full.", w.walks.State().Unkept)
	l.walks.fails(nil)
	time.Sleep(keepAgain)
	synctest.Wait()
	require.Empty(t, w.walks.State().Unkept)
	assert.Equal(t, "Noted: the empty cup, 42.0 g.", measureState1(l.start()).Broken.Far)
}

// What can not be read stops no bench, and is said.
func TestAWalkThatCanNotBeRead(t *testing.T) { synctest.Test(t, aWalkThatCanNotBeRead) }

func aWalkThatCanNotBeRead(t *testing.T) {
	for _, body := range []string{`{"walk`, `{"format":1,"walk":{"step":"tea"}}`, `{"format":1,"walk":[]}`} {
		l := newLasting(t)
		l.walks.bodies = map[string][]byte{"density": []byte(body), "cup": []byte(body), "check": []byte(body), "marks": []byte(body), "later": []byte(body)}
		w := l.start()
		assert.Equal(t, "The measuring of a density was broken off and can not be read any more: begin again.", measureState1(w).Said, body)
		require.True(t, w.do(measureAt, "start", theHardener).OK)
	}
}
