package ui

import (
	"context"
	"sync"
	"time"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/scale"
)

// Walks is the one desk of everything that leads a person through weighings at
// the pan: the check of the scale, the density, the cup. There is one pan, so
// while one walk needs it no other and no batch begins, and none begins while a
// batch is in the cup. A walk that is finished needs the scale no more and only
// waits to be kept.
//
// It is told of readings beside the bench, and of the batch as an audience of
// it; neither ever waits for the disk here. Every page sees the same walk, and
// a page that reconnects finds it as it is.
type Walks struct {
	set    func() scale.Mass
	keeper *keeper // nil keeps nothing

	mu       sync.Mutex // of all the walks; never held while the disk is asked
	identity string
	keptOut  string     // why a scale that answers is not let in, sentences with the way on; "" when there is none
	step     scale.Mass // what the last reading suggests
	running  bool       // a batch is in the cup
	starting int        // batches that are being started right now
	seats    []walker
}

// walker is a walk's place at the desk; all of it is called with the lock held.
type walker interface {
	reading(at time.Time, r scale.Reading)
	lost()
	// scaleGone says that another scale is heard from now on, or the first one.
	scaleGone(first bool)
	// recall brings back what was kept of a walk, of any kind.
	recall(kind string, body []byte, now time.Time)
	batchBegan()
	// going is what goes on and how to end it, "" while the pan is free.
	going() string
	// note tells of the walk, nil if there is none, and whether it was broken off.
	note() (note *WalkNote, broken bool)
}

// NewWalks makes a desk at which nothing is under way. division is the scale's
// step as configured; 0 or nil takes that of its readings.
func NewWalks(division func() scale.Mass) *Walks { return &Walks{set: division} }

// sit gives a walk its place.
func (w *Walks) sit(s walker) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.seats = append(w.seats, s)
}

// Reading gives a reading to the walk that is under way. It costs a lock that
// nobody holds for longer than it takes to copy the state.
func (w *Walks) Reading(at time.Time, r scale.Reading) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if r.HasNumber {
		w.step = r.Step()
	}
	for _, s := range w.seats {
		s.reading(at, r)
	}
}

// Found says which scale is heard. A walk that began on another one is broken
// off: its readings belong to that.
func (w *Walks) Found(identity string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	before := w.identity
	w.identity, w.keptOut = identity, ""
	if identity == before {
		return
	}
	for _, s := range w.seats {
		s.scaleGone(before == "")
	}
}

// Lost says that the scale is not heard.
func (w *Walks) Lost() { w.KeptOut("") }

// KeptOut says that a scale answers and is not let in, with the reason as
// sentences: to the walks their own scale is lost, and a person is told why.
func (w *Walks) KeptOut(reason string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.keptOut = reason
	for _, s := range w.seats {
		s.lost()
	}
}

// Batch makes the desk an audience of the bench. A batch that was begun past
// the guard goes first all the same: the walk rests until it is over.
func (w *Walks) Batch(b mix.Batch, _ []mix.Recorded) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.running = b.ID != "" && !b.State.Ended()
	if !w.running {
		return
	}
	for _, s := range w.seats {
		s.batchBegan()
	}
}

// Live and Health of the bench are nothing to a walk.
func (w *Walks) Live(mix.Live) {}

// Health of the bench is nothing to a walk.
func (w *Walks) Health(bench.Health) {}

// division is the scale's step; the lock is held.
func (w *Walks) division() scale.Mass {
	if w.set != nil {
		if m := w.set(); m > 0 {
			return m
		}
	}
	return w.step
}

// going is what needs the pan now and how to end it, "" if nothing does; the
// lock is held.
func (w *Walks) going() string {
	for _, s := range w.seats {
		if text := s.going(); text != "" {
			return text
		}
	}
	return ""
}

// Guard stands before the bench: a batch is refused while a walk needs the pan,
// with a sentence that says which one and how to end it.
func (w *Walks) Guard(d bench.Desk) bench.Desk { return guarded{w, d} }

type guarded struct {
	walks *Walks
	desk  bench.Desk
}

// Do hands a command over, see bench.Desk.
func (g guarded) Do(ctx context.Context, c mix.Command) (mix.Batch, error) {
	if c.Do != mix.VerbStart {
		return g.desk.Do(ctx, c)
	}
	if why := g.walks.startsBatch(); why != "" {
		return mix.Batch{}, &mix.Refusal{Code: mix.RefusedNotNow, Sentence: why}
	}
	defer g.walks.startedBatch()
	return g.desk.Do(ctx, c)
}

// startsBatch keeps every walk from beginning until startedBatch, unless it
// gives a reason why no batch can begin.
func (w *Walks) startsBatch() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	why := w.going()
	if why == "" {
		w.starting++
	}
	return why
}

func (w *Walks) startedBatch() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.starting--
}
