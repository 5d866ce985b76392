package checkup

import (
	"fmt"
	"slices"
	"time"

	"gramcup/scale"
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
		Guessed: w.setup.guessed(), ThisIsIt: w.offersThis(), Still: w.trouble == troubleNone && w.still.length() > 0}
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
	switch w.trouble {
	case troubleLost:
		return "The scale is lost: look at its plug; the check goes on when it is back."
	case troubleOver:
		return "The scale says overload: take the load off."
	case troubleUnder:
		return "The scale says that it is below its range: put its pan on, or switch it off and on with the pan empty."
	case troubleNoWeight:
		return "The scale shows no weight now: look at its display."
	case troubleUnit:
		return fmt.Sprintf("The scale changed its unit: switch it back to %s.", w.unit)
	case troubleMode:
		return "The scale changed between gross and net: was a tare set or cleared? Put it back as it was, or begin again."
	}
	switch {
	case !w.started || at-w.heard > gapMost:
		return "The scale is not heard: is it on and plugged in?"
	case w.needOff:
		return ""
	case at-w.moving > slowAfter:
		return "It does not come to rest: look for a draught, a hand or something that touches the pan."
	case w.still.length() < stillFor:
		return ""
	}
	return w.notPlausible()
}

// notPlausible tells what stands still and is not what is expected.
func (w *Walk) notPlausible() string {
	switch w.Step() {
	case StepZero:
		switch {
		case w.shown.Abs() <= w.limits.Zero:
			return ""
		case w.shown > w.nearZero():
			return fmt.Sprintf("It shows %v: take off what lies there, or zero the scale if the pan is empty.", w.shown)
		}
		return fmt.Sprintf("The empty pan shows %v: zero the scale with its own key.", w.shown)
	case StepOff:
		switch {
		case w.shown < -w.nearZero():
			return fmt.Sprintf("It shows %v: is the pan in its place, and was the scale zeroed with the weight on? If so, begin again.", w.shown)
		case w.shown > w.nearZero() && w.shown < w.setup.Nominal/2:
			return fmt.Sprintf("It shows %v: something still lies on the pan.", w.shown)
		}
		return ""
	}
	if w.shown <= w.nearZero() || w.nearNominal() {
		return ""
	}
	for _, n := range nominals {
		if (w.shown - n).Abs() <= n/nearPart {
			return fmt.Sprintf("It shows %v: that looks like the %s weight, and %s is wanted.", w.shown, Name(n), Name(w.setup.Nominal))
		}
	}
	return fmt.Sprintf("It shows %v where %s is wanted: is it the right weight, alone on the pan?", w.shown, Name(w.setup.Nominal))
}
