package coating_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/mix/coating"
)

// Height and volume undo each other in any cup, and a cup twice as high holds
// what two lie on each other.
func TestCupsComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cup := coating.Tapered{
			BottomMM: rapid.Float64Range(30, 150).Draw(t, "bottom"),
			TopMM:    rapid.Float64Range(30, 150).Draw(t, "top"),
			InnerMM:  rapid.Float64Range(40, 300).Draw(t, "inner height"),
		}
		h := rapid.Float64Range(0, 1).Draw(t, "share") * cup.InnerMM
		ml, err := cup.VolumeML(h)
		require.NoError(t, err)
		back, err := cup.HeightMM(ml)
		require.NoError(t, err)
		require.InDelta(t, h, back, 1e-6)
	})
}

func TestStraightAndTapered(t *testing.T) {
	can := coating.Tapered{BottomMM: 100, TopMM: 100, InnerMM: 200}
	marks, err := coating.Levels(can, []float64{400, 100, 100})
	require.NoError(t, err)
	area := math.Pi * 50 * 50 / 1000 // ml for a millimetre
	for i, ml := range []float64{400, 500, 600} {
		assert.InDelta(t, ml/area, marks[i], 1e-9)
	}
	// A frustum of 60 and 100 mm over 120 mm: π·120/3·(30² + 30·50 + 50²) mm³.
	cup := coating.Tapered{BottomMM: 60, TopMM: 100, InnerMM: 120}
	brim, err := cup.VolumeML(120)
	require.NoError(t, err)
	assert.InDelta(t, math.Pi*120/3*(900+1500+2500)/1000, brim, 1e-9)

	// One and a half millimetres on the hardener of a straight can.
	e, err := coating.EyeError(can, marks, 1, coating.StickReadMM)
	require.NoError(t, err)
	assert.InDelta(t, math.Hypot(1.5, 1.5)/(100/area), e, 1e-9)
	e, err = coating.EyeError(can, marks, 0, coating.StickReadMM)
	require.NoError(t, err)
	assert.InDelta(t, 1.5/(400/area), e, 1e-9)

	// A millimetre or two on a column of 40 mm are 2.5 to 5 % (common practice).
	for mm, want := range map[float64]float64{1: 0.025, 2: 0.05} {
		e, err = coating.EyeError(can, []float64{40}, 0, mm)
		require.NoError(t, err)
		assert.InDelta(t, want, e, 1e-9)
	}
	assert.InDelta(t, 1.5, coating.StickReadMM, 0.5, "a stick is read to one or two millimetres")
	assert.InDelta(t, 1.5, coating.MarkReadMM, 0.5, "and so is a mark")

	// A cup measured at three heights gives its own fillings back.
	f := coating.Filled{Fills: []coating.Fill{{20, 60}, {60, 220}, {110, 500}}}
	for _, x := range f.Fills {
		ml, err := f.VolumeML(x.HeightMM)
		require.NoError(t, err)
		assert.InDelta(t, x.VolumeML, ml, 1e-9)
	}
	h, err := f.HeightMM(360)
	require.NoError(t, err)
	assert.InDelta(t, 85, h, 1e-9)
}

func TestCupsRefuse(t *testing.T) {
	can := coating.Tapered{BottomMM: 100, TopMM: 100, InnerMM: 100}
	_, err := coating.Levels(can, []float64{400, 500})
	assert.ErrorContains(t, err, "900 ml do not fit into this cup: it holds 785 ml to the brim.")
	_, err = coating.Levels(can, []float64{400, 0})
	assert.EqualError(t, err, "Component 2 is 0 ml: each must be above 0.")
	_, err = can.VolumeML(101)
	assert.EqualError(t, err, "101 mm is not in this cup: it is 100 mm high inside.")
	_, err = coating.Tapered{BottomMM: 3, TopMM: 100, InnerMM: 100}.VolumeML(10)
	assert.ErrorContains(t, err, "measure it inside, in millimetres, each from 10 to 1000.")
	_, err = coating.Filled{Fills: []coating.Fill{{20, 60}}}.HeightMM(30)
	assert.ErrorContains(t, err, "fill the cup with water to at least two heights")
	_, err = coating.Filled{Fills: []coating.Fill{{20, 60}, {30, 50}}}.HeightMM(30)
	assert.ErrorContains(t, err, "both must rise.")
	_, err = coating.Filled{Fills: []coating.Fill{{20, 60}, {60, math.Inf(1)}}}.HeightMM(30)
	assert.ErrorContains(t, err, "A filling of +Inf ml at 60 mm can not be right: give at most 100000 ml and 1000 mm.")
	_, err = coating.Filled{Fills: []coating.Fill{{20, 60}, {60, 220}}}.HeightMM(230)
	assert.EqualError(t, err, "230 ml is beyond what was measured of this cup, 220 ml: fill it higher with water and weigh it.")
}
