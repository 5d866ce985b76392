package mix

import (
	"slices"
	"time"

	"gramcup/scale"
)

// What is made of how the scale and the hand behave. All of it is volatile and
// may change only what is decided now: a batch is folded from its events, and
// those say what was decided.
const (
	// stepsNeeded and pastNeeded are how many changes of load and how many
	// pours must have been seen before what they say replaces the first values,
	// stillsNeeded how many stretches of stillness: ten seconds.
	stepsNeeded  = 3
	pastNeeded   = 3
	stillsNeeded = 5
	pastKept     = 7

	// firstLag and firstReaction are first values, a decent bench scale and an
	// ordinary hand.
	firstLag      = 300 * time.Millisecond
	firstReaction = 300 * time.Millisecond
	// What is measured is believed within what scales (facts of bench scales:
	// averages of a tenth of a second to two) and hands can be.
	lagLeast, lagMost           = 50 * time.Millisecond, time.Second
	reactionLeast, reactionMost = 50 * time.Millisecond, 800 * time.Millisecond

	// dwellLeast is how long a weight stands still at least before it is taken,
	// whatever the scale has seen to by itself.
	dwellLeast = 400 * time.Millisecond

	// noiseBand is how many times its noise a reading at rest may wander: a
	// Gaussian one spans about three in a second or two. It is not followed
	// beyond bandMost divisions, where a slow pour would look like noise.
	noiseBand = 4
	bandMost  = 5
	// luckWindow is the stretch whose mean a noisy weight must agree with.
	luckWindow = 2 * time.Second

	// learnFlowGS is the slowest pour to learn from: below it a step of the
	// display is worth more time than a reaction.
	learnFlowGS = 1.0
	pastMost    = 2 * time.Second // what runs longer after stop is another pour
)

// hand learns how long after the cue to stop liquid still comes: what a layer
// weighed when the cue came and when it came to rest, by the flow at the cue.
type hand struct {
	cued   bool // stop was the last cue
	open   bool // it came in a pour that has not come to rest yet
	layer  int
	amount scale.Mass
	flowGS float64
	past   [pastKept]time.Duration // less the lag of the scale
	n      int                     // ever seen
}

// watchHand looks at what was shown just now. A pour that was cued is followed
// to its rest even if the cue is taken back: a hand that stops at once leaves
// less than was foreseen, and must count like one that is slow.
func (p *Pan) watchHand(b *Batch, l *Live) {
	h := &p.hand
	if b.State != StateRunning || b.Phase != PhasePour || !l.Valid || h.layer != b.Current {
		h.cued, h.open, h.layer = false, false, b.Current
		return
	}
	first := l.Cue == CueStop && !h.cued
	h.cued = l.Cue == CueStop
	switch {
	case h.open && p.Still:
		h.open = false
		after := time.Duration((l.Amount - h.amount).Grams() / h.flowGS * float64(time.Second))
		if after >= 0 && after <= pastMost {
			h.past[h.n%pastKept] = after - p.lag()
			h.n++
		}
	case first && !h.open && !p.Still:
		h.open = l.FlowGS >= learnFlowGS && l.Predicted-l.Amount >= b.Division
		h.amount, h.flowGS = l.Amount, l.FlowGS
	}
}

// reaction is how long the hand goes on after the cue, the middle one of the
// last pours: one slip says nothing.
func (h *hand) reaction() time.Duration {
	if h.n < pastNeeded {
		return firstReaction
	}
	n := min(h.n, pastKept)
	sorted := h.past // a copy
	slices.Sort(sorted[:n])
	return min(max(sorted[n/2], reactionLeast), reactionMost)
}

// lag is how far the display runs behind.
func (p *Pan) lag() time.Duration {
	m := p.meter.Manner()
	if m.Steps < stepsNeeded || m.Lag == 0 {
		return firstLag
	}
	return min(max(m.Lag, lagLeast), lagMost)
}

// leadS is how many seconds of flow are still to come at any moment of a pour:
// what the display does not show yet and what runs until the hand has stopped.
func (p *Pan) leadS() float64 { return (p.lag() + p.hand.reaction()).Seconds() }

// noisy reports that the scale is known to scatter by more than half a division
// at rest, so that one reading says little.
func (p *Pan) noisy(division scale.Mass) bool {
	m := p.meter.Manner()
	return m.Stills >= stillsNeeded && 2*m.Noise > division
}

// band is how far readings of a load at rest may lie apart: the rule of
// indicators, a division, or more where the noise is known to be more. Without
// that a noisy scale would stand still only by luck.
func (p *Pan) band(division scale.Mass) scale.Mass {
	if !p.noisy(division) {
		return division
	}
	return min(max(division, noiseBand*p.meter.Manner().Noise), bandMost*division)
}

// window is how long readings must stay within the band to be called still.
// In the wider band of a noisy scale a slow pour could hide, so it is watched
// twice as long.
func (p *Pan) window(division scale.Mass) time.Duration {
	if p.noisy(division) {
		return 2 * stillWindow
	}
	return stillWindow
}

// dwell is how long a weight must stand still to be taken. The times in step.go
// count from the moment at which nothing moves. Most scales call a weight still
// only when they have watched it for a second by themselves, and so does the
// pan where the scale says nothing: what Settle is longer than the averaging
// (twice the lag) has passed already by then and is not waited for again. A
// noisy scale gets no such credit: it may have called a lucky moment still.
func (p *Pan) dwell(base time.Duration, division scale.Mass) time.Duration {
	m := p.meter.Manner()
	if m.Steps < stepsNeeded || p.noisy(division) {
		return base
	}
	watched := max(m.Settle-2*p.lag(), 0)
	return max(base-watched, dwellLeast, 2*m.Period)
}

// lucky reports that a noisy scale shows another weight than the step nearest to
// its mean over the last while: it may be on the line for a moment only.
func (p *Pan) lucky(division scale.Mass) bool {
	if !p.noisy(division) {
		return false
	}
	now, sum, n := p.At.Mono, scale.Mass(0), scale.Mass(0)
	for i := p.n - 1; i >= 0; i-- {
		s := p.slot(i)
		sum, n = sum+s.last-p.Shown, n+1
		if now-s.at >= luckWindow {
			return (sum / n).Abs() > division/2
		}
	}
	return true // too little was seen
}
