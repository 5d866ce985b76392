package mix_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/mix"
	"gramcup/scale"
)

// pourer is a hand that does what the page says and nothing else: pours, eases
// off, stops, and answers a pour that ran past its line with level up.
type pourer struct {
	*rig
	fastGS float64                       // grams a second when told to pour
	slips  int                           // how many pours will still run too far
	slip   float64                       // by which share of the line, at least so that it is seen
	in     [mix.MaxComponents]scale.Mass // what really went in of each
}

// follow goes on until the batch is to be stirred.
func (h *pourer) follow() {
	for ticks := 0; h.b.Phase != mix.PhaseStir; ticks++ {
		require.Less(h.t, ticks, 60_000, "the batch never ends: %s", h.b.Phase)
		switch h.b.Phase {
		case mix.PhaseDecide:
			h.stand(time.Second)
			require.Nil(h.t, h.press(mix.VerbLevelUp).Refused)
		case mix.PhasePour:
			h.tick()
		default:
			h.reading(false)
		}
	}
}

// tick pours for one reading at the flow that the cue of the last one asks for.
func (h *pourer) tick() {
	current := h.b.Current
	target := h.b.Layers[current].Target
	flow := 0.0
	switch h.live.Cue {
	case mix.CuePour:
		flow = min(h.fastGS, max(0.5, h.live.ToGo.Grams()/2)) // nobody tips a jug for the last gram
	case mix.CueEase:
		flow = min(h.fastGS, max(0.5, h.live.ToGo.Grams()/4))
	}
	add := grams(flow * h.every.Seconds())
	if h.slips > 0 && h.live.Cue == mix.CueEase && h.b.Layers[current].Poured == 0 {
		add, h.slips = h.live.ToGo+max(grams(target.Grams()*h.slip), h.b.Tolerance(current)+3*division), h.slips-1
	}
	h.load += add
	h.in[current] += add
	h.reading(add > 0)
}

// TestHonestPourerComesToTheLine: whoever follows the page ends on the line,
// whatever the recipe, with as many slips as may be.
func TestHonestPourerComesToTheLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		recipe, amount := drawRecipe(t), drawAmount(t)
		plan, err := recipe.Plan(amount)
		require.NoError(t, err)
		h := &pourer{rig: newRig(t), fastGS: plan.TotalG / rapid.Float64Range(20, 60).Draw(t, "seconds")}
		h.flags = rapid.Bool().Draw(t, "flags")
		h.marked = rapid.Bool().Draw(t, "marked")
		h.deaf = rapid.Bool().Draw(t, "deaf")
		h.every = rapid.SampledFrom([]time.Duration{50, 100, 200}).Draw(t, "every") * time.Millisecond
		h.slips = rapid.IntRange(0, 3).Draw(t, "slips")
		h.slip = rapid.Float64Range(0.06, 0.5).Draw(t, "slip")
		slips := h.slips
		if h.start(recipe, amount).Refused != nil {
			t.Skip("too little for this scale")
		}
		cup := grams(rapid.Float64Range(5, 60).Draw(t, "cup"))
		h.cupOn(cup)
		h.follow()

		require.True(t, h.b.OnTheLine(), "%v of %v", h.amounts(), h.b.Layers)
		require.Equal(t, slips-h.slips, h.b.LevelUps, "one rescue for each slip, and no other")
		requireTruth(t, h, cup)
		requireRatio(t, recipe, &h.b)

		h.load = 0
		h.stand(time.Second)
		require.Equal(t, mix.StateComplete, h.b.State)
		s := mix.Summarize(&h.b)
		require.True(t, s.OnTheLine)
		require.InDelta(t, h.b.Content().Grams(), s.TotalG, 1e-6)
	})
}

// requireTruth compares the book with what really went into the cup.
func requireTruth(t *rapid.T, h *pourer, cup scale.Mass) {
	require.InDelta(t, (h.load - cup).Grams(), h.b.Content().Grams(), 2*division.Grams(), "the book holds what the cup holds")
	times := 0
	for _, e := range h.events {
		switch e.Event.(type) {
		case mix.Accepted, mix.LeveledUp:
			times++
		}
	}
	for i, l := range h.b.Layers[:h.b.N()] {
		require.InDelta(t, h.in[i].Grams(), l.Poured.Grams(), float64(1+times)*division.Grams(), "component %d", i)
	}
}

// requireRatio works out from the tin's parts alone whether the cup holds the
// ratio: every component stands to the first as printed, within the tolerances
// of both.
func requireRatio(t *rapid.T, r mix.Recipe, b *mix.Batch) {
	unit, err := r.Plan(mix.Amount{Kind: mix.AmountFirst, Grams: 1000})
	require.NoError(t, err)
	share := func(i int) float64 { return b.Layers[i].Poured.Grams() / r.Components[i].Density.GPerML }
	for i := 1; i < b.N(); i++ {
		printed := unit.Targets[i].VolumeML / unit.Targets[0].VolumeML
		if r.Basis == mix.ByVolume && r.Components[i].Percent == 0 {
			printed = r.Components[i].Parts / r.Components[0].Parts
		}
		var room float64
		for _, k := range []int{0, i} {
			room += max(r.Components[k].Tolerance, division.Grams()/b.Layers[k].Target.Grams())
		}
		require.InDelta(t, 1, share(i)/share(0)/printed, 1.1*room+room*room, "component %d to the first", i)
	}
}

// TestPourerAsPoured: the first by eye, the rest follow it.
func TestPourerAsPoured(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		recipe := drawRecipe(t)
		h := &pourer{rig: newRig(t), fastGS: 12}
		require.Nil(t, h.start(recipe, mix.Amount{Kind: mix.AmountAsPoured}).Refused)
		cup := 20 * scale.Gram
		h.cupOn(cup)
		eye := grams(rapid.Float64Range(60, 900).Draw(t, "by eye"))
		require.Equal(t, mix.CuePour, h.live.Cue)
		h.pour(eye, 20*time.Second)
		h.in[0] = eye
		require.NotNil(t, h.press(mix.VerbEnough).Refused, "still moving")
		h.stand(time.Second)
		if ready := h.press(mix.VerbEnough); ready.Refused != nil {
			require.Equal(t, mix.RefusedOrder, ready.Refused.Code)
			t.Skip("too little for this scale")
		}
		require.Equal(t, eye.RoundTo(division), h.b.Layers[0].Poured)
		h.fastGS = h.b.Plan.TotalG / 40
		h.follow()
		require.True(t, h.b.OnTheLine())
		requireTruth(t, h, cup)
		requireRatio(t, recipe, &h.b)
	})
}

// TestPourerReadsTheClock: a straight pour takes no longer than the pours and
// the waits that the settling needs.
func TestPourerReadsTheClock(t *testing.T) {
	h := &pourer{rig: newRig(t), fastGS: 15}
	require.Nil(t, h.start(recipeOf(t, "4:1:1", "1.42,1.06,0.87"), volume(600)).Refused)
	h.cupOn(12 * scale.Gram)
	began := h.at.Mono
	h.follow()
	pouring := 761.0 / 15
	// Easing off over the last twentieth or so and standing still at most 3.5 s
	// for each of three layers.
	require.Less(t, (h.at.Mono - began).Seconds(), pouring+3*16)
	require.False(t, math.IsNaN(h.live.FlowGS))
}
