package mix

import "gramcup/scale"

// The ease-off cue looks ahead by the lag of the scale and the reaction of the
// hand, both learned (Pan.leadS). Easing begins some time before that, so that
// there is time to follow, whatever the scale.
const (
	easeS = 1.2
	// easeShare is the last part of a pour in which to go slowly whatever the
	// flow: the last twentieth.
	easeShare = 0.05
	// flowNoiseGS is the flow below which nothing is being poured.
	flowNoiseGS = 0.3
)

// Show is what to show of a batch without a new reading: after its events were
// folded, the same weight means something else.
func Show(b *Batch, p *Pan) Live { return live(b, p) }

// live works out what to show now.
func live(b *Batch, p *Pan) Live {
	l := Live{At: p.readAt, Seq: b.Seq, Valid: p.Valid, Trouble: p.Trouble, Still: p.Still,
		Shown: p.Shown, Line: LineOpen, Cue: CueWait, Manner: p.meter.Manner()}
	l.Manner.Unmarked, l.Manner.Repeats = p.mark.Doubted, p.Repeats
	if !p.Valid {
		return l
	}
	if b.ID == "" || b.State.Ended() || b.Phase == PhaseCup || b.Phase == PhaseTare {
		l.Net = p.Shown
		return l
	}
	l.Net = net(b, p)
	l.FlowGS = p.flowGS()
	if b.Phase == PhaseStir {
		return l
	}
	l.Amount = l.Net - b.others()
	flow, lead := max(l.FlowGS, 0), p.leadS()
	l.Predicted = l.Amount + scale.MassFromGrams(flow*lead)
	target := b.Layers[b.Current].Target
	if target == 0 { // as poured: there is no line yet
		if b.State == StateRunning {
			l.Cue = CuePour
		}
		return l
	}
	l.ToGo = target - l.Amount
	l.Line = b.lineOf(b.Current, l.Amount)
	if b.State == StateRunning && b.Phase == PhasePour {
		l.Cue = b.cue(&l, flow, lead)
	}
	return l
}

// cue tells the hand what to do for the current layer. It aims at the line
// itself, not at the edge of the tolerance: with a lead that is learned, aiming
// short of it leaves half of the pours short, and a dribble takes seconds.
func (b *Batch) cue(l *Live, flow, leadS float64) Cue {
	target := b.Layers[b.Current].Target
	near := target - b.closeBy(b.Current)
	far := l.Amount + scale.MassFromGrams(flow*(leadS+easeS))
	switch {
	case l.Amount >= near:
		return CueStop
	case flow > flowNoiseGS && l.Predicted >= target:
		return CueStop
	case flow > flowNoiseGS && far >= target, l.ToGo.Grams() <= easeShare*target.Grams():
		return CueEase
	}
	return CuePour
}

// closeBy is how near to its line a layer is as good as on it: a quarter of
// the tolerance, at least a division.
func (b *Batch) closeBy(i int) scale.Mass { return max(b.Tolerance(i)/4, b.Division) }
