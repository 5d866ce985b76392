package mix_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// place is a point in the life of a batch, with what must be true after an
// interruption there that changed nothing on the pan.
type place struct {
	name  string
	bring func(t *testing.T) *rig
	phase mix.Phase
	held  bool // it is held already, by a person or because the cup is away
}

// phases brings a 2:1 batch of 300 g to every place where it can stand.
func phases() []place {
	poured := func(g float64, d time.Duration) func(t *testing.T) *rig {
		return func(t *testing.T) *rig {
			r := batch21(t, nil)
			r.pour(grams(g), 8*time.Second)
			r.stand(d)
			return r
		}
	}
	then := func(bring func(t *testing.T) *rig, do func(r *rig)) func(t *testing.T) *rig {
		return func(t *testing.T) *rig { r := bring(t); do(r); return r }
	}
	second := poured(200, 2*time.Second)
	return []place{
		{"waiting for the cup", func(t *testing.T) *rig {
			r := newRig(t)
			require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
			r.stand(time.Second)
			return r
		}, mix.PhaseCup, false},
		{"taring", func(t *testing.T) *rig {
			r := newRig(t)
			require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
			r.load = 10 * scale.Gram
			r.stand(700 * time.Millisecond)
			return r
		}, mix.PhaseTare, false},
		{"before the first drop", func(t *testing.T) *rig { return batch21(t, nil) }, mix.PhasePour, false},
		{"in mid-pour, moving", poured(120, 0), mix.PhasePour, false},
		{"in mid-pour, resting", poured(120, 3*time.Second), mix.PhasePour, false},
		{"between two layers", second, mix.PhasePour, false},
		{"in the second pour", then(second, func(r *rig) { r.pour(60*scale.Gram, 3*time.Second) }), mix.PhasePour, false},
		{"first past its line", poured(215, 2*time.Second), mix.PhaseDecide, false},
		{"second past its line", then(second, func(r *rig) {
			r.pour(115*scale.Gram, 5*time.Second)
			r.stand(2 * time.Second)
		}), mix.PhaseDecide, false},
		{"topping up", then(second, func(r *rig) {
			r.pour(115*scale.Gram, 5*time.Second)
			r.stand(2 * time.Second)
			require.Nil(r.t, r.press(mix.VerbLevelUp).Refused)
			r.pour(10*scale.Gram, 2*time.Second)
		}), mix.PhasePour, false},
		{"stirring", then(second, func(r *rig) {
			r.pour(100*scale.Gram, 5*time.Second)
			r.stand(2 * time.Second)
		}), mix.PhaseStir, false},
		{"held by a person", then(second, func(r *rig) { require.Nil(r.t, r.press(mix.VerbHold).Refused) }), mix.PhasePour, true},
		{"cup in the hand", then(second, func(r *rig) {
			r.load = 0
			r.stand(time.Second)
			r.load = 210 * scale.Gram // on its way back
		}), mix.PhasePour, true},
	}
}

func TestPlaces(t *testing.T) {
	for _, at := range phases() {
		r := at.bring(t)
		require.Equal(t, at.phase, r.b.Phase, at.name)
		require.Equal(t, at.held, r.b.State == mix.StateHeld, at.name)
	}
}

// content is what has been accepted, layer by layer; an interruption takes
// nothing of it away.
func requireSameContent(t *testing.T, before, after *mix.Batch) {
	require.Equal(t, before.Layers, after.Layers)
	require.Equal(t, before.Plan, after.Plan)
	require.Equal(t, before.Current, after.Current)
}

// TestPowerCutAnywhere: the daemon is killed in every place; with the pan
// unchanged the batch goes on where it was, and the pour ends on the line.
func TestPowerCutAnywhere(t *testing.T) {
	for _, at := range phases() {
		t.Run(at.name, func(t *testing.T) {
			r := at.bring(t)
			before := r.b
			r.powerCut()
			requireSameContent(t, &before, &r.b)
			inHand := at.phase == mix.PhasePour || at.phase == mix.PhaseDecide
			require.Equal(t, inHand, r.b.State == mix.StateHeld)
			if inHand && !at.held {
				require.Equal(t, mix.HoldPowerCut, r.b.Hold)
			}
			seq := r.b.Seq
			r.reading(false)
			require.Equal(t, seq, r.b.Seq, "a single reading decides nothing")
			finish(t, r, 0)
		})
	}
}

// TestPowerCutTwice: and again before anything was weighed.
func TestPowerCutTwice(t *testing.T) {
	for _, at := range phases() {
		t.Run(at.name, func(t *testing.T) {
			r := at.bring(t)
			before := r.b
			r.powerCut()
			seq := r.b.Seq
			r.powerCut()
			require.Equal(t, seq, r.b.Seq, "a hold is not held again")
			requireSameContent(t, &before, &r.b)
			finish(t, r, 0)
		})
	}
}

// TestScaleLostAnywhere: unplugged in every place and plugged in again, with
// and without its own power, with a scale that tells net from gross and one
// that does not.
func TestScaleLostAnywhere(t *testing.T) {
	for _, at := range phases() {
		for _, forgets := range []bool{false, true} {
			name := at.name
			if forgets {
				name += ", tare forgotten"
			}
			t.Run(name, func(t *testing.T) {
				r := at.bring(t)
				before := r.b
				r.lost()
				require.False(t, r.live.Valid)
				require.Equal(t, mix.TroubleLost, r.live.Trouble)
				requireSameContent(t, &before, &r.b)
				if forgets {
					r.forget()
				}
				r.found()
				finish(t, r, 0)
			})
		}
	}
}

// TestCupLiftedAnywhere: lifted and put back in every place, seen moving or, by
// a scale that seldom sends, as a jump from one still weight to another.
func TestCupLiftedAnywhere(t *testing.T) {
	for _, at := range phases() {
		if at.phase == mix.PhaseCup || at.phase == mix.PhaseTare || at.phase == mix.PhaseStir {
			continue // no cup, no reference, or the sign that it is done
		}
		for _, jumps := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, jumps %v", at.name, jumps), func(t *testing.T) {
				r := at.bring(t)
				before, load := r.b, r.load
				r.load = 0
				r.reading(!jumps)
				r.stand(2 * time.Second)
				require.Equal(t, mix.StateHeld, r.b.State)
				requireSameContent(t, &before, &r.b)
				r.load = load
				finish(t, r, 0)
			})
		}
	}
}

// TestAnotherWeightAnywhere: 25 g more come back than went. Where a pour was
// going on unseen that can be the pour; after a lift it is asked about.
func TestAnotherWeightAnywhere(t *testing.T) {
	for _, at := range phases() {
		if at.phase != mix.PhasePour && at.phase != mix.PhaseDecide || at.name == "held by a person" {
			continue
		}
		t.Run(at.name, func(t *testing.T) {
			r := at.bring(t)
			before, load := r.b, r.load
			r.load = 0
			r.reading(true)
			r.stand(2 * time.Second)
			r.load = load + 25*scale.Gram
			r.reading(true)
			r.stand(2 * time.Second)
			require.Equal(t, mix.HoldOtherWeight, r.b.Hold)
			require.Equal(t, 25*scale.Gram, r.b.BackNet-r.b.HeldTop)
			require.Equal(t, "25.0 g is not paint: it is counted for nothing.", mix.Choices(&r.b)[0].Consequences[0])
			requireSameContent(t, &before, &r.b)
			require.Nil(t, r.press(mix.VerbLeaveOut).Refused)
			finish(t, r, 25*scale.Gram)
		})
	}
}

// TestCupIsNotCountedAsPaint: a scale that does not tell net from gross comes
// back from a power loss. It may show the cup on top of the paint, so what it
// shows more is asked about, and left out it is not counted.
func TestCupIsNotCountedAsPaint(t *testing.T) {
	r := batch21(t, func(r *rig) { r.marked = false })
	r.pour(120*scale.Gram, 5*time.Second)
	r.stand(3 * time.Second)
	r.lost()
	r.forget()
	r.found()
	r.stand(3 * time.Second)
	require.Equal(t, mix.HoldOtherWeight, r.b.Hold)
	require.Equal(t, 130*scale.Gram, r.b.BackNet)
	require.Nil(t, r.press(mix.VerbLeaveOut).Refused)
	r.pour(80*scale.Gram, 5*time.Second)
	r.stand(2 * time.Second)
	require.Equal(t, 200*scale.Gram, r.b.Layers[0].Poured)
	require.Equal(t, 210*scale.Gram, r.load)

	// The same with a scale that tells, but a cup that it was tared with by
	// hand, so that its weight is not known.
	s := newRig(t)
	s.load, s.zero, s.mode = 10*scale.Gram, 10*scale.Gram, scale.ModeNet
	require.Nil(t, s.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
	s.stand(time.Second)
	require.Nil(t, s.press(mix.VerbCupOn).Refused)
	s.pour(120*scale.Gram, 5*time.Second)
	s.stand(3 * time.Second)
	s.forget() // and nobody noticed a loss
	s.stand(3 * time.Second)
	require.Equal(t, mix.HoldOtherWeight, s.b.Hold)
	require.Equal(t, 120*scale.Gram, s.b.HeldNet)
	require.Equal(t, 130*scale.Gram, s.b.BackNet)
}

// finish answers what is asked and pours what is missing; every batch must end
// complete, with the book telling what the cup holds but for what is not paint.
func finish(t *testing.T, r *rig, notPaint scale.Mass) {
	h := &pourer{rig: r, fastGS: 20}
	for range 40 {
		r.stand(2 * time.Second)
		switch {
		case r.b.State.Ended():
			t.Fatalf("the batch ended by itself: %v", r.kinds())
		case r.b.State == mix.StateHeld && r.b.Hold == mix.HoldPerson:
			require.Nil(t, r.press(mix.VerbRestart).Refused)
		case r.b.State == mix.StateHeld:
			t.Fatalf("held for %s though nothing has changed: %v", r.b.Hold, r.kinds())
		case r.b.Phase == mix.PhaseCup:
			r.load = 10 * scale.Gram
		case r.b.Phase == mix.PhasePour, r.b.Phase == mix.PhaseDecide:
			h.follow()
		case r.b.Phase == mix.PhaseStir:
			require.True(t, r.b.OnTheLine())
			require.InDelta(t, (r.load - 10*scale.Gram - notPaint).Grams(), r.b.Content().Grams(), 2*division.Grams())
			require.Nil(t, r.press(mix.VerbStirred).Refused)
			require.Equal(t, mix.StateComplete, r.b.State)
			return
		}
	}
	t.Fatalf("stuck in %s/%s: %v", r.b.State, r.b.Phase, r.kinds())
}

// TestNewBatchForgetsTheOldCup: the last cup was lifted full; a hold right
// after the next one was tared knows nothing of it.
func TestNewBatchForgetsTheOldCup(t *testing.T) {
	r := batch21(t, nil)
	h := &pourer{rig: r, fastGS: 20}
	h.follow()
	r.load = 0
	r.reading(true)
	r.stand(time.Second)
	require.Equal(t, mix.StateComplete, r.b.State)
	r.forget()
	require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
	r.load = 10 * scale.Gram
	for r.b.Phase != mix.PhasePour {
		r.reading(false)
	}
	require.Nil(t, r.press(mix.VerbHold).Refused)
	require.Equal(t, mix.HeldUp{Reason: mix.HoldPerson}, r.last())
}

// TestStopBeforeTheTareBooksNoPaint: the weight on the scale is the cup.
func TestStopBeforeTheTareBooksNoPaint(t *testing.T) {
	for _, at := range phases()[:2] {
		r := at.bring(t)
		r.load = 10 * scale.Gram
		r.reading(false)
		require.Nil(t, r.press(mix.VerbStop).Refused)
		require.Equal(t, mix.StoppedEarly{}, r.last(), at.name)
	}
}
