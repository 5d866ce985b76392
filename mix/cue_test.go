package mix_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// TestCues follows an even pour of 200 g at several flows. Easing begins while
// there is time to follow, stop comes early by what still runs, and neither is
// ever taken back while the pour goes on.
func TestCues(t *testing.T) {
	for _, gs := range []float64{2, 5, 10, 25, 50} {
		r := batch21(t, func(r *rig) { r.every = 50 * time.Millisecond })
		rank := map[mix.Cue]int{mix.CuePour: 0, mix.CueEase: 1, mix.CueStop: 2}
		first := map[mix.Cue]scale.Mass{}
		worst := 0
		for r.live.Line != mix.LinePast {
			r.load += grams(gs * r.every.Seconds())
			r.reading(true)
			cue := r.live.Cue
			require.GreaterOrEqual(t, rank[cue], worst, "%v g/s: %s at %v", gs, cue, r.live.Amount)
			worst = rank[cue]
			if _, ok := first[cue]; !ok {
				first[cue] = r.live.Amount
			}
			if r.live.Amount.Grams() > gs {
				require.InEpsilon(t, gs, r.live.FlowGS, 0.15, "the flow is known after a second")
			}
		}
		// A scale lag and a hand's reaction of 0.3 s each, common practice, no
		// source: what runs in 0.6 s is in the cup before the hand has stopped.
		stop, ease := 200-first[mix.CueStop].Grams(), 200-first[mix.CueEase].Grams()
		require.InDelta(t, max(0.6*gs, 1), stop, max(0.5, 0.1*gs), "%v g/s: stop so that the pour ends on the line, or a quarter of the tolerance before it", gs)
		require.InDelta(t, max(3*0.6*gs, 10), ease, max(0.5, 0.25*gs), "%v g/s: ease", gs)
	}
}

// TestCueWaits: nothing is to be poured while the batch waits.
func TestCueWaits(t *testing.T) {
	for _, at := range phases() {
		r := at.bring(t)
		pouring := at.phase == mix.PhasePour && !at.held
		require.Equal(t, pouring, r.live.Cue != mix.CueWait, at.name)
	}
}
