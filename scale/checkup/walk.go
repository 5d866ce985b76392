package checkup

import (
	"slices"
	"time"

	"gramcup/scale"
	"gramcup/scale/pan"
)

// Place is where a reading of a check belongs.
type Place string

// The places: the empty pan, the middle of it, and its four sides.
const (
	PlaceEmpty  Place = "empty"
	PlaceMiddle Place = "middle"
	PlaceFront  Place = "front"
	PlaceRight  Place = "right"
	PlaceBack   Place = "back"
	PlaceLeft   Place = "left"
)

// Step is what a walk waits for.
type Step string

// The steps of a walk.
const (
	StepZero Step = "zero" // the empty pan, before everything
	StepOn   Step = "on"   // the weight in the middle
	StepSide Step = "side" // the weight at one side
	StepOff  Step = "off"  // the empty pan again
	StepDone Step = "done" // there is a verdict
)

// repeats is how often the weight is weighed in the middle (the sheet of a
// simple user check).
const repeats = 3

// Walk is one check under way. It is not safe for several goroutines.
type Walk struct {
	setup  Setup
	limits scale.Limits
	plan   []Place
	taken  []Reading
	record Record // once every reading is taken

	began    time.Duration
	pan      pan.Watch
	needOff  bool // the weight must be lifted before it counts again
	light    bool // less than half the weight at the last reading
	takeThis bool // a person says that this is the weight

	held    bool // it was broken off, and takes nothing until GoOn
	resumed bool // it began before the first reading of this run
	breaks  []Break
}

// New begins a walk. An error says what of the setup is missing or does not
// fit, and what would.
func New(s Setup) (*Walk, error) {
	l, err := s.limits()
	if err != nil {
		return nil, err
	}
	w := &Walk{setup: s, limits: l}
	w.plan = append(w.plan, PlaceEmpty)
	for range repeats {
		w.plan = append(w.plan, PlaceMiddle, PlaceEmpty)
	}
	if s.Corners {
		w.plan = append(w.plan, PlaceFront, PlaceRight, PlaceBack, PlaceLeft, PlaceEmpty)
	}
	return w, nil
}

// Take gives the walk one reading of the scale. at is the time since any fixed
// moment and never goes back.
func (w *Walk) Take(at time.Duration, r scale.Reading) {
	if w.done() {
		return
	}
	if !w.pan.Began() && !w.resumed {
		w.began = at
	}
	switch {
	case w.pan.Take(at, r, w.setup.Division):
		w.see(at)
	case w.held: // whatever is tared or switched meanwhile is nothing to it
		w.pan.Restart()
	}
}

// Lost says that the scale can not be heard any more; the next Take ends it.
func (w *Walk) Lost() {
	if !w.done() {
		w.pan.Lost()
	}
}

// see takes the reading when it stands still and is what is expected.
func (w *Walk) see(at time.Duration) {
	light := w.pan.Shown.Abs() < w.setup.Nominal/2
	if light && w.light { // it need not stand still: a hand moves the weight in a second
		w.needOff = false
	}
	w.light = light
	if w.held || w.needOff || w.pan.Stands() < w.patience() {
		return
	}
	switch w.Step() {
	case StepZero:
		if w.pan.Shown.Abs() > w.limits.Zero {
			return
		}
	case StepOff:
		if w.pan.Shown.Abs() > w.nearZero() {
			return
		}
	default:
		if !w.nearNominal() && !w.takeThis {
			return
		}
	}
	w.note(at)
}

// patience is how long it must stand still. An empty pan that did not come
// back to zero gets more: it may still be on its way.
func (w *Walk) patience() time.Duration {
	if w.Step() == StepOff && w.pan.Shown.Abs() > w.limits.Zero {
		return comeBackFor
	}
	return pan.StillFor
}

// Bands in which a reading is believed to be what is expected. They are wide,
// because a bad scale must be able to fail, and are this program's own choice.
const (
	comeBackFor   = 5 * time.Second
	nearZeroSteps = 10  // divisions
	nearZeroPart  = 200 // the nominal divided by this
	nearPart      = 10  // the same for the weight: a tenth of it
)

func (w *Walk) nearZero() scale.Mass {
	return max(nearZeroSteps*w.setup.Division, w.setup.Nominal/nearZeroPart)
}

func (w *Walk) nearNominal() bool {
	return (w.pan.Shown - w.setup.Nominal).Abs() <= w.setup.Nominal/nearPart
}

func (w *Walk) note(at time.Duration) {
	place := w.plan[len(w.taken)]
	r := Reading{Place: place, Shown: Grams(w.pan.Shown), AfterMS: (at - w.began).Milliseconds()}
	if place != PlaceEmpty {
		r.Expected = Grams(w.setup.Nominal)
	}
	w.taken = append(w.taken, r)
	w.takeThis = false
	w.pan.Rest(at)
	if len(w.taken) == len(w.plan) {
		w.record = w.judge()
		return
	}
	w.needOff = place != PlaceEmpty && w.plan[len(w.taken)] != PlaceEmpty
}

func (w *Walk) done() bool { return len(w.taken) == len(w.plan) }

// Step is what the walk waits for now.
func (w *Walk) Step() Step {
	switch {
	case w.done():
		return StepDone
	case len(w.taken) == 0:
		return StepZero
	case w.plan[len(w.taken)] == PlaceEmpty:
		return StepOff
	case w.plan[len(w.taken)] == PlaceMiddle:
		return StepOn
	}
	return StepSide
}

// Back takes the last reading of the weight back, and what followed it; the
// weight must be lifted before it counts again. With none taken it begins at
// the zero.
func (w *Walk) Back() {
	n := len(w.taken)
	for n > 0 && w.taken[n-1].Place == PlaceEmpty {
		n--
	}
	w.cut(max(n-1, 0))
	w.needOff = n > 0 && !w.light
}

// Again begins the same check anew.
func (w *Walk) Again() { w.cut(0) }

func (w *Walk) cut(n int) {
	w.taken = w.taken[:n]
	w.record = Record{}
	w.takeThis, w.needOff = false, false
	w.pan.Rest(w.pan.Heard())
	w.breaks = slices.DeleteFunc(w.breaks, func(b Break) bool { return b.Readings > n })
	if n == 0 {
		w.resumed, w.breaks = false, nil
		w.pan.Restart()
	}
}

// ThisIsIt takes the reading in view for the weight although it is far from
// it, so that a scale that is far off can fail. It reports whether that is on
// offer: only for a reading that stands still.
func (w *Walk) ThisIsIt() bool {
	if !w.offersThis() {
		return false
	}
	w.takeThis = true
	w.see(w.pan.Heard())
	return true
}

func (w *Walk) offersThis() bool {
	s := w.Step()
	return (s == StepOn || s == StepSide) && w.pan.Usable() && !w.needOff &&
		w.pan.Stands() >= pan.StillFor && w.pan.Shown > w.nearZero() && !w.nearNominal()
}

// Record is the finished check; ok is false while it is under way.
func (w *Walk) Record() (r Record, ok bool) { return w.record, w.done() }
