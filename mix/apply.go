package mix

import (
	"fmt"

	"gramcup/scale"
)

// Fold is the batch that a list of events describes.
func Fold(events []Recorded) Batch {
	var b Batch
	for _, r := range events {
		b = Apply(b, r)
	}
	return b
}

// Apply is the only way in which a batch changes, live and when it is read
// back. It never fails and never decides anything. An event about a component
// that the recipe does not have changes nothing and leaves a Fault.
func Apply(b Batch, r Recorded) Batch {
	if i, ok := about(r.Event); ok && (i < 0 || i >= b.N()) {
		b.Fault = fmt.Sprintf("event %d (%s) is about component %d, the recipe has %d: it is left out", r.Seq, r.Event.Type(), i+1, b.N())
	} else {
		b.change(r)
	}
	b.ID, b.Seq = r.Batch, r.Seq
	if r.Key != "" {
		copy(b.Keys[1:], b.Keys[:len(b.Keys)-1])
		b.Keys[0] = r.Key
	}
	return b
}

// change folds one event in, whose component is one of the recipe's.
func (b *Batch) change(r Recorded) {
	switch e := r.Event.(type) {
	case Started:
		*b = applyStarted(r, e)
	case CupPlaced:
		b.Cup = e.Cup
		b.enter(PhaseTare, r.At)
	case Zeroed:
		b.Reference, b.Mode, b.Software = e.Reference, e.Mode, e.Software
		b.enter(PhasePour, r.At)
	case Rested:
		b.Rested = e.Net
	case Accepted:
		b.accept(r.At, e)
	case WentPast:
		b.PastNet = e.Net
		b.Layers[e.Component].Line = LinePast
		b.enter(PhaseDecide, r.At)
	case WentBack:
		b.PastNet = 0
		b.Layers[e.Component].Line = LineShort
		b.enter(PhasePour, r.At)
	case LeveledUp:
		b.levelUp(r.At, e)
	case Reopened:
		b.Current = e.Component
		b.Layers[e.Component].Line, b.Layers[e.Component].Kept = LineShort, false
		b.LastDone = 0
		b.enter(PhasePour, r.At)
	case HeldUp:
		b.State, b.Hold, b.HeldFrom = StateHeld, e.Reason, e.Reason
		b.HeldNet, b.HeldTop, b.BackNet, b.PhaseAt = e.Net, e.Top, e.Back, r.At
	case CameBack:
		b.Hold, b.BackNet = HoldOtherWeight, e.Net
	case Restarted:
		b.restart(r.At, e)
	case Completed:
		b.end(StateComplete, r.At)
	case StoppedEarly:
		b.bookRest(e.Net)
		b.end(StateStopped, r.At)
	case AbortedNow:
		b.bookRest(e.Net)
		b.end(StateAborted, r.At)
	case Faulted:
		b.Fault = e.Reason
	}
}

func applyStarted(r Recorded, e Started) Batch {
	b := Batch{State: StateRunning, Recipe: e.Recipe, Amount: e.Amount, Division: e.Division, Noise: e.Noise, Stills: e.Stills, Repeats: e.Repeats, Started: r.At}
	b.enter(PhaseCup, r.At)
	// The plan was checked before the event was made; if an old recipe does
	// not plan any more, the targets stay 0 and Check says so.
	b.Plan, _ = e.Recipe.Plan(e.Amount)
	if e.Amount.Kind != AmountAsPoured {
		b.setTargets()
	}
	for i := range b.Layers[:b.N()] {
		b.Layers[i].Line = LineOpen
	}
	return b
}

func (b *Batch) enter(p Phase, at Stamp) { b.Phase, b.PhaseAt = p, at }

// setTargets rounds the plan to micrograms, the one place where it becomes
// something to weigh.
func (b *Batch) setTargets() {
	for i := range b.Layers[:b.N()] {
		b.Layers[i].Target = scale.MassFromGrams(b.Plan.Targets[i].MassG)
	}
}

func (b *Batch) accept(at Stamp, e Accepted) {
	l := &b.Layers[e.Component]
	l.Poured, l.Line, l.Kept = e.Amount, e.Line, e.Kept
	if e.Settles {
		b.Plan = b.Plan.scaled(e.Amount.Grams() / b.Plan.Targets[e.Component].MassG)
		b.setTargets()
		l.Target = e.Amount
	}
	b.LastDone = e.Component + 1
	b.PastNet, b.Rested = 0, b.Content()
	b.noteReactive(at)
	b.next(at)
}

// noteReactive keeps the moment at which hardener and base were first both in
// the cup: pot life runs from there.
func (b *Batch) noteReactive(at Stamp) {
	var base, hardener bool
	for i, c := range b.Recipe.Components {
		in := b.Layers[i].Poured > 0
		base = base || in && c.Role == RoleBase
		hardener = hardener || in && c.Role == RoleHardener
	}
	if base && hardener && b.Reactive.IsZero() {
		b.Reactive = at
	}
}

// levelUp books what was poured and raises every line. Layers that were on
// their line are short of the new one and will be topped up.
func (b *Batch) levelUp(at Stamp, e LeveledUp) {
	b.Layers[e.Component].Poured = e.Amount
	b.LevelUps++
	b.Plan = b.Plan.scaled(e.Factor)
	b.setTargets()
	for i := range b.Layers[:b.N()] {
		if l := &b.Layers[i]; l.Poured > 0 {
			l.Line, l.Kept = b.lineOf(i, l.Poured), false
		}
	}
	b.LastDone, b.PastNet, b.Rested = 0, 0, b.Content()
	b.noteReactive(at)
	b.next(at)
}

// next goes to the first layer that is neither on its line nor kept, or to
// stirring when there is none.
func (b *Batch) next(at Stamp) {
	for i := range b.Layers[:b.N()] {
		if l := b.Layers[i]; !l.Kept && l.Line != LineOn {
			b.Current = i
			b.enter(PhasePour, at)
			return
		}
	}
	b.Current = b.N() - 1
	b.enter(PhaseStir, at)
}

func (b *Batch) restart(at Stamp, e Restarted) {
	b.State, b.Hold, b.HeldFrom = StateRunning, "", ""
	b.HeldNet, b.HeldTop, b.BackNet = 0, 0, 0
	b.Reference += e.Shift
	if e.Mode != scale.ModeUnknown {
		b.Mode = e.Mode
	}
	b.PhaseAt = at
}

// bookRest books what was in the cup of the layer that was not finished.
func (b *Batch) bookRest(net scale.Mass) {
	if b.Phase != PhasePour && b.Phase != PhaseDecide {
		return
	}
	if amount := net - b.others(); amount > 0 {
		l := &b.Layers[b.Current]
		l.Poured, l.Line = amount, b.lineOf(b.Current, amount)
	}
}

func (b *Batch) end(s State, at Stamp) {
	b.State, b.Hold, b.HeldFrom, b.Ended = s, "", "", at
	b.enter(PhaseDone, at)
}
