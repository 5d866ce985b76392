package mix

import "gramcup/scale"

// stepLost holds a batch whose scale can not be heard.
func stepLost(b *Batch, p *Pan, in *ScaleLost) Ready {
	var r Ready
	if b.State == StateRunning && (b.Phase == PhasePour || b.Phase == PhaseDecide) {
		r.Events = append(r.Events, b.heldUp(p, HoldScaleLost))
	}
	p.lost(in.At, TroubleLost)
	return r
}

// stepPowerCut holds a batch that was found in the book at the start. What was
// accepted is certain; the layer in hand must be looked at again.
func stepPowerCut(b *Batch) Ready {
	var r Ready
	inHand := b.Phase == PhasePour || b.Phase == PhaseDecide
	if b.State != StateRunning || !inHand {
		return r // held already, or nothing in hand that could have changed
	}
	content := max(b.Rested, b.Content(), b.PastNet)
	r.Events = append(r.Events, HeldUp{Reason: HoldPowerCut, Net: content, Top: content})
	return r
}

// back is what a weight after a hold means.
type back uint8

const (
	backAbsent back = iota // the cup is not there
	backSame               // it can go on by itself
	backOther              // somebody must say
)

// whileHeld waits for the cup or the scale to come back and restarts by itself
// when what comes back is what went.
func whileHeld(b *Batch, p *Pan) []Event {
	if b.Hold == HoldPerson || p.stillFor() < stillBack {
		return nil
	}
	n := net(b, p)
	switch b.whatCameBack(p, n) {
	case backSame:
		return b.resumed(p, 0)
	case backOther:
		if b.Hold != HoldOtherWeight || (n-b.BackNet).Abs() > b.Division {
			return []Event{CameBack{Net: n}}
		}
	}
	return nil
}

// whatCameBack compares a still content with the one that is expected. A cup
// that was lifted must weigh the same within two divisions. While the scale or
// the daemon was away the pour may have gone on, so there more is believed too
// as long as it could be the layer in hand and can not be the cup.
func (b *Batch) whatCameBack(p *Pan, n scale.Mass) back {
	slack := 2 * b.Division
	low, high := b.HeldNet-slack, b.HeldTop+slack
	away := b.HeldFrom == HoldScaleLost || b.HeldFrom == HoldPowerCut
	if away && !(tareInDoubt(b, p.Mode) && n >= b.HeldNet+b.Cup-slack) {
		if target := b.Layers[b.Current].Target; target > 0 {
			high = max(high, b.others()+target+b.Tolerance(b.Current))
		} else {
			high = max(high, n) // poured by eye: there is no line to exceed
		}
	}
	switch {
	case n >= low && n <= high:
		return backSame
	case n < -max(slack, b.Cup/2):
		return backAbsent
	}
	return backOther
}

// expected is the content that may have gone away and is nearest to n: what is
// beyond it is the difference that a person is asked about.
func (b *Batch) expected(n scale.Mass) scale.Mass { return min(max(n, b.HeldNet), b.HeldTop) }

// tareInDoubt reports that a scale which was away may have come back without
// its tare and does not tell, or tells it of a cup that was never weighed: then
// the cup would be counted as paint.
func tareInDoubt(b *Batch, now scale.Mode) bool {
	switch {
	case b.Software || now == scale.ModeNet:
		return false
	case forgot(b, now):
		return b.Cup == 0
	}
	return true
}

// resumed goes on, and asks about a pour past its line anew if the content is
// not the one that was asked about: it was counted, so it is the truth now.
func (b *Batch) resumed(p *Pan, shift scale.Mass) []Event {
	events := []Event{b.restarted(p, shift)}
	n := net(b, p) - shift
	if b.Phase != PhaseDecide || (n-b.PastNet).Abs() <= b.Division {
		return events
	}
	amount := n - b.others()
	if b.lineOf(b.Current, amount) == LinePast {
		return append(events, WentPast{Component: b.Current, Amount: amount, Net: n})
	}
	return append(events, WentBack{Component: b.Current})
}

// restarted goes on. If the scale had forgotten its tare the cup moves into
// the reference.
func (b *Batch) restarted(p *Pan, shift scale.Mass) Restarted {
	p.low = false
	e := Restarted{Shift: shift}
	if forgot(b, p.Mode) {
		e.Shift += b.Cup
	}
	if p.Mode != b.Mode {
		e.Mode = p.Mode
	}
	return e
}
