package coating_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/mix/coating"
)

func TestMarkOfAStraightCup(t *testing.T) {
	// 5 ml for each millimetre; a reading is worth 0.06 ml, a level 0.5 mm.
	f := coating.Filled{Fills: []coating.Fill{{30, 150}, {60, 300}, {90, 450}}, ReadingML: 0.06, LevelMM: 0.5}
	// At a filling: its own level, its weighing and that of the empty cup.
	assert.InDelta(t, math.Hypot(0.5, math.Sqrt2*0.06/5), f.MarkErrorMM(60), 1e-12)
	assert.InDelta(t, f.MarkErrorMM(60), f.MarkErrorMM(90), 1e-12)
	// Halfway each of the two beside it counts by half, the empty cup whole.
	assert.InDelta(t, math.Hypot(0.5/math.Sqrt2, math.Sqrt(0.5+1)*0.06/5), f.MarkErrorMM(75), 1e-12)
	// Towards the bottom, which is certain, it goes to nothing.
	assert.InDelta(t, f.MarkErrorMM(30)/3, f.MarkErrorMM(10), 1e-12)
	assert.Zero(t, coating.Filled{}.MarkErrorMM(10))
	assert.Equal(t, 450.0, f.MeasuredML())
}

// Between the fillings a real cup is not straight. Whatever tapered cup is
// measured at three heights or more, a mark stands where its uncertainty says.
func TestMarksOfTaperedCups(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cup := coating.Tapered{BottomMM: rapid.Float64Range(45, 120).Draw(t, "bottom"), InnerMM: 120}
		cup.TopMM = cup.BottomMM * rapid.Float64Range(1, 1.45).Draw(t, "wider")
		f := coating.Filled{LevelMM: coating.LevelReadMM}
		n := rapid.IntRange(3, 6).Draw(t, "heights")
		for i := range n {
			h := cup.InnerMM * float64(i+1) / float64(n)
			ml, err := cup.VolumeML(h)
			require.NoError(t, err)
			require.NoError(t, coating.PlausibleFill(f.Fills, coating.Fill{HeightMM: h, VolumeML: ml}))
			f.Fills = append(f.Fills, coating.Fill{HeightMM: h, VolumeML: ml})
		}
		h := rapid.Float64Range(5, 120).Draw(t, "mark")
		ml, err := cup.VolumeML(h)
		require.NoError(t, err)
		mark, err := f.HeightMM(ml)
		require.NoError(t, err)
		require.InDelta(t, h, mark, coating.Coverage*f.MarkErrorMM(mark))
	})
}

// What is not straight is said: the same heights of a cup that widens are worth
// less, and one more height between makes the shape's part a quarter.
func TestOneMoreHeightIsSurer(t *testing.T) {
	cup := coating.Tapered{BottomMM: 60, TopMM: 100, InnerMM: 120}
	measured := func(heights ...float64) coating.Filled {
		f := coating.Filled{}
		for _, h := range heights {
			ml, err := cup.VolumeML(h)
			require.NoError(t, err)
			f.Fills = append(f.Fills, coating.Fill{HeightMM: h, VolumeML: ml})
		}
		return f
	}
	coarse, fine := measured(40, 80, 120).MarkErrorMM(60), measured(20, 40, 60, 80, 100, 120).MarkErrorMM(50)
	assert.Greater(t, coarse, 0.3)
	assert.InDelta(t, coarse/4, fine, coarse/12)
}

func TestTheEyeAtAMeasuredMark(t *testing.T) {
	straight := []coating.Fill{{50, 250}, {100, 500}}
	exact, known := coating.Filled{Fills: straight}, coating.Filled{Fills: straight, LevelMM: 0.5}
	marks := []float64{60}
	a, err := coating.EyeError(exact, marks, 0, coating.StickReadMM)
	require.NoError(t, err)
	b, err := coating.EyeError(known, marks, 0, coating.StickReadMM)
	require.NoError(t, err)
	assert.InDelta(t, 1.5/60, a, 1e-12)
	assert.InDelta(t, math.Hypot(1.5, 2*known.MarkErrorMM(60))/60, b, 1e-12)
}

func TestFillingsThatCanNotBe(t *testing.T) {
	before := []coating.Fill{{30, 150}, {60, 310}}
	for _, x := range []struct {
		before []coating.Fill
		fill   coating.Fill
		says   string
		asks   bool
	}{
		{nil, coating.Fill{5, 30}, "A height of 5 mm: give 10 to 400 mm, measured from the inside bottom.", false},
		{nil, coating.Fill{math.NaN(), 30}, "give 10 to 400 mm", false},
		{before, coating.Fill{60, 320}, "60 mm is not above the 60 mm that were weighed before: the heights must rise.", false},
		{before, coating.Fill{50, 320}, "the heights must rise.", false},
		{before, coating.Fill{63, 320}, "63 mm is too near to the 60 mm that were weighed before: go up by 5 mm or more.", false},
		{before, coating.Fill{90, 310}, "310 ml at 90 mm are not more than the 310 ml at 60 mm: the volume must rise.", false},
		{before, coating.Fill{90, 312}, "2 ml of water between 60 and 90 mm would be a cup 9 mm wide, and cups are 25 to 350: look at the height once more.", false},
		{nil, coating.Fill{10, 1500}, "would be a cup 437 mm wide", false},
		{before, coating.Fill{90, 1000}, "This cup would be 82 mm wide up to 60 mm and 171 mm above that: is the height right?", true},
		{before, coating.Fill{120, 400}, "82 mm wide up to 60 mm and 44 mm above that", true},
	} {
		err := coating.PlausibleFill(x.before, x.fill)
		var refusal *coating.Refusal
		require.ErrorAs(t, err, &refusal)
		assert.Contains(t, refusal.Sentence, x.says)
		assert.Equal(t, x.asks, refusal.Ask, x.says)
	}
	assert.NoError(t, coating.PlausibleFill(before, coating.Fill{90, 480}))
}
