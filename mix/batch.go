package mix

import "gramcup/scale"

// State is the state of a batch in the words of ISA-88 (IEC 61512).
type State string

// The states. Complete, stopped and aborted are final.
const (
	StateIdle     State = "idle"
	StateRunning  State = "running"
	StateHeld     State = "held"
	StateComplete State = "complete"
	StateStopped  State = "stopped"
	StateAborted  State = "aborted"
)

// Ended reports whether nothing more can happen to the batch.
func (s State) Ended() bool {
	return s == StateComplete || s == StateStopped || s == StateAborted
}

// Phase is where a running batch stands.
type Phase string

// The phases, in the order a batch walks through them. Decide is a pour that
// went past its line and waits for a person.
const (
	PhaseCup    Phase = "cup"
	PhaseTare   Phase = "tare"
	PhasePour   Phase = "pour"
	PhaseDecide Phase = "decide"
	PhaseStir   Phase = "stir"
	PhaseDone   Phase = "done"
)

// Line tells how a layer stands to its line.
type Line string

// The places of a layer: not poured yet, short of the line, on it within the
// component's tolerance, or past it.
const (
	LineOpen  Line = "open"
	LineShort Line = "short"
	LineOn    Line = "on"
	LinePast  Line = "past"
)

// HoldReason says why a batch is held.
type HoldReason string

// The reasons.
const (
	HoldPerson      HoldReason = "person"       // somebody pressed hold
	HoldCupLifted   HoldReason = "cup-lifted"   // the weight went away
	HoldScaleLost   HoldReason = "scale-lost"   // no frame for too long
	HoldPowerCut    HoldReason = "power-cut"    // the daemon started anew
	HoldOtherWeight HoldReason = "other-weight" // what came back weighs something else
)

// Layer is what the cup holds of one component and what it should hold.
type Layer struct {
	Target scale.Mass // the line; 0 while as poured is not settled
	Poured scale.Mass // accepted so far
	Line   Line       // how the accepted amount stands to the line
	Kept   bool       // a person kept it though it is not on the line
}

// Batch is one mix from the choice of the recipe to the last stir. It is a
// value: Apply returns a new one and never changes the old. Seq counts its
// events and is the version that a command names.
type Batch struct {
	ID        string
	Seq       uint64
	State     State
	Phase     Phase
	Recipe    Recipe
	Amount    Amount
	Plan      Plan          // the current plan, raised by every level-up
	Division  scale.Mass    // of the scale it was started on
	Noise     scale.Mass    // what that scale scattered by at rest, where Stills is above 0
	Stills    int           // how many stretches of stillness that was measured in
	Repeats   scale.Repeats // what the check of that scale that was kept last had measured
	Layers    [MaxComponents]Layer
	Current   int        // the component being poured
	LastDone  int        // 1 + the component accepted last, 0 before the first
	PhaseAt   Stamp      // when the phase or the hold began
	LevelUps  int        // how often the plan was raised
	Cup       scale.Mass // the empty cup
	Reference scale.Mass // the displayed weight that means an empty cup
	Mode      scale.Mode // the mode the scale was in when the reference was set
	Software  bool       // the reference is ours, the scale refused to tare
	Rested    scale.Mass // the last content that stood still and was noted
	PastNet   scale.Mass // the content at which the person must decide
	Hold      HoldReason
	HeldFrom  HoldReason // what was the reason before another weight came back
	HeldNet   scale.Mass // content expected to come back
	HeldTop   scale.Mass // the most that may have been poured before it went
	BackNet   scale.Mass // content that did come back
	Keys      [16]string // the last idempotency keys that took effect
	Started   Stamp
	Reactive  Stamp // when hardener first met base
	Ended     Stamp
	Fault     string // the invariant that was broken, if any
}

// N is the number of components.
func (b *Batch) N() int { return len(b.Recipe.Components) }

// Content is the sum of the accepted layers.
func (b *Batch) Content() scale.Mass {
	var sum scale.Mass
	for i := range b.Layers[:b.N()] {
		sum += b.Layers[i].Poured
	}
	return sum
}

// others is the content without the accepted part of the current layer: what
// stands under or beside the liquid that is being poured now.
func (b *Batch) others() scale.Mass { return b.Content() - b.Layers[b.Current].Poured }

// Tolerance is how far component i may be from its line, at least one
// division of the scale, which can not show less.
func (b *Batch) Tolerance(i int) scale.Mass {
	t := scale.MassFromGrams(b.Layers[i].Target.Grams() * b.Recipe.Components[i].Tolerance)
	return max(t, b.Division)
}

// lineOf judges an amount of component i against its line.
func (b *Batch) lineOf(i int, amount scale.Mass) Line {
	target := b.Layers[i].Target
	switch tol := b.Tolerance(i); {
	case target == 0: // as poured, not settled
		return LineOpen
	case amount < target-tol:
		return LineShort
	case amount > target+tol:
		return LinePast
	}
	return LineOn
}

// hasKey reports whether a command with this key has already taken effect.
func (b *Batch) hasKey(key string) bool {
	for _, k := range b.Keys {
		if k != "" && k == key {
			return true
		}
	}
	return false
}

// OnTheLine reports whether every layer stands on its line and none was kept
// off it.
func (b *Batch) OnTheLine() bool {
	for i := range b.Layers[:b.N()] {
		if b.Layers[i].Line != LineOn {
			return false
		}
	}
	return b.N() > 0
}
