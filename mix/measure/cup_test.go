package measure_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/mix/coating"
	"gramcup/mix/measure"
	"gramcup/scale"
)

// filling feeds the measuring of a cup with a scale that is moved by hand.
type filling struct {
	t    require.TestingT
	walk *measure.CupWalk
	at   time.Duration
}

func beginCup(t require.TestingT) *filling {
	w, err := measure.NewCup(measure.CupSetup{TempC: 20, Division: tenth, Accuracy: coating.ScaleAccuracy{RepeatabilityG: 0.1, DivisionG: 0.1}})
	require.NoError(t, err)
	return &filling{t: t, walk: w}
}

func (f *filling) stands(g float64, long time.Duration) {
	d, err := scale.ParseDecimal(scale.MassFromGrams(g).RoundTo(tenth).Format(1))
	require.NoError(f.t, err)
	for end := f.at + long; f.at < end; {
		f.at += 100 * time.Millisecond
		f.walk.Take(f.at, scale.Reading{Number: d, HasNumber: true, Unit: scale.UnitGram, Mode: scale.ModeGross})
	}
}

func (f *filling) shows(grams ...float64) {
	for _, g := range grams {
		f.stands(g, 2*time.Second)
	}
}

func (f *filling) view() measure.CupView { return f.walk.View(f.at) }

func TestACupAtThreeHeights(t *testing.T) {
	f := beginCup(t)
	assert.Equal(t, "Put the empty, dry cup on the pan.", f.view().Sentence)
	require.ErrorIs(t, f.walk.Next(false), measure.ErrNotStill)
	f.shows(0, 42)
	v := f.view()
	require.Equal(t, measure.StepFill, v.Step)
	assert.Equal(t, "Fill the cup with water up to 30 mm.", v.Sentence)
	require.ErrorIs(t, f.walk.Next(false), measure.ErrNotStill, "it is empty")
	f.stands(142, time.Second)
	require.ErrorIs(t, f.walk.Next(false), measure.ErrNotStill, "it does not stand yet")
	f.shows(142)
	v = f.view()
	assert.Equal(t, scale.MassFromGrams(100), v.Noted)
	assert.Equal(t, "Does the water stand at 30 mm? Then take it.", v.Sentence)
	require.NoError(t, f.walk.Next(false))
	v = f.view()
	assert.Equal(t, 60.0, v.HeightMM)
	assert.Zero(t, v.Noted, "what was taken is not offered again")
	assert.False(t, v.Enough)
	assert.False(t, f.walk.Enough(), "one height is no cup")
	f.shows(142)
	require.ErrorIs(t, f.walk.Next(false), measure.ErrNotStill)
	f.shows(0, 270) // filled at the tap
	require.NoError(t, f.walk.Next(false))
	require.NoError(t, f.walk.Height(85))
	f.shows(390)
	require.NoError(t, f.walk.Next(false))
	assert.Equal(t, 110.0, f.view().HeightMM, "as far up as the last one")
	require.True(t, f.walk.Enough())
	empty, levels, ok := f.walk.Result()
	require.True(t, ok)
	assert.Equal(t, scale.MassFromGrams(42), empty)
	require.Len(t, levels, 3)
	// Water has 0.998207 g/ml at 20 °C (Tanaka et al. 2001).
	assert.InDelta(t, 100/0.998207, levels[0].ML, 1e-3)
	assert.InDelta(t, 348/0.998207, levels[2].ML, 1e-3)
	assert.Equal(t, 85.0, levels[2].HeightMM)
	f.shows(0, 42)
	assert.Equal(t, measure.StepDone, f.view().Step, "it needs the scale no more")
}

func TestEachHeightOfACupCanBeTakenBack(t *testing.T) {
	f := beginCup(t)
	f.shows(0, 42, 142)
	require.NoError(t, f.walk.Next(false))
	f.shows(270)
	require.NoError(t, f.walk.Next(false))
	require.True(t, f.walk.Enough())
	f.walk.Back()
	assert.Equal(t, measure.StepFill, f.view().Step)
	f.walk.Back()
	v := f.view()
	assert.Equal(t, 60.0, v.HeightMM, "its height is offered again")
	require.Len(t, v.Levels, 1)
	f.shows(270)
	require.NoError(t, f.walk.Height(65), "it was a slip of the eye")
	require.NoError(t, f.walk.Next(false))
	assert.Equal(t, 65.0, f.view().Levels[1].HeightMM)
	f.walk.Back()
	f.walk.Back()
	f.walk.Back()
	v = f.view()
	assert.Equal(t, measure.StepCup, v.Step)
	assert.Contains(t, v.Sentence, "Lift the cup off, empty and dry it")
	f.shows(270)
	assert.Equal(t, measure.StepCup, f.view().Step, "the full cup is no empty one")
	f.shows(0, 42)
	assert.Equal(t, measure.StepFill, f.view().Step)
	f.shows(142)
	require.NoError(t, f.walk.Next(false))
	f.walk.Again()
	assert.Equal(t, measure.StepCup, f.view().Step)
	assert.Empty(t, f.view().Levels)
}

func TestFillingsOfACupThatAreRefused(t *testing.T) {
	_, err := measure.NewCup(measure.CupSetup{TempC: 60, Division: tenth})
	require.ErrorContains(t, err, "known here from 0 to 40 °C")
	_, err = measure.NewCup(measure.CupSetup{TempC: 20})
	require.ErrorContains(t, err, "the step of the scale is not known yet")

	f := beginCup(t)
	require.ErrorContains(t, f.walk.Height(9), "give 10 to 400 mm")
	require.ErrorContains(t, f.walk.Height(401), "give 10 to 400 mm")
	f.shows(0, 42, 45)
	assert.Equal(t, "3.0 g more are too little to tell from a drop: fill it up to the height.", f.view().Waits)
	f.shows(142)
	require.NoError(t, f.walk.Next(false))
	f.shows(120)
	assert.Equal(t, "There is less water in it than at 30 mm: fill it up, or take that height back.", f.view().Waits)
	f.shows(270)
	require.NoError(t, f.walk.Height(30))
	require.ErrorContains(t, f.walk.Next(false), "the heights must rise")
	require.NoError(t, f.walk.Height(200))
	var asks *coating.Refusal
	require.ErrorAs(t, f.walk.Next(false), &asks)
	assert.True(t, asks.Ask)
	assert.Contains(t, asks.Sentence, "is the height right?")
	require.Len(t, f.view().Levels, 1, "nothing was taken")
	require.NoError(t, f.walk.Next(true))
	f.walk.Lost()
	assert.Contains(t, f.view().Waits, "The scale is lost")
	f.shows(30)
	require.ErrorIs(t, f.walk.Next(false), measure.ErrNotStill)
}

// Whatever is put on the pan and pressed, heights and volumes rise, and a cup
// that ends has at least two of them.
func TestNoPressMakesACupThatIsNone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := beginCup(t)
		for range rapid.IntRange(1, 30).Draw(t, "presses") {
			switch rapid.IntRange(0, 6).Draw(t, "press") {
			case 0, 1:
				f.stands(rapid.Float64Range(-5, 900).Draw(t, "grams"), time.Duration(rapid.IntRange(1, 30).Draw(t, "tenths"))*100*time.Millisecond)
			case 2:
				_ = f.walk.Next(rapid.Bool().Draw(t, "sure"))
			case 3:
				_ = f.walk.Height(rapid.Float64Range(0, 450).Draw(t, "height"))
			case 4:
				f.walk.Back()
			case 5:
				f.shows(0, 42)
			default:
				f.walk.Enough()
			}
			v, cup := f.view(), coating.Filled{}
			for _, l := range v.Levels {
				cup.Fills = append(cup.Fills, coating.Fill{HeightMM: l.HeightMM, VolumeML: l.ML})
			}
			if _, _, ok := f.walk.Result(); ok || len(cup.Fills) >= measure.LeastHeights {
				require.NoError(t, cup.Check())
			}
		}
	})
}
