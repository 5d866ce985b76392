package measure_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/mix/coating"
	"gramcup/mix/measure"
	"gramcup/scale"
)

// t0 is when a walk of these tests began, by the clock on the wall.
func t0() time.Time { return time.UnixMilli(1_700_000_000_000) }

// cut breaks the walk off, as a power cut does, and brings it back from what was
// kept; the time of the new run begins anew.
func (b *bench) cut(pause time.Duration) measure.Kept {
	kept := b.walk.Keep(t0())
	body, err := json.Marshal(kept)
	require.NoError(b.t, err)
	var back measure.Kept
	require.NoError(b.t, json.Unmarshal(body, &back))
	b.at += pause
	b.walk, err = measure.Restore(back, t0())
	require.NoError(b.t, err)
	return back
}

// goOn shows an empty pan and presses.
func (b *bench) goOn(panG float64) {
	b.shows(panG)
	require.NoError(b.t, b.walk.GoOn(b.at), "%s", b.walk.PanTrouble(b.at))
}

// Broken off in each of its steps a density comes out as it would have, also
// where the scale has another zero afterwards.
func TestADensityIsGoneOnWithFromEachStep(t *testing.T) {
	steps := []struct {
		grams []float64
		at    measure.Step
		far   string
		next  string
	}{
		{[]float64{0}, measure.StepCup, "Nothing was weighed yet.", "It goes on with the empty, dry cup."},
		{[]float64{42}, measure.StepWater, "Noted: the empty cup, 42.0 g.", "It goes on with water to the mark."},
		{[]float64{141.8}, measure.StepWater, "Noted: the empty cup, 42.0 g.", "It goes on with water to the mark. 99.8 g stood in it and had not been taken: the load may be another now, so put it back as it is, to be weighed again."},
		{[]float64{141.8, 0}, measure.StepDry, "Noted: the empty cup, 42.0 g; 99.8 g of water to the mark.", "It goes on with the cup, emptied and dried."},
		{[]float64{42}, measure.StepPaint, "Noted: the empty cup, 42.0 g; 99.8 g of water to the mark; the cup dried.", "It goes on with Quay hardener to the mark."},
		{[]float64{148}, measure.StepPaint, "Noted: the empty cup, 42.0 g; 99.8 g of water to the mark; the cup dried.", "It goes on with Quay hardener to the mark. 106.0 g stood in it and had not been taken: the load may be another now, so put it back as it is, to be weighed again."},
	}
	for _, drift := range []float64{0, 0.7, -30} {
		b := begin(t, setup())
		shift := 0.0
		for _, s := range steps {
			for _, g := range s.grams {
				b.shows(g + shift)
			}
			b.at1(s.at)
			kept := b.cut(5 * time.Minute)
			assert.Equal(t, s.far, kept.Far())
			assert.Equal(t, s.next, kept.Next())
			b.shows(148 + shift)
			assert.Error(t, b.walk.GoOn(b.at), "a full pan is no empty one")
			b.at1(s.at)
			shift = drift
			b.goOn(shift)
			b.at1(s.at)
		}
		b.shows(148+shift, shift)
		b.at1(measure.StepDone)
		want, _ := b.walk.Result()
		kept := b.cut(time.Hour)
		assert.Equal(t, "It is measured.", kept.Far())
		r, ok := b.walk.Result()
		require.True(t, ok, "a finished one is as it was")
		assert.Equal(t, want, r)
		assert.InDelta(t, 106.0/(99.8/0.9982067), r.GML, 1e-4)
		assert.InDelta(t, r.GML*0.01204, r.Uncertainty, 0.0003)
		assert.Equal(t, "106 g where water has 99.8 g, at 20 °C", r.AsGiven())
	}
}

// When each mass was noted is kept, over any number of breaks.
func TestTheTimesOfWhatWasNotedAreKept(t *testing.T) {
	b := begin(t, setup())
	b.shows(0, 42, 141.8, 0)
	kept := b.cut(time.Hour)
	at := func(m *measure.Mark) float64 { return time.UnixMilli(m.AtMS).Sub(t0()).Seconds() }
	assert.InDelta(t, 3.6, at(kept.Cup), 0.15, "42 g came after two seconds, and stood for one and a half")
	assert.InDelta(t, 6, at(kept.Water), 0.15)
	b.goOn(0)
	b.shows(42)
	again := b.cut(time.Hour)
	assert.Equal(t, kept.Cup, again.Cup)
	assert.Equal(t, kept.Water, again.Water)
	assert.InDelta(t, 3600+8+2+1.6, at(again.Dried), 0.5)
	assert.Equal(t, scale.MassFromGrams(42), again.Dried.Mass)
}

// A scale that was switched on with the cup on it shows 0 for it. Whoever says
// that the pan is empty all the same weighs nothing wrong: the cup's leaving the
// pan tells.
func TestACupThatStoodOnThePanWhenItWasCalledEmpty(t *testing.T) {
	b := begin(t, setup())
	b.shows(0, 42)
	b.cut(time.Minute)
	b.goOn(0) // it is the cup
	b.shows(99.8)
	assert.Empty(t, b.view().This, "the mark is taken by lifting the cup")
	b.shows(-42)
	b.at1(measure.StepWater)
	assert.Equal(t, "The pan shows less than when it was said to be empty, so nothing was taken: put the cup back as it was, it is weighed again.", b.view().Waits)
	b.shows(99.8)
	assert.Empty(t, b.view().Waits)
	b.shows(-42, 0)
	b.at1(measure.StepPaint)
	b.shows(106, -42)
	r, ok := b.walk.Result()
	require.True(t, ok, "%+v", b.view())
	assert.InDelta(t, 1.0602, r.GML, 1e-3)
}

// What was taken back after a restart needs the empty pan as well.
func TestAFinishedDensityThatIsTakenBackAfterARestart(t *testing.T) {
	b := begin(t, setup())
	b.shows(0, 42, 141.8, 0, 42, 148, 0)
	b.at1(measure.StepDone)
	b.cut(time.Minute)
	b.walk.Back()
	b.at1(measure.StepPaint)
	b.shows(149.5)
	assert.Equal(t, "Take everything off the pan.", b.view().Sentence)
	assert.Contains(t, b.view().Waits, "It shows 149.5 g")
	b.shows(0.5)
	assert.Equal(t, "Fill the cup with Quay hardener to the same mark.", b.view().Sentence)
	b.shows(149.5, 0.5)
	r, ok := b.walk.Result()
	require.True(t, ok)
	assert.InDelta(t, 107.0/(99.8/0.9982067), r.GML, 1e-4)
}

// Another, coarser scale makes the density less sure, never surer.
func TestACoarserScaleMakesItLessSure(t *testing.T) {
	sure := func(change bool) float64 {
		b := begin(t, setup())
		b.shows(0, 42, 142, 0)
		b.cut(time.Minute)
		if change {
			b.walk.Other(scale.Gram, coating.ScaleAccuracy{RepeatabilityG: 1, DivisionG: 1})
		}
		b.goOn(0)
		b.shows(42, 148, 0)
		r, ok := b.walk.Result()
		require.True(t, ok)
		return r.Uncertainty
	}
	assert.Greater(t, sure(true), sure(false))
}

func TestWhatIsNotWholeIsNoWalk(t *testing.T) {
	b := begin(t, setup())
	b.shows(0, 42, 141.8, 0, 42, 148, 0)
	whole := b.walk.Keep(t0())
	for name, spoil := range map[string]func(*measure.Kept){
		"no cup":        func(k *measure.Kept) { k.Cup = nil },
		"no water":      func(k *measure.Kept) { k.Water = nil },
		"no paint":      func(k *measure.Kept) { k.Paint = nil },
		"no step":       func(k *measure.Kept) { k.Step = "tea" },
		"feather paint": func(k *measure.Kept) { k.Paint = &measure.Mark{Mass: k.Cup.Mass + scale.Gram} },
		"no division":   func(k *measure.Kept) { k.Division = 0 },
	} {
		k := whole
		spoil(&k)
		_, err := measure.Restore(k, t0())
		assert.Error(t, err, name)
	}
}

// Wherever it is cut, a walk that goes on gives the figure of one that was not cut.
func TestACutChangesNoFigure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := begin(t, setup())
		zero := 0.0
		for i, g := range []float64{0, 42, 141.8, 0, 42, 148, 0} {
			b.shows(g + zero)
			if rapid.IntRange(0, 2).Draw(t, "cut") > 0 || b.walk.Step() == measure.StepDone {
				continue
			}
			b.cut(time.Minute)
			zero = float64(rapid.IntRange(-40, 15).Draw(t, "zero")) / 10
			b.goOn(zero)
			if i == 2 || i == 5 {
				b.shows(g + zero) // what stood there is weighed again
			}
		}
		r, ok := b.walk.Result()
		require.True(t, ok, "%+v", b.view())
		require.InDelta(t, 106.0/(99.8/0.9982067), r.GML, 1e-4)
	})
}

func (f *filling) cut() measure.KeptCup {
	body, err := json.Marshal(f.walk.Keep(t0()))
	require.NoError(f.t, err)
	var back measure.KeptCup
	require.NoError(f.t, json.Unmarshal(body, &back))
	f.at += 5 * time.Minute
	f.walk, err = measure.RestoreCup(back, t0())
	require.NoError(f.t, err)
	return back
}

func TestACupIsGoneOnWithFromEachHeight(t *testing.T) {
	f := beginCup(t)
	goOn := func(far, next string, panG float64) {
		t.Helper()
		kept := f.cut()
		assert.Equal(t, far, kept.Far())
		assert.Equal(t, next, kept.Next())
		f.shows(panG)
		require.NoError(t, f.walk.GoOn(f.at))
	}
	f.shows(0)
	goOn("Nothing was weighed yet.", "It goes on with the empty, dry cup.", 0)
	f.shows(42)
	goOn("Noted: the empty cup, 42.0 g.", "It goes on with water up to 30 mm.", 0.5)
	f.shows(142.5)
	goOn("Noted: the empty cup, 42.0 g.", "It goes on with water up to 30 mm. 100.0 g stood in it and had not been taken: the load may be another now, so put it back as it is, to be weighed again.", 0)
	require.ErrorIs(t, f.walk.Next(false), measure.ErrNotStill)
	f.shows(142)
	require.NoError(t, f.walk.Next(false))
	require.NoError(t, f.walk.Height(65))
	goOn("Noted: the empty cup, 42.0 g; 30 mm, 100.0 g of water.", "It goes on with water up to 65 mm.", 0)
	f.shows(141) // some of it has left
	require.ErrorIs(t, f.walk.Next(false), measure.ErrNotStill)
	f.shows(270)
	require.NoError(t, f.walk.Next(false))
	require.True(t, f.walk.Enough())
	f.cut()
	empty, levels, ok := f.walk.Result()
	require.True(t, ok, "a finished one is as it was")
	assert.Equal(t, scale.MassFromGrams(42), empty)
	require.Len(t, levels, 2)
	assert.InDelta(t, 100/0.998207, levels[0].ML, 1e-3)
	assert.InDelta(t, 228/0.998207, levels[1].ML, 1e-3)
	assert.Equal(t, 65.0, levels[1].HeightMM)

	f.walk.Back()
	assert.Equal(t, "Take everything off the pan.", f.view().Sentence)
	f.shows(390, 0, 390)
	require.NoError(t, f.walk.Next(false))
	require.True(t, f.walk.Enough())
}

// A cup that stood on the pan when that was called empty: what was taken of it
// since is weighed again, what was taken before holds.
func TestAHeightOnAFalseZeroIsTakenBack(t *testing.T) {
	f := beginCup(t)
	f.shows(0, 42, 142)
	require.NoError(t, f.walk.Next(false))
	f.cut()
	f.shows(0) // the cup with its 100 g
	require.NoError(t, f.walk.GoOn(f.at))
	f.shows(270)
	require.NoError(t, f.walk.Next(false))
	require.Len(t, f.view().Levels, 2)
	f.shows(-142)
	require.Len(t, f.view().Levels, 1)
	assert.Contains(t, f.view().Waits, "what was taken since is weighed again")
	f.shows(270 - 142)
	assert.Empty(t, f.view().Waits)
	require.NoError(t, f.walk.Next(false))
	assert.Equal(t, scale.MassFromGrams(228), f.view().Levels[1].Net)
}

func TestWhatIsNotWholeIsNoCup(t *testing.T) {
	f := beginCup(t)
	f.shows(0, 42, 142)
	require.NoError(t, f.walk.Next(false))
	f.shows(270)
	require.NoError(t, f.walk.Next(false))
	for name, spoil := range map[string]func(*measure.KeptCup){
		"no cup":        func(k *measure.KeptCup) { k.Empty = nil },
		"no step":       func(k *measure.KeptCup) { k.Step = measure.StepPaint },
		"falling water": func(k *measure.KeptCup) { k.Levels[1].Mass = 0 },
		"one height":    func(k *measure.KeptCup) { k.Step, k.Levels = measure.StepDone, k.Levels[:1] },
		"no height":     func(k *measure.KeptCup) { k.HeightMM = 0 },
	} {
		k := f.walk.Keep(t0())
		spoil(&k)
		_, err := measure.RestoreCup(k, t0())
		assert.Error(t, err, name)
	}
}

// What happens at the scale while a walk rests is nothing to it: a batch that
// tares, a unit that is switched and switched back.
func TestAWalkThatRestsOverlooksATare(t *testing.T) {
	b := begin(t, setup())
	b.shows(0, 42, 141.8, 0)
	b.cut(time.Minute)
	b.shows(0)
	b.mode = scale.ModeNet
	b.shows(80, -30)
	b.mode = scale.ModeGross
	b.goOn(0)
	b.shows(42)
	b.at1(measure.StepPaint)
}
