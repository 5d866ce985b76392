package measure

import (
	"time"

	"gramcup/scale"
	"gramcup/scale/pan"
)

// Step is what a walk waits for.
type Step string

// The steps of a walk. A cup whose mark is known goes from the first to the
// paint.
const (
	StepCup   Step = "cup"   // the empty, dry cup
	StepWater Step = "water" // water to the mark
	StepDry   Step = "dry"   // the cup again, emptied and dried
	StepPaint Step = "paint" // the component to the same mark
	StepDone  Step = "done"  // there is a density
)

// Walk is one measurement under way. It is not safe for several goroutines.
type Walk struct {
	setup  Setup
	scale  Worth // of the scale that answers; setup may be worse, see Other
	step   Step
	pan    scale.Mass // what the empty pan shows
	panned bool       // the pan was seen, or is believed to show zero
	cup    scale.Mass // what the empty cup shows
	water  scale.Mass
	dried  scale.Mass    // the empty cup before the paint
	noted  scale.Mass    // the last filling that stood still
	has    bool          // noted means something
	away   time.Duration // since when the filling is no longer what was noted
	strays bool          // it is not
	hasty  bool          // the cup was lifted before it stood still again
	offs   int           // readings in a row with the cup off
	needs  bool          // the cup must be lifted before it counts
	result Result
	times  times

	// Of a walk that was broken off, see Restore.
	held      bool       // it takes nothing until GoOn
	adrift    bool       // the empty pan must be seen before anything counts
	unsure    bool       // what the empty pan shows was said, and not proved by lifting the cup
	misled    bool       // it was not empty
	panBefore scale.Mass // what it showed then
	stood     *Mark      // with the cup: what stood there and was not taken
	offSince  time.Duration

	watch pan.Watch
}

// New begins a walk. An error says what of the setup can not be right.
func New(s Setup) (*Walk, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	return &Walk{setup: s, scale: worthOf(s), step: StepCup}, nil
}

// Step is what the walk waits for now.
func (w *Walk) Step() Step { return w.step }

// Take gives the walk one reading. at is the time since any fixed moment and
// never goes back.
func (w *Walk) Take(at time.Duration, r scale.Reading) {
	if w.step == StepDone {
		return
	}
	if !w.watch.Take(at, r, w.setup.Division) {
		w.offs = 0
		if w.held { // whatever is tared or switched meanwhile is nothing to it
			w.watch.Restart()
		}
		return
	}
	w.see(at)
}

// Lost says that the scale can not be heard any more; the next Take ends it.
func (w *Walk) Lost() {
	if w.step != StepDone {
		w.watch.Lost()
		w.offs = 0
	}
}

// see notes what stands still, and follows the cup on its way up and down.
func (w *Walk) see(at time.Duration) {
	stands := w.watch.Stands() >= pan.StillFor
	switch {
	case w.held:
		return
	case w.adrift:
		if stands && w.emptyPan() {
			w.goOn()
		}
		return
	}
	if w.step == StepCup {
		if stands {
			w.seeCup(at)
		}
		return
	}
	w.offs++
	if w.watch.Shown > w.pan+(w.cup-w.pan)/2 {
		w.offs = 0
	}
	if w.offs >= 2 { // one torn line proves nothing
		if w.unsure {
			w.off(at, stands)
		} else {
			w.lifted(at)
		}
		return
	}
	w.stray(at)
	if !stands || w.needs || w.offs > 0 {
		return
	}
	switch w.step {
	case StepDry:
		if (w.watch.Shown - w.cup).Abs() <= w.setup.sameCup() {
			w.unsure = false // the cup proves what the empty pan shows
			w.dryCup(at)
		}
	case StepWater, StepPaint:
		w.noted, w.times.noted, w.has = w.watch.Shown, note{at, w.scale}, w.watch.Shown-w.empty() >= w.setup.leastContent()
		w.strays, w.hasty, w.misled = false, false, false
	}
}

// seeCup waits for the empty pan and then for the cup on it. A scale that is
// tared can show anything for either, so the cup is what is heavier than the
// lightest that stood there; a cup that stands there from the beginning is
// believed only where the scale shows gross.
func (w *Walk) seeCup(at time.Duration) {
	if !w.panned && (w.watch.Mode == scale.ModeNet || w.watch.Shown < w.setup.leastCup()) || w.panned && w.watch.Shown < w.pan {
		w.pan, w.panned, w.needs = w.watch.Shown, true, false
		return
	}
	if w.panned && w.watch.Shown-w.pan < w.setup.leastCup() {
		w.needs = false
		return
	}
	if w.needs || w.tooHeavy() || !w.fitsKnown() {
		return
	}
	w.takeCup(at)
}

// tooHeavy is for what stands there from the beginning: a cup of the last batch
// must not pass for an empty one.
func (w *Walk) tooHeavy() bool { return !w.panned && w.watch.Shown > heaviestUnseen }

// heaviestUnseen is a large empty cup.
const heaviestUnseen = 150 * scale.Gram

// fitsKnown is whether this can be the cup whose mark is known.
func (w *Walk) fitsKnown() bool {
	k := w.setup.Known
	return k == nil || (w.watch.Shown-w.pan-k.Empty).Abs() <= max(3*w.setup.sameCup(), k.Empty/100)
}

func (w *Walk) takeCup(at time.Duration) {
	w.panned, w.cup, w.times.cup = true, w.watch.Shown, note{at, w.scale}
	if w.setup.Known != nil {
		w.dried, w.times.dried = w.watch.Shown, w.times.cup
		w.enter(StepPaint)
		return
	}
	w.enter(StepWater)
}

func (w *Walk) dryCup(at time.Duration) {
	w.dried, w.times.dried = w.watch.Shown, note{at, w.scale}
	w.enter(StepPaint)
}

// stray watches whether something was added since the note, or taken out.
func (w *Walk) stray(at time.Duration) {
	far := w.has && (w.watch.Shown-w.noted).Abs() > 2*w.setup.Division
	if far && !w.strays {
		w.away = at
	}
	w.strays = far || w.strays && w.offs > 0
}

// lifted is the cup's leaving the pan: what was noted of a filling counts now,
// unless it had changed for longer than a hand needs to grip the cup.
func (w *Walk) lifted(at time.Duration) {
	w.needs = false
	switch {
	case !w.has:
	case w.strays && at-w.away > handFor:
		w.has, w.strays, w.hasty = false, false, true
	default:
		w.fill(false)
	}
}

// handFor is how long a hand may push and pull at the cup before it is off.
const handFor = 2 * time.Second

// fill takes the noted filling; pressed tells that the cup still stands there.
func (w *Walk) fill(pressed bool) {
	switch w.step {
	case StepWater:
		w.water, w.times.water = w.noted, w.times.noted
		w.enter(StepDry)
		w.needs = pressed
	case StepPaint:
		if r, err := w.densityOf(w.noted); err == nil {
			w.result = r
			w.enter(StepDone)
			return
		}
		w.has = false // it can not be: another filling is waited for
	}
}

// empty is what the empty cup showed before the filling that is under way.
func (w *Walk) empty() scale.Mass {
	if w.step == StepPaint {
		return w.dried
	}
	return w.cup
}

func (w *Walk) enter(s Step) {
	w.step, w.has, w.needs, w.offs = s, false, false, 0
	w.strays, w.hasty, w.misled, w.stood = false, false, false, nil
	w.watch.Rest(w.watch.Heard())
}

// This takes what stands on the pan for what is waited for: the noted filling
// without lifting the cup, or a cup that weighs something else than it did. It
// reports whether that is on offer.
func (w *Walk) This() bool {
	switch w.offersThis() {
	case offerCup:
		w.takeCup(w.watch.Heard())
	case offerDry:
		w.dryCup(w.watch.Heard())
	case offerMark:
		w.fill(true)
	default:
		return false
	}
	return true
}

// offer is what This would take.
type offer uint8

const (
	offerNone offer = iota
	offerCup        // another weight than the known cup has
	offerDry        // another weight than the cup had
	offerMark       // the filling stands at the mark
)

func (w *Walk) offersThis() offer {
	if !w.watch.Usable() || w.needs || w.held || w.adrift || w.step != StepCup && w.offs > 0 {
		return offerNone
	}
	stands := w.watch.Stands() >= pan.StillFor
	switch {
	case w.step == StepCup && stands && w.setup.Known != nil && w.panned && w.watch.Shown-w.pan >= w.setup.leastCup():
		return offerCup
	case w.step == StepDry && stands && w.watch.Shown-w.pan >= w.setup.leastCup() && w.watch.Shown < w.water-w.setup.leastContent()/2:
		return offerDry
	case w.strays, w.unsure: // after it was broken off the mark is taken by lifting the cup
	case w.step == StepWater && w.has:
		return offerMark
	case w.step == StepPaint && w.has:
		if _, err := w.densityOf(w.noted); err == nil {
			return offerMark
		}
	}
	return offerNone
}

// Back takes the last step back. A cup that is weighed empty once more must be
// lifted first: it may hold something now.
func (w *Walk) Back() {
	known := w.setup.Known != nil
	switch {
	case w.step == StepDone:
		w.enter(StepPaint)
	case w.step == StepPaint && !known:
		w.enter(StepDry)
		w.needs = true
	case w.step == StepDry:
		w.enter(StepWater)
	case w.step == StepWater, w.step == StepPaint:
		w.enter(StepCup)
		w.needs = true
	}
	w.result = Result{}
}

// Again begins the same measurement anew.
func (w *Walk) Again() {
	needs := w.step != StepCup
	w.watch.Anew()
	*w = Walk{setup: w.setup, scale: w.scale, step: StepCup, watch: w.watch, needs: needs, pan: w.pan, panned: w.panned}
}
