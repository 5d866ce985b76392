package measure_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix/coating"
	"gramcup/mix/measure"
	"gramcup/scale"
)

// on is another scale that answers: its step and what a reading is worth.
func (b *bench) on(step scale.Mass, worthG float64) {
	b.walk.Other(step, coating.ScaleAccuracy{RepeatabilityG: worthG, DivisionG: step.Grams()})
}

// Each noted load stands in the step of the scale it was noted on, and a coarser
// scale on which nothing was weighed leaves the figure as sure as it was.
func TestALoadStandsInTheStepItWasNotedIn(t *testing.T) {
	fine := setup().Accuracy
	measured := func(by string) float64 {
		b := begin(t, setup())
		b.shows(0, 42.3)
		b.cut(time.Minute)
		if by != "fine" {
			b.on(scale.Gram, 1)
			b.goOn(0)
			kept := b.cut(time.Minute)
			assert.Equal(t, "Noted: the empty cup, 42.3 g.", kept.Far())
			assert.Equal(t, scale.Gram, kept.Division)
		}
		if by == "coarse" {
			b.goOn(0)
			b.shows(142, 0)
			kept := b.cut(time.Minute)
			assert.Equal(t, "Noted: the empty cup, 42.3 g; 100 g of water to the mark.", kept.Far(), "a difference is as coarse as its coarser load")
		}
		b.walk.Other(setup().Division, fine)
		b.goOn(0)
		if by != "coarse" {
			b.shows(142, 0)
			kept := b.cut(time.Minute)
			assert.Equal(t, "Noted: the empty cup, 42.3 g; 99.7 g of water to the mark.", kept.Far())
			assert.Equal(t, setup().Division, kept.Division)
			b.goOn(0)
		}
		b.shows(42.3, 148, 0)
		r, ok := b.walk.Result()
		require.True(t, ok, "%+v", b.view())
		return r.Uncertainty
	}
	assert.Equal(t, measured("fine"), measured("coarse, unused"))
	assert.Greater(t, measured("coarse"), measured("fine"))
}

// What was kept before loads had a step of their own has that of the walk.
func TestALoadWithoutAStepOfItsOwn(t *testing.T) {
	b := begin(t, setup())
	b.shows(0, 42.3)
	kept := b.walk.Keep(t0())
	kept.Cup.Worth, kept.Division = measure.Worth{}, scale.Gram
	assert.Equal(t, "Noted: the empty cup, 42 g.", kept.Far())
	walk, err := measure.Restore(kept, t0())
	require.NoError(t, err)
	walk.Other(setup().Division, setup().Accuracy)
	assert.Equal(t, scale.Gram, walk.Setup().Division)
}

func TestAHeightStandsInTheStepItWasNotedIn(t *testing.T) {
	f := beginCup(t)
	f.shows(0, 42.3, 142)
	require.NoError(t, f.walk.Next(false))
	f.cut()
	fine := f.walk.Setup()
	f.walk.Other(scale.Gram, coating.ScaleAccuracy{RepeatabilityG: 1, DivisionG: 1})
	assert.Equal(t, scale.Gram, f.walk.Setup().Division)
	f.shows(0)
	require.NoError(t, f.walk.GoOn(f.at))
	assert.Equal(t, "Noted: the empty cup, 42.3 g; 30 mm, 99.7 g of water.", f.cut().Far())
	f.walk.Other(fine.Division, fine.Accuracy)
	assert.Equal(t, fine, f.walk.Setup(), "nothing was weighed on the coarse one")
	f.walk.Other(scale.Gram, coating.ScaleAccuracy{RepeatabilityG: 1, DivisionG: 1})
	f.shows(0)
	require.NoError(t, f.walk.GoOn(f.at))
	f.shows(270)
	require.NoError(t, f.walk.Next(false))
	assert.Equal(t, "Noted: the empty cup, 42.3 g; 30 mm, 99.7 g of water; 60 mm, 228 g of water.", f.cut().Far())
	f.walk.Other(fine.Division, fine.Accuracy)
	assert.Equal(t, scale.Gram, f.walk.Setup().Division, "a height was weighed on the coarse one")
}

// The weighings are counted in their order; a cup whose mark is known was one.
func TestLoads(t *testing.T) {
	b := begin(t, setup())
	for i, g := range []float64{0, 42, 141.8, 0, 42, 148, 0} {
		b.shows(g)
		assert.Equal(t, []int{0, 1, 1, 2, 3, 3, 4}[i], b.walk.Loads(), "%v", g)
	}
	v, ok := b.walk.Vessel()
	require.True(t, ok)
	s := setup()
	s.Known = &v
	b = begin(t, s)
	for i, g := range []float64{0, 42, 148, 0} {
		b.shows(g)
		assert.Equal(t, []int{1, 2, 2, 3}[i], b.walk.Loads(), "%v", g)
	}
}

// A finer scale that took over notes in its own step, over a further break too.
func TestWhatAFinerScaleNotesIsAsFineAsThat(t *testing.T) {
	coarse := setup()
	coarse.Division, coarse.Accuracy = scale.Gram, coating.ScaleAccuracy{RepeatabilityG: 1, DivisionG: 1}
	b := begin(t, coarse)
	b.shows(0, 42)
	b.cut(time.Minute)
	b.on(setup().Division, 0.1)
	b.goOn(0)
	b.cut(time.Minute)
	b.goOn(0)
	b.shows(142, 0)
	kept := b.cut(time.Minute)
	assert.Equal(t, scale.Gram, kept.Cup.Division)
	assert.Equal(t, setup().Division, kept.Water.Division)

	f := beginCup(t)
	fine := f.walk.Setup()
	f.walk.Other(scale.Gram, coating.ScaleAccuracy{RepeatabilityG: 1, DivisionG: 1})
	f.shows(0, 42)
	f.cut()
	f.walk.Other(fine.Division, fine.Accuracy)
	f.shows(0)
	require.NoError(t, f.walk.GoOn(f.at))
	f.cut()
	f.shows(0)
	require.NoError(t, f.walk.GoOn(f.at))
	f.shows(142)
	require.NoError(t, f.walk.Next(false))
	cup := f.cut()
	assert.Equal(t, scale.Gram, cup.Empty.Division)
	assert.Equal(t, fine.Division, cup.Levels[0].Division)
}
