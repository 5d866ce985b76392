package measure

import (
	"errors"
	"time"

	"gramcup/mix/coating"
	"gramcup/scale"
	"gramcup/scale/pan"
)

// The steps of measuring a cup, between StepCup and StepDone: water to one
// height after the other.
const StepFill Step = "fill"

// LeastHeights is how many heights make a cup; more are better.
const LeastHeights = 2

// CupSetup is what is known before the first reading.
type CupSetup struct {
	TempC    float64               // of the water
	Division scale.Mass            // the scale's step
	Accuracy coating.ScaleAccuracy // what one reading is worth
}

// Level is water that was weighed at a height.
type Level struct {
	HeightMM float64 // above the inner bottom
	Net      scale.Mass
	ML       float64
	note     note
}

// CupWalk is a cup being measured with water: the empty cup, then one height
// after the other, each taken when a person says that the water stands there. It
// is not safe for several goroutines.
type CupWalk struct {
	in     Walk // finds the cup on the pan, as the measuring of a density does
	rho    float64
	levels []Level
	height float64    // of the next filling, in mm
	noted  scale.Mass // net, of what stands there now
	has    bool       // it is a filling, above the last one
	done   bool

	notedAt note
	sure    int // heights that were taken before it was broken off
}

// The height that is offered first, and how far up the next one: four heights
// make a usual cup. Common practice, no source.
const (
	firstHeightMM = 30.0
	usualRiseMM   = 30.0
)

// ErrNotStill refuses a filling that does not stand there, or not still.
var ErrNotStill = errors.New("no new filling stands still on the pan: fill the cup up to the height and let it stand for two seconds")

// NewCup begins a walk. An error says what of the setup can not be right.
func NewCup(s CupSetup) (*CupWalk, error) {
	rho, err := coating.WaterDensityGML(s.TempC)
	if err != nil {
		return nil, err
	}
	in, err := New(Setup{TempC: s.TempC, Division: s.Division, Accuracy: s.Accuracy, HeightMM: firstHeightMM})
	if err != nil {
		return nil, err
	}
	return &CupWalk{in: *in, rho: rho, height: firstHeightMM}, nil
}

// Step is what the walk waits for now.
func (w *CupWalk) Step() Step {
	switch {
	case w.done:
		return StepDone
	case w.in.step == StepCup:
		return StepCup
	}
	return StepFill
}

// Take gives the walk one reading. at is the time since any fixed moment and
// never goes back.
func (w *CupWalk) Take(at time.Duration, r scale.Reading) {
	switch in := &w.in; {
	case w.done:
	case in.step == StepCup:
		in.Take(at, r)
	case !in.watch.Take(at, r, in.setup.Division):
		in.offs = 0
		w.has = false
		if in.held {
			in.watch.Restart()
		}
	default:
		w.see(at)
	}
}

// Lost says that the scale can not be heard any more; the next Take ends it.
func (w *CupWalk) Lost() {
	if !w.done {
		w.in.Lost()
		w.has = false
	}
}

// see notes what stands still. The cup may be carried to the tap and back.
func (w *CupWalk) see(at time.Duration) {
	in := &w.in
	stands := in.watch.Stands() >= pan.StillFor
	if w.adrift(stands) {
		return
	}
	in.offs++
	if in.watch.Shown > in.pan+(in.cup-in.pan)/2 {
		in.offs = 0
	}
	net := in.watch.Shown - in.cup
	if in.offs > 0 || (net-w.noted).Abs() > 2*in.setup.Division {
		w.has = false
	}
	if in.offs == 0 && stands {
		w.noted, w.notedAt, w.has = net, note{at, in.scale}, net-w.last().Net >= in.setup.leastContent()
		in.misled = in.misled && !w.has
	}
}

// last is the highest level that was taken, the empty cup if none was.
func (w *CupWalk) last() Level {
	if len(w.levels) == 0 {
		return Level{}
	}
	return w.levels[len(w.levels)-1]
}

// Height says to which height, in millimetres, the cup is being filled.
func (w *CupWalk) Height(mm float64) error {
	if !(mm >= coating.LowestFillMM && mm <= coating.HighestFillMM) {
		return coating.PlausibleFill(nil, coating.Fill{HeightMM: mm})
	}
	w.height = mm
	return nil
}

// Next takes what stands there for the filling to the height, and goes on to the
// next one. An error is ErrNotStill or a *coating.Refusal; sure is the answer to
// one that asks.
func (w *CupWalk) Next(sure bool) error {
	if w.Step() != StepFill || !w.has {
		return ErrNotStill
	}
	l := Level{HeightMM: w.height, Net: w.noted, ML: w.noted.Grams() / w.rho, note: w.notedAt}
	err := coating.PlausibleFill(w.fills(), coating.Fill{HeightMM: l.HeightMM, VolumeML: l.ML})
	var refusal *coating.Refusal
	if err != nil && !(errors.As(err, &refusal) && refusal.Ask && sure) {
		return err
	}
	rise := usualRiseMM
	if len(w.levels) > 0 {
		rise = l.HeightMM - w.last().HeightMM
	}
	w.levels, w.has = append(w.levels, l), false
	w.height = min(l.HeightMM+rise, coating.HighestFillMM)
	return nil
}

func (w *CupWalk) fills() (list []coating.Fill) {
	for _, l := range w.levels {
		list = append(list, coating.Fill{HeightMM: l.HeightMM, VolumeML: l.ML})
	}
	return list
}

// Enough ends the walk with the heights that were taken. It reports whether that
// is on offer.
func (w *CupWalk) Enough() bool {
	if w.Step() != StepFill || len(w.levels) < LeastHeights {
		return false
	}
	w.done = true
	return true
}

// Back takes the last thing back: the end, the last height, or the empty cup,
// which must then be lifted, because it may hold something.
func (w *CupWalk) Back() {
	w.has = false
	switch {
	case w.done:
		w.done = false
		w.in.watch.Rest(w.in.watch.Heard())
	case len(w.levels) > 0:
		w.height = w.last().HeightMM
		w.levels = w.levels[:len(w.levels)-1]
	case w.in.step != StepCup:
		w.in.Back()
	}
}

// Again begins anew with the empty cup.
func (w *CupWalk) Again() {
	w.in.Again()
	*w = CupWalk{in: w.in, rho: w.rho, height: firstHeightMM}
}

// Result is the empty cup and the heights; ok is false before the end.
func (w *CupWalk) Result() (empty scale.Mass, levels []Level, ok bool) {
	return w.in.cup - w.in.pan, append([]Level{}, w.levels...), w.done
}
