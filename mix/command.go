package mix

import (
	"math"

	"gramcup/scale"
)

// stepCommand checks that the command was decided on what is true now, and
// hands it to its verb. Of two presses on two pages only one can name the
// current version.
func stepCommand(b *Batch, p *Pan, c *Command) Ready {
	if c.Key != "" && b.hasKey(c.Key) {
		return Ready{Repeat: true}
	}
	if c.Batch != b.ID || c.Version != b.Seq {
		return Ready{Refused: refuse(RefusedStale, "the bench has moved on since that was pressed: look again and press what fits now")}
	}
	if c.Do == VerbStart {
		return start(b, p, c)
	}
	if b.ID == "" || b.State.Ended() {
		if c.Do == VerbZero {
			return Ready{Effect: EffectZero}
		}
		return Ready{Refused: refuse(RefusedNotNow, "no batch is being mixed: choose a recipe and start one")}
	}
	switch c.Do {
	case VerbHold:
		if b.State == StateHeld {
			return notNow("the batch is held already")
		}
		return answer(b.heldUp(p, HoldPerson))
	case VerbStop:
		return answer(StoppedEarly{Net: b.lastNet(p)})
	case VerbAbort:
		return answer(AbortedNow{Net: b.lastNet(p)})
	case VerbRestart, VerbLeaveOut:
		return comeBack(b, p, c)
	case VerbZero:
		if b.newZero() && p.Valid && net(b, p) < 0 {
			return Ready{Effect: EffectZero}
		}
	}
	if b.State != StateRunning {
		return notNow("the batch is held: restart it first")
	}
	return stepRunning(b, p, c)
}

func stepRunning(b *Batch, p *Pan, c *Command) Ready {
	switch c.Do {
	case VerbCupOn:
		return cupOn(b, p)
	case VerbEnough:
		return enough(b, p)
	case VerbKeep:
		return keep(b, p)
	case VerbLevelUp:
		return levelUp(b, p)
	case VerbReopen:
		return reopen(b, p)
	case VerbStirred:
		if b.Phase != PhaseStir {
			return notNow("there is still something to pour")
		}
		return answer(Completed{})
	case VerbZero:
		if b.Phase != PhaseCup {
			return notNow("the scale is zeroed only before the cup is on: with paint on it, a new zero would spoil the batch")
		}
		return Ready{Effect: EffectZero}
	}
	return Ready{Refused: refuse(RefusedNotNow, "%q is nothing that can be done at the bench", c.Do)}
}

func answer(e ...Event) Ready { return Ready{Events: e} }

func notNow(sentence string) Ready {
	return Ready{Refused: refuse(RefusedNotNow, "%s", sentence)}
}

func start(b *Batch, p *Pan, c *Command) Ready {
	if b.ID != "" && !b.State.Ended() {
		return notNow("another batch is still in the cup: finish, stop or abort it first")
	}
	if c.Order == nil || c.Order.ID == "" {
		return Ready{Refused: refuse(RefusedOrder, "the start names no recipe and no amount: choose both")}
	}
	plan, err := c.Order.Recipe.Plan(c.Order.Amount)
	if err != nil {
		return Ready{Refused: refuse(RefusedOrder, "%v", err)}
	}
	if c.Order.Division <= 0 {
		return Ready{Refused: refuse(RefusedNoScale, "the scale's division is not known yet: wait until the scale is found")}
	}
	if c.Order.Amount.Kind != AmountAsPoured {
		if r := plan.tooFine(c.Order.Recipe, c.Order.Division); r != nil {
			return Ready{Refused: r}
		}
	}
	m := p.meter.Manner()
	r := answer(Started{Recipe: c.Order.Recipe, Amount: c.Order.Amount, Division: c.Order.Division, Noise: m.Noise, Stills: m.Stills, Repeats: p.Repeats})
	if p.Valid && p.Mode == scale.ModeNet {
		// The tare of the last cup is still set: an empty pan shows less than
		// nothing, and the next cup just zero, which nobody could tell from none.
		r.Effect = EffectClearTare
	}
	p.forget()
	return r
}

// tooFine refuses a plan with a line of a division or less: on such a line even
// nothing would stand.
func (p Plan) tooFine(r Recipe, division scale.Mass) *Refusal {
	for i, t := range p.Targets[:p.N] {
		if scale.MassFromGrams(t.MassG) <= division {
			return refuse(RefusedOrder, "%.3g g of %s can not be weighed on a scale that shows steps of %v: mix more than %.0f g in all, or use a finer scale",
				t.MassG, r.Components[i].Name, division, math.Ceil(division.Grams()/t.MassFraction))
		}
	}
	return nil
}

// standing refuses unless there is a weight and it stands still.
func standing(p *Pan) *Refusal {
	if !p.Valid {
		return refuse(RefusedNoScale, "there is no weight from the scale: see to the scale first")
	}
	if p.stillFor() < stillZero {
		return refuse(RefusedMoving, "the weight is still moving: wait until it stands still")
	}
	return nil
}

func cupOn(b *Batch, p *Pan) Ready {
	if b.Phase != PhaseCup {
		return notNow("the cup is on already")
	}
	if r := standing(p); r != nil {
		return Ready{Refused: r}
	}
	if p.Shown.Abs() <= 5*b.Division {
		// The scale was tared with the cup on it: its weight is not known and
		// not needed.
		return answer(CupPlaced{}, Zeroed{Reference: p.Shown, Mode: p.Mode})
	}
	p.noTare = false
	r := answer(CupPlaced{Cup: max(p.Shown, 0)})
	r.Effect = EffectTare
	return r
}

func enough(b *Batch, p *Pan) Ready {
	if b.Phase != PhasePour || b.Layers[b.Current].Target != 0 {
		return notNow("this layer has a line: pour to it, or keep what is in the cup")
	}
	if r := standing(p); r != nil {
		return Ready{Refused: r}
	}
	amount := net(b, p) - b.others()
	if amount < max(10*b.Division, scale.Gram) {
		return notNow("there is too little in the cup to work out the rest from: pour first")
	}
	settles := b.Plan.scaled(amount.Grams() / b.Plan.Targets[b.Current].MassG)
	if r := settles.tooFine(b.Recipe, b.Division); r != nil {
		return Ready{Refused: r}
	}
	return answer(Accepted{Component: b.Current, Amount: amount, Line: LineOn, Settles: true})
}

// settled refuses unless what stands on the scale is the amount that a person
// was asked about: who pours on while pressing would lose what runs in.
func settled(b *Batch, p *Pan) *Refusal {
	if r := standing(p); r != nil {
		return r
	}
	if (net(b, p) - b.PastNet).Abs() > b.Division {
		return refuse(RefusedMoving, "the weight has just changed: wait until the new one is shown")
	}
	return nil
}

func keep(b *Batch, p *Pan) Ready {
	switch {
	case b.Phase == PhaseDecide:
		if r := settled(b, p); r != nil {
			return Ready{Refused: r}
		}
		return answer(Accepted{Component: b.Current, Amount: b.PastNet - b.others(), Line: LinePast, Kept: true})
	case b.Phase != PhasePour || b.Layers[b.Current].Target == 0:
		return notNow("there is no layer to keep")
	}
	if r := standing(p); r != nil {
		return Ready{Refused: r}
	}
	amount := net(b, p) - b.others()
	if amount < b.Division {
		return notNow("nothing of this component is in the cup yet: there is nothing to keep")
	}
	line := b.lineOf(b.Current, amount)
	return answer(Accepted{Component: b.Current, Amount: amount, Line: line, Kept: line != LineOn})
}

func levelUp(b *Batch, p *Pan) Ready {
	if b.Phase != PhaseDecide {
		return notNow("nothing is past its line: there is nothing to level up")
	}
	if r := settled(b, p); r != nil {
		return Ready{Refused: r}
	}
	amount := b.PastNet - b.others()
	rescue, err := b.rescue()
	if err != nil {
		return Ready{Refused: refuse(RefusedNotNow, "%v", err)}
	}
	return answer(LeveledUp{Component: b.Current, Amount: amount, Factor: rescue.Factor})
}

// rescue works out the level-up for what is in the cup.
func (b *Batch) rescue() (Rescue, error) {
	var poured [MaxComponents]float64
	for i := range b.Layers[:b.N()] {
		poured[i] = b.Layers[i].Poured.Grams()
	}
	if b.Phase == PhaseDecide {
		poured[b.Current] = (b.PastNet - b.others()).Grams()
	}
	return b.Plan.LevelUp(poured[:b.N()])
}

func reopen(b *Batch, p *Pan) Ready {
	if b.LastDone == 0 || b.Phase != PhasePour && b.Phase != PhaseStir {
		return notNow("there is no layer to go back to")
	}
	if b.Phase == PhasePour && p.Valid && net(b, p)-b.Content() > 2*b.Division {
		return notNow("the next component is already in the cup: the layer before it can not be opened again")
	}
	return answer(Reopened{Component: b.LastDone - 1})
}

// comeBack ends a hold by a person's word: restart counts what the scale says,
// leave-out takes the difference as something that is not paint.
func comeBack(b *Batch, p *Pan, c *Command) Ready {
	if b.State != StateHeld {
		return notNow("the batch is not held")
	}
	if r := standing(p); r != nil {
		return Ready{Refused: r}
	}
	if b.Phase == PhaseCup || b.Phase == PhaseTare {
		return answer(b.restarted(p, 0)) // no content to compare with
	}
	n := net(b, p)
	if b.Hold != HoldOtherWeight && b.whatCameBack(p, n) != backSame && n < b.HeldNet {
		return answer(CameBack{Net: n})
	}
	if b.Hold == HoldOtherWeight && (n-b.BackNet).Abs() > b.Division {
		return answer(CameBack{Net: n})
	}
	if c.Do == VerbLeaveOut {
		if b.Hold != HoldOtherWeight {
			return notNow("there is no difference to leave out")
		}
		return answer(b.resumed(p, n-b.expected(n))...)
	}
	if n < b.others()-2*b.Division {
		return notNow("the cup holds less than has been accepted, so that can not be counted: leave the difference out if the paint is all there, or stop the batch")
	}
	return answer(b.resumed(p, 0)...)
}

// lastNet is the content for the book when a batch ends early.
func (b *Batch) lastNet(p *Pan) scale.Mass {
	if b.Phase == PhaseCup || b.Phase == PhaseTare {
		return 0 // what stands there is the cup
	}
	if b.State == StateHeld {
		return max(b.HeldNet, b.Content())
	}
	if !p.Valid || gone(b, p) {
		return max(b.Content(), b.Rested)
	}
	return max(net(b, p), b.Content())
}
