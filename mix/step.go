package mix

import (
	"time"

	"gramcup/scale"
)

// How long things must stand still before they are believed. A hand that
// dribbles pauses for about a second, so an acceptance waits a little longer;
// a pour that is past its line can not become less, so it waits shorter. What a
// scale is known to have waited by itself counts too, see Pan.dwell.
const (
	stillCup    = 600 * time.Millisecond
	stillZero   = 500 * time.Millisecond
	stillAccept = 1300 * time.Millisecond
	stillLow    = 3500 * time.Millisecond
	stillPast   = 900 * time.Millisecond
	stillRest   = 900 * time.Millisecond
	stillBack   = 600 * time.Millisecond
	stillAbsent = 3 * time.Second
	lowFor      = 400 * time.Millisecond
	tareWait    = 3 * time.Second
	restEvery   = 2 * time.Second
	wakeAfter   = 250 * time.Millisecond
	wakeLimit   = 2500 * time.Millisecond
)

// cupMin is the lightest cup that is noticed by itself: paper cups weigh 5 g
// and more, a draught less than 1 g.
const cupMin = 2 * scale.Gram

// Step decides what follows from one input. It changes nothing but the
// volatile pan: whatever should become true stands in the events of the
// answer. Equal batch, pan and input give an equal answer.
func Step(b *Batch, p *Pan, in Input) Ready {
	var r Ready
	switch in := in.(type) {
	case *Weighed:
		r = stepWeighed(b, p, in)
	case *Command:
		r = stepCommand(b, p, in)
	case *ScaleLost:
		r = stepLost(b, p, in)
	case *Asked:
		if in.Effect == EffectTare && !in.OK {
			p.noTare = true
		}
	case *PowerCameBack:
		r = stepPowerCut(b)
	case *Woke:
		r = stepWoke(b, p, in)
	case *ScaleFound:
		// The readings that follow say what is true now.
		p.found(in.Identity)
		if b.State == StateRunning && b.Phase == PhaseCup && p.Mode != scale.ModeGross {
			// What the start asked of it may have been lost with the cable.
			r.Effect = EffectClearTare
		}
	}
	if r.Live == (Live{}) {
		r.Live = live(b, p)
	}
	return r
}

// Watch notes a reading and says what to show, and decides nothing: for the
// moments in which an earlier decision is still on its way to the disk.
func Watch(b *Batch, p *Pan, in *Weighed) Live {
	p.take(b, in)
	l := live(b, p)
	p.watchHand(b, &l)
	return l
}

// division is the step of the scale, a gram before any batch told.
func (b *Batch) division() scale.Mass {
	if b.Division > 0 {
		return b.Division
	}
	return scale.Gram
}

func stepWeighed(b *Batch, p *Pan, in *Weighed) Ready {
	p.take(b, in)
	r := decide(b, p)
	p.watchHand(b, &r.Live)
	return r
}

// stepWoke looks again though no reading came: a scale that sends only when
// its display changes still stands still. Silence for longer than wakeLimit is
// no stillness.
func stepWoke(b *Batch, p *Pan, in *Woke) Ready {
	if !p.Valid || in.At.Since(p.readAt) > wakeLimit {
		return Ready{}
	}
	p.At = in.At
	return decide(b, p)
}

// decide looks for what follows from the weight that the pan shows now.
func decide(b *Batch, p *Pan) Ready {
	r := Ready{Live: live(b, p)}
	if !p.Valid {
		return r
	}
	if p.Still && !b.State.Ended() && b.ID != "" {
		r.WakeAt = p.At.Add(wakeAfter)
	}
	var e Event
	switch {
	case b.State == StateHeld:
		r.Events = whileHeld(b, p)
	case b.State != StateRunning:
	case b.Phase == PhaseCup:
		if p.stillFor() >= stillCup && p.Shown >= max(cupMin, 5*b.Division) {
			p.noTare = false
			r.Effect = EffectTare
			e = CupPlaced{Cup: p.Shown}
		}
	case b.Phase == PhaseTare:
		e = whileTaring(b, p)
	case b.Phase == PhaseStir:
		if gone(b, p) {
			e = Completed{}
		}
	case gone(b, p):
		e = b.heldUp(p, HoldCupLifted)
	case forgot(b, p.Mode) && p.stillFor() >= stillZero:
		// The scale lost its tare without having been out of sight.
		e = b.heldUp(p, HoldScaleLost)
	case b.Phase == PhasePour:
		e = whilePouring(b, p)
	case b.Phase == PhaseDecide:
		e = whileDeciding(b, p)
	}
	if e != nil {
		r.Events = append(r.Events, e)
	}
	return r
}

// whileTaring waits for a stable zero, because the old weight may still be
// shown after the command. A scale that can not tare, or did not, still shows
// the cup: then the bench subtracts it by itself. What is neither zero nor the
// cup is believed only if its reference is known for certain.
func whileTaring(b *Batch, p *Pan) Event {
	if p.stillFor() < stillZero {
		return nil
	}
	slack := 2 * b.Division
	ours := Zeroed{Reference: p.Shown, Mode: p.Mode, Software: true}
	waited := p.At.Since(b.PhaseAt) >= tareWait
	switch showsCup := (p.Shown - b.Cup).Abs() <= slack; {
	case p.noTare && showsCup:
		return ours
	case p.noTare:
		return nil // the cup was lifted, or somebody pours already
	case p.Shown.Abs() <= b.Division:
		return Zeroed{Reference: p.Shown, Mode: p.Mode}
	case !waited:
		return nil
	case showsCup:
		return ours
	case p.Shown <= slack && p.Shown > -min(cupMin, b.Cup/2):
		// Tared, but while the cup was still swinging, or it has crept since.
		// Less than a cup below zero is no cup that was lifted.
		return Zeroed{Reference: p.Shown, Mode: p.Mode}
	case p.Mode == scale.ModeNet && p.Shown > slack:
		// The scale itself says net, so it has tared; the pour began before
		// its zero had stood still.
		return Zeroed{Mode: p.Mode}
	case p.Shown > b.Cup:
		return Zeroed{Reference: b.Cup, Mode: p.Mode, Software: true}
	}
	return nil
}

func whilePouring(b *Batch, p *Pan) Event {
	net := net(b, p)
	amount := net - b.others()
	still := p.stillFor()
	switch line := b.lineOf(b.Current, amount); {
	case line == LineOn && b.bookedAlready(amount):
		// Opened again: the weight that closed it must not close it once more.
	case p.lucky(b.Division):
		// A noisy scale: its weight is somewhere else than this moment shows.
	case line == LineOn && still >= p.dwell(b.acceptAfter(amount), b.Division):
		return Accepted{Component: b.Current, Amount: amount, Line: LineOn}
	case line == LinePast && still >= p.dwell(stillPast, b.Division):
		return WentPast{Component: b.Current, Amount: amount, Net: net}
	case line != LineOn && still >= stillRest && (net-b.Rested).Abs() > b.Division && p.At.Since(b.PhaseAt) >= restEvery:
		return b.rested(p, net)
	}
	return nil
}

// bookedAlready reports that the current layer still holds just what was
// accepted of it before, on the same line.
func (b *Batch) bookedAlready(amount scale.Mass) bool {
	poured := b.Layers[b.Current].Poured
	return poured > 0 && b.lineOf(b.Current, poured) == LineOn && (amount-poured).Abs() <= b.Division
}

// acceptAfter is how long an amount on the line must stand still. In the lower
// part of the tolerance the hand probably means to add a drop, so it waits
// longer there.
func (b *Batch) acceptAfter(amount scale.Mass) time.Duration {
	if amount < b.Layers[b.Current].Target-b.closeBy(b.Current) {
		return stillLow
	}
	return stillAccept
}

// rested notes a content for the case of a power cut. PhaseAt is not moved by
// it, so the pan keeps the time of the last note itself.
func (b *Batch) rested(p *Pan, net scale.Mass) Event {
	if p.restAt != 0 && p.At.Mono-p.restAt < restEvery {
		return nil
	}
	p.restAt = p.At.Mono
	return Rested{Net: net}
}

// whileDeciding watches a pour that is past its line. Out of a cup that holds
// nothing else some may be taken; from a mixed cup it can not.
func whileDeciding(b *Batch, p *Pan) Event {
	net := net(b, p)
	if p.stillFor() < stillPast || (net-b.PastNet).Abs() <= b.Division {
		return nil
	}
	amount := net - b.others()
	if net < b.PastNet && b.others() > 0 {
		held := b.heldUp(p, HoldOtherWeight)
		held.Back = net
		return held
	}
	switch b.lineOf(b.Current, amount) {
	case LineOn:
		return Accepted{Component: b.Current, Amount: amount, Line: LineOn}
	case LinePast:
		return WentPast{Component: b.Current, Amount: amount, Net: net}
	}
	return WentBack{Component: b.Current}
}

// net is what the cup holds by the scale, in the batch's own reference.
func net(b *Batch, p *Pan) scale.Mass {
	n := p.Shown - b.Reference
	if forgot(b, p.Mode) {
		n -= b.Cup
	}
	return n
}

// forgot reports that the scale shows gross again though it was tared: its
// power was gone, and the empty cup counts again.
func forgot(b *Batch, now scale.Mode) bool {
	return !b.Software && b.Mode == scale.ModeNet && now == scale.ModeGross
}

// gone reports that clearly less stands on the scale than has been accepted:
// the cup was lifted. A short dip, a knock at the bench, does not count.
func gone(b *Batch, p *Pan) bool {
	// Half an empty cup below the accepted content can not be paint.
	band := max(5*b.Division, cupMin, b.Cup/2)
	floor := b.others()
	if b.Phase == PhaseStir {
		floor = b.Content()
	}
	if net(b, p) >= floor-band {
		p.low = false
		return false
	}
	if !p.low {
		p.low, p.lowSince = true, p.At.Mono
	}
	return p.readAt.Mono-p.lowSince >= lowFor // by a reading, not by silence
}

// heldUp is the hold with what is known of the content. If the weight stood
// still just before, that is what must come back; if a pour was going on, up
// to the highest weight seen may have gone in.
func (b *Batch) heldUp(p *Pan, why HoldReason) HeldUp {
	offset := b.Reference
	if forgot(b, p.Mode) {
		offset += b.Cup
	}
	if b.Phase == PhaseCup || b.Phase == PhaseTare {
		return HeldUp{Reason: why} // nothing is in the cup yet
	}
	floor := b.others()
	content := max(p.lastStill-offset, floor)
	unknownCup := forgot(b, p.Mode) && b.Cup == 0
	if p.stillAt == 0 || unknownCup {
		content = max(b.Rested, floor)
	}
	if why == HoldScaleLost && p.readAt != (Stamp{}) && !p.low && !unknownCup {
		// Nothing was lifted: what was seen last, even on the rise, is in there.
		content = max(content, p.seen()-offset)
	}
	if b.Phase == PhaseDecide || b.Phase == PhaseStir {
		content = max(b.PastNet, b.Content())
	}
	top := content
	if b.Phase == PhasePour && !unknownCup {
		top = max(content, p.top-offset)
	}
	return HeldUp{Reason: why, Net: content, Top: top}
}
