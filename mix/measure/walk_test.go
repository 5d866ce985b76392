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

// bench feeds a walk with a scale that is moved by hand.
type bench struct {
	t    require.TestingT
	walk *measure.Walk
	at   time.Duration
	mode scale.Mode
	step scale.Mass
}

const tenth = scale.Gram / 10

func setup() measure.Setup {
	return measure.Setup{Name: "Quay hardener", Kind: coating.KindHardener, HeightMM: 60, TempC: 20, Division: tenth,
		Accuracy: coating.ScaleAccuracy{RepeatabilityG: 0.1, DivisionG: 0.1}}
}

func begin(t require.TestingT, s measure.Setup) *bench {
	w, err := measure.New(s)
	require.NoError(t, err)
	return &bench{t: t, walk: w, mode: scale.ModeGross, step: s.Division}
}

func (b *bench) reading(g float64) scale.Reading {
	m := scale.MassFromGrams(g).RoundTo(b.step)
	d, err := scale.ParseDecimal(m.Format(3))
	require.NoError(b.t, err)
	return scale.Reading{Number: d, HasNumber: true, Unit: scale.UnitGram, Mode: b.mode, Motion: scale.MotionUnknown}
}

// stands lets the scale show one weight for so long.
func (b *bench) stands(g float64, long time.Duration) {
	for end := b.at + long; b.at < end; {
		b.at += 100 * time.Millisecond
		b.walk.Take(b.at, b.reading(g))
	}
}

// shows lets it stand for as long as anybody waits.
func (b *bench) shows(grams ...float64) {
	for _, g := range grams {
		b.stands(g, 2*time.Second)
	}
}

func (b *bench) view() measure.View { return b.walk.View(b.at) }

func (b *bench) at1(s measure.Step) {
	if h, ok := b.t.(interface{ Helper() }); ok {
		h.Helper()
	}
	require.Equal(b.t, s, b.walk.Step(), "%+v", b.view())
}

func TestAWalkNeedsNoHandButTheOneAtTheCup(t *testing.T) {
	b := begin(t, setup())
	b.shows(0)
	b.at1(measure.StepCup)
	b.shows(42)
	b.at1(measure.StepWater)
	b.shows(0, 0) // it goes to the tap
	b.at1(measure.StepWater)
	b.shows(122)
	assert.Equal(t, 80*scale.Gram, b.view().Noted)
	b.at1(measure.StepWater)
	b.shows(141.82) // a little more, to the mark
	b.shows(0)
	b.at1(measure.StepDry)
	b.shows(43.1)
	assert.Contains(t, b.view().Waits, "1.1 g more than when it was dry")
	b.shows(0, 42)
	b.at1(measure.StepPaint)
	b.shows(92)
	assert.Contains(t, b.view().Waits, "lighter than any paint")
	b.shows(0, 0)
	b.at1(measure.StepPaint) // half a filling is no density
	b.shows(148, 0)
	b.at1(measure.StepDone)
	r, ok := b.walk.Result()
	require.True(t, ok)
	// 99.8 g of water at 20 °C, 0.9982067 g/ml, are 99.979 ml; 106.0 g in them.
	assert.InDelta(t, 106.0/(99.8/0.9982067), r.GML, 1e-4)
	// Half a millimetre of 60 twice, and two weighings of 0.147 g each.
	assert.InDelta(t, r.GML*0.01204, r.Uncertainty, 0.0003)
	assert.Empty(t, r.Note)
	assert.Equal(t, "106 g where water has 99.8 g, at 20 °C", r.AsGiven())
	v, ok := b.walk.Vessel()
	require.True(t, ok)
	assert.Equal(t, 42*scale.Gram, v.Empty)
	assert.InDelta(t, 99.98, v.ML, 0.01)
}

// The example D1 of the shop's facts, worked out by the method of ASTM D1475:
// 49.783 g of water and 62.115 g of paint at 23 °C are 1.24465 g/ml.
func TestTheFigureIsThatOfTheStandard(t *testing.T) {
	s := setup()
	s.Kind, s.TempC, s.Division = coating.KindSolventBase, 23, scale.Milligram
	b := begin(t, s)
	b.shows(0, 30, 79.783, 0, 30, 92.115, 0)
	r, ok := b.walk.Result()
	require.True(t, ok, "%+v", b.view())
	assert.InDelta(t, 1.24465, r.GML, 5e-6)
	assert.InDelta(t, 49.9057, r.VolumeML, 5e-5)
}

func TestAKnownCupSkipsTheWater(t *testing.T) {
	s := setup()
	s.Known = &measure.Vessel{Empty: 42 * scale.Gram, Water: coating.NetOf(99.8, 0.1, 0.1), WaterC: 20, HeightMM: 60, ML: 99.98}
	b := begin(t, s)
	b.shows(0, 55)
	b.at1(measure.StepCup)
	assert.Contains(t, b.view().Waits, "is it another one")
	b.shows(0, 42.1)
	b.at1(measure.StepPaint)
	b.shows(130.1, 0)
	r, ok := b.walk.Result()
	require.True(t, ok)
	assert.InDelta(t, 88/99.979, r.GML, 1e-4)
	assert.Contains(t, r.Note, "unusual for hardener", "0.88 is a reducer's")
}

// A scale that is tared shows the cup as 0 and the empty pan as less.
func TestATaredScaleIsUnderstood(t *testing.T) {
	b := begin(t, setup())
	b.mode = scale.ModeNet
	b.shows(0)
	b.at1(measure.StepCup)
	assert.Contains(t, b.view().Waits, "Lift it for a moment")
	b.shows(-42, 0)
	b.at1(measure.StepWater)
	b.shows(99.8, -42, 0, 106, -42)
	r, ok := b.walk.Result()
	require.True(t, ok, "%+v", b.view())
	assert.InDelta(t, 1.0602, r.GML, 1e-3)
}

func TestWhatStoodThereBeforeIsNoEmptyCup(t *testing.T) {
	b := begin(t, setup())
	b.shows(350)
	b.at1(measure.StepCup)
	assert.Contains(t, b.view().Waits, "take it off once")
	b.shows(0, 350)
	b.at1(measure.StepWater)
}

// What is added at the last moment and never stood still is not weighed as if
// it had been there, and the grip of a hand does not spoil what had stood.
func TestAFillingCountsOnlyAsItStood(t *testing.T) {
	b := begin(t, setup())
	b.shows(0, 42, 130)
	for g := 130.0; g < 141; g += 0.4 { // two and a half seconds of a thin stream
		b.stands(g, 100*time.Millisecond)
	}
	b.shows(0)
	b.at1(measure.StepWater)
	assert.Contains(t, b.view().Waits, "let it stand")
	b.shows(141.8)
	assert.Empty(t, b.view().Waits)
	for _, g := range []float64{150, 160, 120, 60, 20} { // a hand takes hold and lifts
		b.stands(g, 100*time.Millisecond)
	}
	b.shows(0)
	b.at1(measure.StepDry)
}

func TestEveryStepCanBeTakenBack(t *testing.T) {
	b := begin(t, setup())
	b.shows(0, 42, 141.8, 0, 42)
	b.at1(measure.StepPaint)
	b.walk.Back()
	b.at1(measure.StepDry)
	b.shows(42) // it still stands there: it must be lifted before it counts again
	b.at1(measure.StepDry)
	assert.Contains(t, b.view().Sentence, "Lift")
	b.walk.Back()
	b.at1(measure.StepWater)
	b.walk.Back()
	b.at1(measure.StepCup)
	b.shows(42)
	b.at1(measure.StepCup)
	b.shows(0, 42)
	b.at1(measure.StepWater)
	b.shows(120, 0, 42, 125, 0)
	b.at1(measure.StepDone)
	b.walk.Back()
	b.at1(measure.StepPaint)
	_, ok := b.walk.Result()
	assert.False(t, ok)
	b.shows(126)
	assert.True(t, b.walk.This(), "the button does what lifting does")
	b.at1(measure.StepDone)
	b.walk.Again()
	b.at1(measure.StepCup)
	b.shows(126)
	b.at1(measure.StepCup)
}

func TestTheButtons(t *testing.T) {
	b := begin(t, setup())
	assert.False(t, b.walk.This(), "nothing stands there")
	b.shows(0, 42)
	assert.False(t, b.walk.This(), "no water yet")
	b.shows(141.8)
	assert.Equal(t, "It stands at the mark", b.view().This)
	require.True(t, b.walk.This())
	b.at1(measure.StepDry)
	b.shows(141.8)
	b.at1(measure.StepDry)
	b.shows(0, 43)
	assert.Equal(t, "It is dry: take it as it is", b.view().This)
	require.True(t, b.walk.This())
	b.at1(measure.StepPaint)
	b.shows(149)
	require.True(t, b.walk.This())
	r, _ := b.walk.Result()
	assert.InDelta(t, 106, r.Paint.Net.Grams(), 1e-9, "weighed from the cup as it was taken")
}

func TestALostScaleWaits(t *testing.T) {
	b := begin(t, setup())
	b.shows(0, 42, 141.8)
	b.walk.Lost()
	assert.Contains(t, b.view().Waits, "lost")
	assert.False(t, b.walk.This())
	b.at += time.Minute
	b.shows(141.8, 0)
	b.at1(measure.StepDry)
	assert.Empty(t, b.view().Waits)
	assert.Contains(t, b.walk.View(b.at+10*time.Second).Waits, "not heard")

	r := b.reading(0)
	r.Status = scale.StatusOver
	b.walk.Take(b.at, r)
	assert.Contains(t, b.view().Waits, "overload")
	b.mode = scale.ModeNet
	b.shows(42)
	b.at1(measure.StepDry)
	assert.Contains(t, b.view().Waits, "tare")
}

func TestSetupsThatCanNotBe(t *testing.T) {
	for want, change := range map[string]func(*measure.Setup){
		"from 0 to 40 °C":     func(s *measure.Setup) { s.TempC = 50 },
		"20 to 300 mm":        func(s *measure.Setup) { s.HeightMM = 5 },
		"wait for its first ": func(s *measure.Setup) { s.Division = 0 },
	} {
		s := setup()
		change(&s)
		_, err := measure.New(s)
		require.ErrorContains(t, err, want)
	}
}

// Whatever the scale shows in whatever order, a density that comes out can be.
func TestNothingImpossibleComesOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := begin(t, setup())
		for range rapid.IntRange(1, 30).Draw(t, "inputs") {
			switch rapid.IntRange(0, 9).Draw(t, "what") {
			case 0:
				b.walk.Back()
			case 1:
				b.walk.This()
			case 2:
				b.walk.Lost()
			case 3:
				b.mode = rapid.SampledFrom([]scale.Mode{scale.ModeGross, scale.ModeNet}).Draw(t, "mode")
			default:
				g := rapid.SampledFrom([]float64{0, 0, 42, 42, 42.1, 100, 141.8, 148, 152, 400, -42}).Draw(t, "g")
				b.stands(g, time.Duration(rapid.IntRange(1, 25).Draw(t, "tenths"))*100*time.Millisecond)
			}
			if r, ok := b.walk.Result(); ok {
				require.GreaterOrEqual(t, r.GML, coating.LightestGML)
				require.LessOrEqual(t, r.GML, coating.HeaviestGML)
				require.Greater(t, r.Uncertainty, 0.0)
			}
			require.NotEmpty(t, b.view().Sentence)
		}
	})
}
