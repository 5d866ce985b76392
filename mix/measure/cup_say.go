package measure

import (
	"fmt"
	"time"

	"gramcup/scale"
	"gramcup/scale/pan"
)

// CupView is a cup being measured as a person sees it.
type CupView struct {
	Step     Step
	Sentence string     // what to do now, one sentence
	Detail   string     // how, or what happens after it
	Waits    string     // why nothing is noted at the moment, "" if nothing is wrong
	Noted    scale.Mass // net, of a new filling that stands still; 0 if none does
	Still    bool
	HeightMM float64 // to which it is being filled
	Levels   []Level // taken
	Enough   bool    // they would do
}

// View gives the walk at a moment. at only serves to tell a silent scale; it
// counts like that of Take.
func (w *CupWalk) View(at time.Duration) CupView {
	in := &w.in
	v := CupView{
		Step: w.Step(), Still: in.watch.Usable() && in.watch.Stands() > 0, HeightMM: w.height,
		Levels: append([]Level{}, w.levels...), Enough: w.done || len(w.levels) >= LeastHeights,
	}
	if in.adrift && !w.done {
		v.Sentence, v.Detail = in.sentence()
		v.Waits = in.waits(at)
		return v
	}
	switch v.Step {
	case StepCup:
		v.Sentence, v.Detail = "Put the empty, dry cup on the pan.", "It is noted by itself when it stands still."
		if in.needs {
			v.Sentence, v.Detail = "Lift the cup off, empty and dry it, then put it on again.", ""
		}
		v.Waits = in.waits(at)
	case StepFill:
		if w.has {
			v.Noted = w.noted
		}
		v.Sentence, v.Detail = w.fillSentence()
		v.Waits = w.waits(at)
	default:
		v.Sentence = "That cup is measured."
	}
	return v
}

func (w *CupWalk) fillSentence() (sentence, detail string) {
	if w.has {
		return fmt.Sprintf("Does the water stand at %.4g mm? Then take it.", w.height), "If not, add or take out a little: it is noted anew."
	}
	detail = "Measured from the inside bottom, with the eye at the height of the water. Here or at the tap, as you like."
	if len(w.levels) == 0 {
		return fmt.Sprintf("Fill the cup with water up to %.4g mm.", w.height), detail
	}
	if len(w.levels) >= LeastHeights {
		detail = "Or let it be enough. Each further height makes the marks surer, the highest says how far they reach."
	}
	return fmt.Sprintf("Fill it up to %.4g mm.", w.height), detail
}

// waits is what stands in the way of noting a filling.
func (w *CupWalk) waits(at time.Duration) string {
	in := &w.in
	if obstacle := in.watch.Obstacle(at, "the measurement"); obstacle != "" {
		return obstacle
	}
	if in.misled {
		return "The pan shows less than when it was said to be empty, so what was taken since is weighed again: put the cup back."
	}
	if in.watch.Restless(at, slowAfter) {
		return "It does not come to rest: look for a draught, a hand or something that touches the pan."
	}
	if w.has || in.offs > 0 || in.watch.Stands() < pan.StillFor {
		return ""
	}
	net, last := in.watch.Shown-in.cup, w.last()
	switch {
	case len(w.levels) > 0 && net < last.Net-2*in.setup.Division:
		return fmt.Sprintf("There is less water in it than at %.4g mm: fill it up, or take that height back.", last.HeightMM)
	case net > last.Net+2*in.setup.Division:
		return fmt.Sprintf("%s g more are too little to tell from a drop: fill it up to the height.", in.grams(net-last.Net))
	case net < -2*in.setup.Division:
		return "It weighs less than the empty cup did: is it the same cup?"
	}
	return ""
}
