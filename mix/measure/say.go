package measure

import (
	"fmt"
	"time"

	"gramcup/mix/coating"
	"gramcup/scale"
	"gramcup/scale/pan"
)

// View is a walk as a person sees it.
type View struct {
	Step     Step
	Sentence string     // what to do now, one sentence
	Detail   string     // what happens by itself after it
	Waits    string     // why nothing is noted at the moment, "" if nothing is wrong
	Noted    scale.Mass // net, of the filling that stands there; 0 if none does
	Still    bool       // it stands still
	This     string     // what This would say, "" if it is not on offer
	Of, At   int        // the step's number and how many there are
}

// View gives the walk at a moment. at only serves to tell a silent scale; it
// counts like that of Take.
func (w *Walk) View(at time.Duration) View {
	v := View{Step: w.step, Still: w.watch.Usable() && w.watch.Stands() > 0, This: w.thisText()}
	v.Sentence, v.Detail = w.sentence()
	steps := []Step{StepCup, StepWater, StepDry, StepPaint}
	if w.setup.Known != nil {
		steps = []Step{StepCup, StepPaint}
	}
	v.Of, v.At = len(steps), len(steps)
	for i, s := range steps {
		if s == w.step {
			v.At = i + 1
		}
	}
	if w.step == StepDone {
		return v
	}
	if w.has && !w.strays {
		v.Noted = w.noted - w.empty()
	}
	v.Waits = w.waits(at)
	return v
}

func (w *Walk) sentence() (what, detail string) {
	if w.adrift && w.step != StepDone {
		return "Take everything off the pan.", "What it shows empty is looked at anew: it goes on by itself when that stands still."
	}
	switch w.step {
	case StepCup:
		if w.needs {
			return "Lift the cup off, empty and dry it, then put it on again.", ""
		}
		if w.setup.Known != nil {
			return fmt.Sprintf("Put the cup with the known mark on the pan, empty and dry: about %s g.", w.grams(w.setup.Known.Empty)),
				"It is noted by itself when it stands still."
		}
		return "Put the empty, dry cup with a mark on the pan.", "A line of pen or tape on a clear, straight cup will do. It is noted by itself when it stands still."
	case StepWater:
		return w.fillText("water to the mark", "At the tap or on the pan, as you like; here it has to stand still.")
	case StepDry:
		if w.needs {
			return "Lift the cup off, empty it and dry it well.", "Then put it on again."
		}
		return "Empty the cup, dry it well and put it on again.", fmt.Sprintf("It goes on by itself when the cup weighs %s g again.", w.grams(w.cup))
	case StepPaint:
		return w.fillText(w.name()+" to the same mark", "Stir the tin first, and let bubbles rise.")
	}
	return "That is measured.", ""
}

// fillText asks for a filling, and once one stands there whether it is right.
func (w *Walk) fillText(what, before string) (sentence, detail string) {
	if w.has && !w.strays && (w.step == StepWater || w.offersThis() == offerMark) {
		return "Exactly at the mark? Then lift the cup off.", "Lifting takes it. If it is not at the mark, add or take out a little: it is noted anew."
	}
	return "Fill the cup with " + what + ".", before
}

func (w *Walk) name() string {
	if w.setup.Name == "" {
		return "the paint"
	}
	return w.setup.Name
}

func (w *Walk) thisText() string {
	switch w.offersThis() {
	case offerCup:
		return "It is that cup all the same"
	case offerDry:
		return "It is dry: take it as it is"
	case offerMark:
		return "It stands at the mark"
	}
	return ""
}

// grams writes a mass with the decimals of the scale.
func (w *Walk) grams(m scale.Mass) string { return gramsIn(w.setup.Division, m) }

func gramsIn(division, m scale.Mass) string {
	decimals := 0
	for d := division; d%scale.Gram != 0 && decimals < 4; d *= 10 {
		decimals++
	}
	return m.Format(decimals)
}

// slowAfter is how long it may move before somebody says so: filling a cup to a
// mark with a dropper takes a while.
const slowAfter = 20 * time.Second

// waits is what stands in the way.
func (w *Walk) waits(at time.Duration) string {
	if obstacle := w.watch.Obstacle(at, "the measurement"); obstacle != "" {
		return obstacle
	}
	switch {
	case w.adrift:
		if w.watch.Stands() >= pan.StillFor {
			return w.PanTrouble(at)
		}
		return ""
	case w.misled:
		return "The pan shows less than when it was said to be empty, so nothing was taken: put the cup back as it was, it is weighed again."
	case w.hasty:
		return "It had changed just before it was lifted: put it back and let it stand for two seconds."
	case w.watch.Restless(at, slowAfter):
		return w.watch.RestlessSaid()
	case w.needs || w.watch.Stands() < pan.StillFor:
		return ""
	}
	return w.notPlausible()
}

// notPlausible tells what stands still and is not what is expected.
func (w *Walk) notPlausible() string {
	switch w.step {
	case StepCup:
		switch {
		case w.tooHeavy():
			return fmt.Sprintf("%s g stand there: take it off once, so that the empty pan is seen.", w.grams(w.watch.Shown))
		case w.panned && w.watch.Mode == scale.ModeNet && w.watch.Shown-w.pan < w.setup.leastCup() && w.watch.Shown.Abs() <= w.setup.Division:
			return "Does the cup stand there already? Lift it for a moment and put it back: the scale is tared."
		case w.panned && w.watch.Shown-w.pan >= w.setup.leastCup() && !w.fitsKnown():
			return fmt.Sprintf("This cup weighs %s g, and the one with the known mark %s g: is it another one, or still wet?", w.grams(w.watch.Shown-w.pan), w.grams(w.setup.Known.Empty))
		}
	case StepDry:
		over := w.watch.Shown - w.cup
		switch {
		case w.offs > 0 || over.Abs() <= w.setup.sameCup():
		case over > (w.water-w.cup)/2:
			return "The water is still in it: empty the cup."
		case over > 0:
			return fmt.Sprintf("It weighs %s g more than when it was dry: dry it once more.", w.grams(over))
		default:
			return fmt.Sprintf("It weighs %s g less than before: is it the same cup?", w.grams(-over))
		}
	case StepPaint:
		if !w.has {
			return ""
		}
		if r, err := w.densityOf(w.noted); err != nil {
			if r.GML > 0 && r.GML < coating.LightestGML {
				return fmt.Sprintf("%s g would be %.2f g/ml, lighter than any paint: fill it up to the mark.", w.grams(w.noted-w.dried), r.GML)
			}
			return "That can not be: " + err.Error()
		}
	}
	return ""
}
