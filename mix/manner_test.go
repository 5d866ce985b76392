package mix_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// step changes the load as a cup does on a scale that averages for 0.4 s and
// calls a weight still when it has watched it for a second.
func (r *rig) step(to scale.Mass) {
	from := r.load
	for i := range 4 {
		r.load = from + (to-from)*scale.Mass(i+1)/4
		r.reading(true)
	}
	for range 10 {
		r.reading(true)
	}
	r.stand(2 * time.Second)
}

// TestMannerIsMeasuredAndShown: three changes of load and some rest are enough
// to know a scale, and each live number carries it.
func TestMannerIsMeasuredAndShown(t *testing.T) {
	r := newRig(t)
	r.stand(20 * time.Second)
	for _, g := range []float64{120, 0, 80, 0} {
		r.step(grams(g))
	}
	m := r.live.Manner
	assert.Equal(t, 100*time.Millisecond, m.Period)
	assert.Equal(t, 4, m.Steps)
	assert.Equal(t, 1400*time.Millisecond, m.Settle)
	// Readings at 1/4, 2/4, 3/4 each held for 0.1 s: 0.15 s, and half a period.
	assert.InDelta(t, 0.2, m.Lag.Seconds(), 0.001)
	assert.Zero(t, m.Noise)
	assert.GreaterOrEqual(t, m.Stills, 5)
	assert.Equal(t, m, mix.Show(&r.b, &r.p).Manner)
}

// TestAnotherScaleIsAnotherManner: the same scale found again keeps what is
// known of it, another one does not.
func TestAnotherScaleIsAnotherManner(t *testing.T) {
	r := newRig(t)
	r.found()
	r.stand(time.Second)
	r.step(100 * scale.Gram)
	r.lost()
	r.found()
	r.reading(false)
	require.Equal(t, 1, r.live.Manner.Steps)
	r.lost()
	r.input(&mix.ScaleFound{At: r.at, Identity: "another scale"})
	r.reading(false)
	require.Zero(t, r.live.Manner.Steps)
	require.Zero(t, r.live.Manner.Period)
}

// TestTareIsNoStep: the display goes to zero at once because it was told to.
func TestTareIsNoStep(t *testing.T) {
	for _, marked := range []bool{true, false} {
		for _, flags := range []bool{true, false} {
			r := newRig(t)
			r.marked, r.flags = marked, flags
			r.stand(2 * time.Second)
			r.step(100 * scale.Gram)
			known := r.live.Manner.Steps
			require.Equal(t, 1, known)
			r.zero, r.mode = r.load, scale.ModeNet
			r.stand(3 * time.Second)
			require.Equal(t, known, r.live.Manner.Steps, "marked %v, flags %v", marked, flags)
		}
	}
}

// TestWhatTheScaleWatchedIsNotWaitedForAgain: a hand that dribbles pauses for
// about a second. A scale that takes its second before it calls a weight still
// has waited for that already; one whose mark comes at once has not.
func TestWhatTheScaleWatchedIsNotWaitedForAgain(t *testing.T) {
	dwell := func(known bool, target float64) time.Duration {
		r := newRig(t)
		if known {
			for _, g := range []float64{120, 0, 80, 0} {
				r.step(grams(g))
			}
		}
		require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
		r.cupOn(10 * scale.Gram)
		r.pour(grams(target), 8*time.Second)
		for range 10 {
			r.reading(true)
		}
		began := r.at.Mono
		for r.b.Layers[0].Poured == 0 && r.b.Phase == mix.PhasePour {
			require.Less(t, r.at.Mono-began, 10*time.Second)
			r.reading(false)
		}
		return r.at.Mono - began
	}
	for _, row := range []struct {
		name          string
		grams         float64
		first, learnt time.Duration // from the first still reading, which is 0.1 s in
	}{
		{"on the line", 200, 1400 * time.Millisecond, 500 * time.Millisecond},
		{"in its lower part", 197, 3600 * time.Millisecond, 2600 * time.Millisecond},
		{"past it", 210, 1000 * time.Millisecond, 500 * time.Millisecond},
	} {
		assert.Equal(t, row.first, dwell(false, row.grams), row.name)
		// 1.4 s of settling less twice the lag of 0.2 s: a second was watched.
		assert.Equal(t, row.learnt, dwell(true, row.grams), row.name)
	}
}

// TestReactionIsLearned: a hand that is slower than the first values pours too
// much until it is known, then it ends on the line; one slip changes nothing.
func TestReactionIsLearned(t *testing.T) {
	const flowGS = 10.0
	r := newRig(t)
	pour := func(goesOn time.Duration) (error_ float64) {
		require.Nil(t, r.start(recipeOf(t, "1:1", "1.0,1.0"), mass(400)).Refused)
		r.cupOn(20 * scale.Gram)
		for r.live.Cue != mix.CueStop {
			r.pour(grams(flowGS/10), 100*time.Millisecond)
		}
		r.pour(grams(flowGS*goesOn.Seconds()), goesOn)
		r.stand(500 * time.Millisecond)
		error_ = (r.load - 220*scale.Gram).Grams()
		require.Nil(t, r.press(mix.VerbStop).Refused)
		r.zero, r.mode, r.load = 0, scale.ModeGross, 0
		r.stand(2 * time.Second)
		return error_
	}
	slow := 900 * time.Millisecond // 0.3 s of lag, as far as is known, and 0.6 s of reaction
	for range 3 {
		assert.InDelta(t, 3, pour(slow), 1, "0.3 s too much at 10 g/s")
	}
	s, n := r.p.Reaction()
	require.Equal(t, 3, n)
	assert.InDelta(t, 0.6, s, 0.06)
	assert.InDelta(t, 0, pour(slow), 1)
	for range 2 {
		pour(1900 * time.Millisecond) // somebody spoke to him
	}
	s, _ = r.p.Reaction()
	assert.InDelta(t, 0.6, s, 0.06, "two slips of six")
	assert.InDelta(t, 0, pour(slow), 1)
	for range 7 {
		pour(0) // who stops before he is told is not followed to the end
	}
	s, _ = r.p.Reaction()
	assert.InDelta(t, 0.05, s, 0.001)
}

// TestNoLuckOnANoisyScale: the mean lies one and a half divisions outside of the tolerance, and
// only single readings are on the line. Nothing is taken as long as that is so,
// and the bench takes what it says once the load really is on the line.
func TestNoLuckOnANoisyScale(t *testing.T) {
	for _, flags := range []bool{true, false} {
		for seed := range uint64(10) {
			r := newRig(t)
			r.flags = flags
			require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
			r.cupOn(10 * scale.Gram)
			r.pour(100*scale.Gram, 5*time.Second)
			rng := rand.New(rand.NewPCG(seed, 1))
			trembles := func(around scale.Mass, d time.Duration, until func() bool) {
				for end := r.at.Mono + d; r.at.Mono < end && !until(); {
					r.load = around + grams(rng.NormFloat64()*division.Grams())
					r.reading(false)
				}
				r.load = around
			}
			trembles(r.load, 40*time.Second, func() bool { return false })
			require.GreaterOrEqual(t, r.live.Manner.Noise, 8*division/10)
			require.LessOrEqual(t, r.live.Manner.Noise, 13*division/10)

			below := 206*scale.Gram - 3*division/2 // ±4 g: on the line from 206 g in the cup of 10 g
			r.pour(below-r.load, 5*time.Second)
			trembles(below, 60*time.Second, func() bool { return false })
			require.NotContains(t, r.kinds(), "accepted", "seed %d, flags %v", seed, flags)
			r.pour(210*scale.Gram-r.load, 2*time.Second)
			trembles(210*scale.Gram, 30*time.Second, func() bool { return r.b.Current == 1 })
			require.Equal(t, 1, r.b.Current, "seed %d, flags %v: and it does not wait for ever", seed, flags)
			require.InDelta(t, 200, r.b.Layers[0].Poured.Grams(), 1.2*division.Grams())
		}
	}
}

// TestTareThatDidNotQuiteHit: a tare taken while the cup swings leaves a weight
// near zero, a division or two above or clearly below. It is an empty cup all the
// same, and it becomes the reference; a pan without the cup does not.
func TestTareThatDidNotQuiteHit(t *testing.T) {
	for _, marked := range []bool{true, false} {
		for _, off := range []scale.Mass{2 * division, -3 * division, -19 * division} {
			r := newRig(t)
			r.marked, r.deaf = marked, true // the tare is done by hand below
			require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
			r.load = 10 * scale.Gram
			for r.b.Phase == mix.PhaseCup {
				r.reading(false)
			}
			r.zero, r.mode = r.load-off, scale.ModeNet
			r.stand(5 * time.Second)
			require.Equal(t, mix.PhasePour, r.b.Phase, "%v off, marked %v", off, marked)
			require.Equal(t, off, r.b.Reference)
			require.Zero(t, r.live.Net)
			r.pour(200*scale.Gram, 8*time.Second)
			r.stand(2 * time.Second)
			require.Equal(t, mix.Accepted{Component: 0, Amount: 200 * scale.Gram, Line: mix.LineOn}, r.last())
		}
		r := newRig(t)
		r.marked, r.deaf = marked, true
		require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
		r.load = 10 * scale.Gram
		for r.b.Phase == mix.PhaseCup {
			r.reading(false)
		}
		r.zero, r.mode, r.load = r.load, scale.ModeNet, 0 // tared, and then taken away
		r.stand(10 * time.Second)
		require.Equal(t, mix.PhaseTare, r.b.Phase)
	}
}

// TestUnitLeftOutWhileMoving: such a line guides the hand in the unit of the last
// still weight, and nothing else: neither before one was seen, nor with other
// decimals, nor on another scale.
func TestUnitLeftOutWhileMoving(t *testing.T) {
	r := newRig(t)
	moving := func(g float64) scale.Reading {
		r.load = grams(g)
		out := r.shown(true)
		out.Unit = scale.UnitNone
		return out
	}
	r.weighed(moving(5))
	require.False(t, r.live.Valid, "no unit was ever told")
	r.load = 5 * scale.Gram
	r.reading(false)
	r.weighed(moving(6))
	require.True(t, r.live.Valid)
	require.Equal(t, 6*scale.Gram, r.live.Shown)
	require.False(t, r.live.Still)
	finer := moving(7)
	finer.Number.Places++
	r.weighed(finer)
	require.False(t, r.live.Valid, "one decimal more: it may be kilograms")
	still := moving(7)
	still.Motion = scale.MotionStill
	r.weighed(still)
	require.False(t, r.live.Valid, "what stands still tells its unit")
	r.weighed(moving(8))
	require.True(t, r.live.Valid)
	r.found()
	r.input(&mix.ScaleFound{At: r.at, Identity: "another scale"})
	r.weighed(moving(9))
	require.False(t, r.live.Valid)
}

// TestStoredTareIsPassedOver: a print of several lines has one that says the
// tare. It is no weight and takes none away, but it does not stand for one either.
func TestStoredTareIsPassedOver(t *testing.T) {
	r := batch21(t, nil)
	r.pour(200*scale.Gram, 8*time.Second)
	tare := r.shown(false)
	tare.Mode = scale.ModeTare
	for range 12 {
		r.reading(false)
		r.weighed(tare)
		require.True(t, r.live.Valid)
	}
	require.Equal(t, []scale.Mass{200 * scale.Gram, 0}, r.amounts())
	for range 30 {
		r.weighed(tare)
	}
	require.False(t, r.live.Valid, "three seconds of nothing else")
}

// noisily sends readings that scatter, from a scale that calls itself moving all
// the while.
func (r *rig) noisily(random *rand.Rand, sdD float64, d time.Duration) {
	load := r.load
	for end := r.at.Mono + d; r.at.Mono < end; {
		r.load = load + scale.MassFromGrams(random.NormFloat64()*sdD*division.Grams())
		r.reading(true)
	}
	r.load = load
}

// TestAScaleThatIsNeverStill: its noise is wider than its own band of motion, so
// its mark says moving for ever. After a while the noise is looked at instead, and
// the batch goes its way.
func TestAScaleThatIsNeverStill(t *testing.T) {
	for _, sdD := range []float64{0.2, 0.5, 0.9} {
		random := rand.New(rand.NewPCG(5, 6))
		r := newRig(t)
		r.marked, r.mute = false, true
		r.noisily(random, sdD, 3*time.Second)
		require.False(t, r.live.Manner.Unmarked)
		require.False(t, r.live.Still, "believed so far")
		r.noisily(random, sdD, 20*time.Second)
		require.True(t, r.live.Manner.Unmarked, "noise of %v d: it is said", sdD)
		require.Nil(t, r.start(recipeOf(t, "4:1", "1.2,1.0"), volume(100)).Refused)
		r.load = 100 * scale.Gram
		r.noisily(random, sdD, 20*time.Second)
		require.Equal(t, mix.PhasePour, r.b.Phase, "noise of %v d", sdD)
		target := r.b.Layers[0].Target
		for range 100 { // a pour of ten seconds
			r.load += target / 100
			r.noisily(random, sdD, 100*time.Millisecond)
			require.Zero(t, r.b.Current, "nothing is accepted in mid-pour")
		}
		r.noisily(random, sdD, 10*time.Second)
		require.Equal(t, 1, r.b.Current, "noise of %v d: the layer was accepted", sdD)
	}
}

// TestALongPourIsNoNoise: an honest mark is not doubted by the slowest pour, a
// drop a second.
func TestALongPourIsNoNoise(t *testing.T) {
	for _, gs := range []float64{0.06, 0.1, 0.5, 2} {
		r := newRig(t)
		r.stand(10 * time.Second)
		from := r.load
		for i := range 600 {
			r.load = from + grams(gs*float64(i)/10)
			r.reading(true)
			require.False(t, r.live.Manner.Unmarked, "%v g a second", gs)
		}
	}
}
