package checkup

import (
	"fmt"
	"slices"
	"time"

	"gramcup/scale"
	"gramcup/scale/pan"
)

// View is a walk as a person sees it.
type View struct {
	Step     Step
	Sentence string // what to do now, one sentence
	Waits    string // why nothing is taken at the moment, "" if nothing is wrong
	Place    Place  // which reading comes next, "" when done
	Taken    []Reading
	Of       int // how many readings there will be
	Setup    Setup
	Limits   scale.Limits
	Guessed  bool   // the class is a guess
	Corners  string // why corners will not be judged, "" if they will or are not asked for
	ThisIsIt bool   // ThisIsIt is on offer
	Still    bool   // it stands still, and will be taken in a moment if it fits
}

// slowAfter is how long it may move before somebody says so.
const slowAfter = 6 * time.Second

// View gives the walk at a moment. at only serves to tell a silent scale; it
// counts like that of Take.
func (w *Walk) View(at time.Duration) View {
	v := View{Step: w.Step(), Taken: slices.Clone(w.taken), Of: len(w.plan), Setup: w.setup, Limits: w.limits,
		Guessed: w.setup.guessed(), ThisIsIt: w.offersThis(), Still: w.pan.Usable() && w.pan.Stands() > 0}
	if w.setup.Corners {
		v.Corners = w.setup.cornerTrouble()
	}
	v.Sentence = w.sentence()
	if !w.done() {
		v.Place = w.plan[len(w.taken)]
		v.Waits = w.waits(at)
	}
	return v
}

func (w *Walk) sentence() string {
	name := Name(w.setup.Nominal)
	switch w.Step() {
	case StepZero:
		return "Take everything off the pan and wait for zero."
	case StepOff:
		return "Lift the weight off and leave the pan empty."
	case StepDone:
		return "That was the last reading: look at what it says."
	case StepOn:
		if w.needOff {
			return fmt.Sprintf("Lift the %s weight off, then put it in the middle of the pan again.", name)
		}
		return fmt.Sprintf("Put the %s weight in the middle of the pan, time %d of %d.", name, w.count(PlaceMiddle)+1, repeats)
	}
	where := sides[w.plan[len(w.taken)]]
	if w.needOff {
		return fmt.Sprintf("Lift the weight off, then put it %s, half way from the middle to the edge.", where)
	}
	return fmt.Sprintf("Put the weight %s, half way from the middle to the edge.", where)
}

// sides are the places of a corner check in plain words.
var sides = map[Place]string{
	PlaceFront: "at the front, nearest to you", PlaceRight: "on the right",
	PlaceBack: "at the back", PlaceLeft: "on the left",
}

func (w *Walk) count(p Place) (n int) {
	for _, r := range w.taken {
		if r.Place == p {
			n++
		}
	}
	return n
}

// waits is what stands in the way of the next reading.
func (w *Walk) waits(at time.Duration) string {
	if obstacle := w.pan.Obstacle(at, "the check"); obstacle != "" {
		return obstacle
	}
	switch {
	case w.needOff:
		return ""
	case w.pan.Restless(at, slowAfter):
		return w.pan.RestlessSaid()
	case w.pan.Stands() < pan.StillFor:
		return ""
	}
	return w.notPlausible()
}

// notPlausible tells what stands still and is not what is expected.
func (w *Walk) notPlausible() string {
	switch w.Step() {
	case StepZero:
		switch {
		case w.pan.Shown.Abs() <= w.limits.Zero:
			return ""
		case w.pan.Shown > w.nearZero():
			return fmt.Sprintf("It shows %v: take off what lies there, or zero the scale if the pan is empty.", w.pan.Shown)
		}
		return fmt.Sprintf("The empty pan shows %v: zero the scale with its own key.", w.pan.Shown)
	case StepOff:
		switch {
		case w.pan.Shown < -w.nearZero():
			return fmt.Sprintf("It shows %v: is the pan in its place, and was the scale zeroed with the weight on? If so, begin again.", w.pan.Shown)
		case w.pan.Shown > w.nearZero() && w.pan.Shown < w.setup.Nominal/2:
			return fmt.Sprintf("It shows %v: something still lies on the pan.", w.pan.Shown)
		}
		return ""
	}
	if w.pan.Shown <= w.nearZero() || w.nearNominal() {
		return ""
	}
	for _, n := range nominals {
		if (w.pan.Shown - n).Abs() <= n/nearPart {
			return fmt.Sprintf("It shows %v: that looks like the %s weight, and %s is wanted.", w.pan.Shown, Name(n), Name(w.setup.Nominal))
		}
	}
	return fmt.Sprintf("It shows %v where %s is wanted: is it the right weight, alone on the pan?", w.pan.Shown, Name(w.setup.Nominal))
}
