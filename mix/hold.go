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
	case backAbsent:
		// The cup is off, or the scale came back with a new zero under it:
		// then somebody must be told how to go on.
		if b.away() && b.Hold != HoldOtherWeight && p.stillFor() >= stillAbsent {
			return []Event{CameBack{Net: n}}
		}
	}
	return nil
}

// away reports that the scale or the daemon was gone, and not the cup.
func (b *Batch) away() bool { return b.HeldFrom == HoldScaleLost || b.HeldFrom == HoldPowerCut }

// newZero reports that what came back is less than an empty cup, or, after the
// scale was away, less than was seen in it: liquid does not vanish, so if the
// cup is on, the scale has taken a new zero with it there.
func (b *Batch) newZero() bool {
	slack := 2 * b.Division
	less := b.BackNet < -max(slack, b.Cup/2) || b.away() && b.BackNet < b.HeldNet-slack
	return b.Hold == HoldOtherWeight && less
}

// whatCameBack compares a still content with the one that is expected. A cup
// that was lifted must weigh the same within two divisions. While the scale or
// the daemon was away the pour may have gone on, so there more is believed too
// as long as it could be the layer in hand and can not be the cup.
func (b *Batch) whatCameBack(p *Pan, n scale.Mass) back {
	slack := 2 * b.Division
	low, high := b.HeldNet-slack, b.HeldTop+slack
	if b.away() && !(tareInDoubt(b, p.Mode) && n >= b.HeldNet+b.Cup-slack) && !b.faint(p, n) {
		if target := b.Layers[b.Current].Target; target > 0 {
			high = max(high, b.others()+target+b.Tolerance(b.Current))
		} else {
			high = max(high, n) // poured by eye: there is no line to exceed
		}
	}
	switch {
	case b.faint(p, n):
		return backOther
	case n >= low && n <= high:
		return backSame
	case n < -max(slack, b.Cup/2):
		return backAbsent
	}
	return backOther
}

// faint reports that a scale which forgot its tare shows some content, but so
// little was known of it that a new zero taken with the cup on could show the
// same: then it is not believed without a word.
func (b *Batch) faint(p *Pan, n scale.Mass) bool {
	slack := 2 * b.Division
	return b.away() && forgot(b, p.Mode) && b.HeldNet <= b.Cup+slack && (n-b.HeldNet).Abs() > slack && n >= -slack
}

// expected is the content that may have gone away and is nearest to n: what is
// beyond it is the difference that a person is asked about. Liquid does not
// vanish, so for less than was there it is the most that was seen.
func (b *Batch) expected(n scale.Mass) scale.Mass {
	if n < b.HeldNet {
		return b.HeldTop
	}
	return min(n, b.HeldTop)
}

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
