package mix_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// batch21 is a batch of 200 g and 100 g on which the cup was just tared.
func batch21(t *testing.T, set func(r *rig)) *rig {
	r := newRig(t)
	if set != nil {
		set(r)
	}
	require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
	r.cupOn(10 * scale.Gram)
	return r
}

// TestNothingIsJudgedBeforeAStableZero: after the tare command the scale shows
// the old weight for a while, then a moving one, then zero.
func TestNothingIsJudgedBeforeAStableZero(t *testing.T) {
	for _, flags := range []bool{true, false} {
		t.Run(fmt.Sprintf("flags %v", flags), func(t *testing.T) {
			r := newRig(t)
			r.flags, r.deaf = flags, true // the tare takes its time: done by hand below
			require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
			r.load = 10 * scale.Gram
			for r.b.Phase == mix.PhaseCup {
				r.reading(false)
			}
			require.Equal(t, mix.PhaseTare, r.b.Phase)
			seq := r.b.Seq
			r.stand(time.Second) // the old weight, standing still
			require.Equal(t, seq, r.b.Seq, "the cup is not a zero")
			r.zero, r.mode = 6*scale.Gram, scale.ModeNet
			r.reading(true)
			r.reading(true)
			r.zero = r.load
			r.reading(true)
			r.stand(400 * time.Millisecond)
			require.Equal(t, seq, r.b.Seq, "a zero of less than half a second is none")
			require.NotNil(t, r.press(mix.VerbKeep).Refused)
			r.stand(2 * time.Second)
			require.Equal(t, mix.Zeroed{Mode: scale.ModeNet}, r.last())
			require.Equal(t, mix.PhasePour, r.b.Phase)
		})
	}
}

// TestStillnessIsTimeNotReadings: the same pour seen twice a second, fifty
// times a second and in between is the same batch.
func TestStillnessIsTimeNotReadings(t *testing.T) {
	for _, flags := range []bool{true, false} {
		for _, every := range []time.Duration{500, 200, 100, 40, 20} {
			t.Run(fmt.Sprintf("flags %v, every %d ms", flags, every), func(t *testing.T) {
				r := batch21(t, func(r *rig) { r.flags, r.every = flags, every*time.Millisecond })
				r.pour(150*scale.Gram, 6*time.Second)
				r.stand(time.Second) // a pause in mid-pour
				r.pour(50*scale.Gram, 4*time.Second)
				require.NotContains(t, r.kinds(), "accepted")
				r.stand(900 * time.Millisecond)
				require.NotContains(t, r.kinds(), "accepted", "a hand that dribbles pauses for about a second")
				r.stand(3 * time.Second)
				require.Equal(t, mix.Accepted{Component: 0, Amount: 200 * scale.Gram, Line: mix.LineOn}, r.last())
				r.pour(112*scale.Gram, 4*time.Second)
				r.stand(600 * time.Millisecond)
				require.Equal(t, mix.PhasePour, r.b.Phase)
				r.stand(3 * time.Second)
				require.Equal(t, mix.WentPast{Component: 1, Amount: 112 * scale.Gram, Net: 312 * scale.Gram}, r.last())
				require.Nil(t, r.press(mix.VerbKeep).Refused)
				require.Equal(t, []scale.Mass{200 * scale.Gram, 112 * scale.Gram}, r.amounts())
				require.Equal(t, mix.PhaseStir, r.b.Phase)
			})
		}
	}
}

// TestLowerPartOfTheToleranceWaitsLonger: short of the line but within its
// tolerance the hand probably means to add a drop.
func TestLowerPartOfTheToleranceWaitsLonger(t *testing.T) {
	r := batch21(t, nil)
	r.pour(197*scale.Gram, 8*time.Second) // ±4 g; below 199 g it waits
	r.stand(3 * time.Second)
	require.NotContains(t, r.kinds(), "accepted")
	r.stand(time.Second)
	require.Equal(t, mix.Accepted{Component: 0, Amount: 197 * scale.Gram, Line: mix.LineOn}, r.last())
}

// TestReadingsThatAreNoWeight: in every phase, what carries no weight changes
// nothing, takes the live number away, and says why.
func TestReadingsThatAreNoWeight(t *testing.T) {
	for _, at := range phases() {
		t.Run(at.name, func(t *testing.T) {
			r := at.bring(t)
			before := r.b
			r.wake = mix.Stamp{}
			for _, reading := range junkReadings() {
				for range 30 {
					r.weighed(reading)
				}
				require.Equal(t, before, r.b, "%+v", reading)
				require.False(t, r.live.Valid)
				require.Equal(t, troubleFor(reading.Status), r.live.Trouble)
				ready := r.press(mix.VerbRestart)
				if before.State == mix.StateHeld && before.Phase != mix.PhaseDone {
					require.Equal(t, mix.RefusedNoScale, ready.Refused.Code)
				}
			}
			r.stand(2 * time.Second)
			require.NoError(t, r.b.Check())
		})
	}
}

// troubleFor is the reason that a person is told for each state of the scale.
func troubleFor(s scale.Status) mix.Trouble {
	want, told := map[scale.Status]mix.Trouble{
		scale.StatusOver: mix.TroubleOver, scale.StatusUnder: mix.TroubleUnder, scale.StatusZeroError: mix.TroubleZero,
		scale.StatusInitialZeroError: mix.TroubleFirstZero, scale.StatusTareError: mix.TroubleTare, scale.StatusCount: mix.TroubleCount,
	}[s]
	if !told {
		return mix.TroubleNoValue
	}
	return want
}

// TestTareThatIsIgnored: the scale answers the command and does nothing; after
// a fair wait the bench subtracts the cup by itself, and says so in the book.
func TestTareThatIsIgnored(t *testing.T) {
	r := newRig(t)
	r.deaf = true
	require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
	r.load = 10 * scale.Gram
	r.stand(3 * time.Second)
	require.Equal(t, mix.PhaseTare, r.b.Phase)
	r.stand(2 * time.Second)
	require.Equal(t, mix.Zeroed{Reference: 10 * scale.Gram, Mode: scale.ModeGross, Software: true}, r.last())
	require.Equal(t, 1, r.tared, "it is asked once, not again and again")
	r.pour(200*scale.Gram, 8*time.Second)
	r.stand(2 * time.Second)
	require.Equal(t, mix.Accepted{Component: 0, Amount: 200 * scale.Gram, Line: mix.LineOn}, r.last())
}

// TestCupThatWasTaredByHand: the scale shows zero with the cup on it, whose
// weight nobody knows; a person says so.
func TestCupThatWasTaredByHand(t *testing.T) {
	r := newRig(t)
	r.load, r.zero, r.mode = 10*scale.Gram, 10*scale.Gram, scale.ModeNet
	require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
	r.stand(5 * time.Second)
	require.Equal(t, mix.PhaseCup, r.b.Phase, "zero is no cup")
	require.Nil(t, r.press(mix.VerbCupOn).Refused)
	require.Equal(t, []string{"started", "cup-placed", "zeroed"}, r.kinds())
	require.Zero(t, r.tared)
	r.pour(200*scale.Gram, 8*time.Second)
	r.stand(2 * time.Second)
	require.Equal(t, []scale.Mass{200 * scale.Gram, 0}, r.amounts())
}

// TestSilenceIsNoStillness: a scale that sends only changes is looked at again
// by the timer, but one that has fallen silent is not believed.
func TestSilenceIsNoStillness(t *testing.T) {
	r := batch21(t, nil)
	r.pour(200*scale.Gram, 8*time.Second)
	ready := r.reading(false)
	require.NotZero(t, ready.WakeAt)
	woke := func(after time.Duration) {
		r.at = r.at.Add(after)
		r.input(&mix.Woke{At: r.at})
	}
	woke(time.Second)
	require.NotContains(t, r.kinds(), "accepted")
	woke(500 * time.Millisecond)
	require.Contains(t, r.kinds(), "accepted", "the only reading stood for 1.5 s")

	s := batch21(t, nil)
	s.pour(200*scale.Gram, 8*time.Second)
	s.reading(false)
	s.at = s.at.Add(3 * time.Second)
	s.input(&mix.Woke{At: s.at})
	require.NotContains(t, s.kinds(), "accepted", "three seconds without a reading")
}

// TestKnockIsNoLift: a short dip does not hold the batch, a longer one does.
func TestKnockIsNoLift(t *testing.T) {
	r := batch21(t, nil)
	r.pour(200*scale.Gram, 8*time.Second)
	r.stand(2 * time.Second)
	load := r.load
	for range 20 {
		r.load = 0
		r.reading(true)
		r.reading(true)
		r.load = load + 90*scale.Gram
		r.reading(true)
		r.load = load
		r.reading(true)
	}
	require.Equal(t, mix.StateRunning, r.b.State)
	r.load = 0
	r.stand(600 * time.Millisecond)
	require.Equal(t, mix.HoldCupLifted, r.b.Hold)
	assert.Equal(t, 200*scale.Gram, r.b.HeldNet)
}

// TestCupLiftedBeforeItsZero: a scale that can not be asked for a tare shows
// zero because the cup was lifted again; an empty pan is no empty cup.
func TestCupLiftedBeforeItsZero(t *testing.T) {
	r := newRig(t)
	r.mute = true
	require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
	r.load = 10 * scale.Gram
	for r.b.Phase == mix.PhaseCup {
		r.reading(false)
	}
	for _, wrong := range []scale.Mass{0, 140 * scale.Gram, 0} {
		r.load = wrong
		r.reading(true)
		r.stand(5 * time.Second)
		require.Equal(t, mix.CupPlaced{Cup: 10 * scale.Gram}, r.last(), "%v is not the cup", wrong)
	}
	r.load = 10 * scale.Gram
	r.reading(true)
	r.stand(time.Second)
	require.Equal(t, mix.Zeroed{Reference: 10 * scale.Gram, Mode: scale.ModeGross, Software: true}, r.last())
}
