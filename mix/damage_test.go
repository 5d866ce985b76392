package mix_test

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// TestEventAboutNoComponent: an event about a third component of a recipe of
// two, or of a batch that never started, changes nothing and leaves a fault
// that the page shows.
func TestEventAboutNoComponent(t *testing.T) {
	r := batch21(t, nil)
	r.pour(150*scale.Gram, 5e9)
	r.stand(3e9)
	for _, e := range []mix.Event{mix.Accepted{Component: 2, Amount: scale.Gram, Line: mix.LineOn}, mix.WentPast{Component: 7, Net: scale.Gram},
		mix.WentBack{Component: 2}, mix.LeveledUp{Component: 3, Factor: 1.1}, mix.Reopened{Component: -1}} {
		wrong := mix.Recorded{Batch: r.b.ID, Seq: r.b.Seq + 1, At: r.at, Event: e}
		got := mix.Apply(r.b, wrong)
		require.Contains(t, got.Fault, e.Type())
		require.Contains(t, got.Fault, "the recipe has 2: it is left out")
		require.NoError(t, got.Check())
		want := r.b
		want.Seq, want.Fault = wrong.Seq, got.Fault
		require.Equal(t, want, got)
		require.NotEmpty(t, mix.Fold([]mix.Recorded{{Batch: "b", Seq: 1, Event: e}}).Fault, "before any start too")
	}
}

// TestHeldEventOfAnOlderBook: "back_ug" was added later; a book without it
// opens as it always did, and one with it says what came back at once.
func TestHeldEventOfAnOlderBook(t *testing.T) {
	old, err := mix.DecodeEvent("held", 1, []byte(`{"reason":"other-weight","net_ug":218500000,"top_ug":218500000}`))
	require.NoError(t, err)
	require.Equal(t, mix.HeldUp{Reason: mix.HoldOtherWeight, Net: 218_500_000, Top: 218_500_000}, old)
	body, err := mix.EncodeEvent(mix.HeldUp{Reason: mix.HoldCupLifted, Net: 1, Top: 2})
	require.NoError(t, err)
	require.Equal(t, `{"reason":"cup-lifted","net_ug":1,"top_ug":2}`, string(body))

	r := batch21(t, nil)
	r.pour(200*scale.Gram, 5e9)
	r.stand(2e9)
	r.pour(112*scale.Gram, 5e9)
	r.stand(2e9)
	require.Equal(t, mix.PhaseDecide, r.b.Phase)
	r.load -= 5 * scale.Gram
	for r.b.State != mix.StateHeld {
		r.reading(false)
	}
	_, detail := mix.Headline(&r.b)
	require.Contains(t, detail, "312.0 g should be in the cup, the scale says 307.0 g.")
}

// TestTraceOfAbsurdWeights: a weight beyond every Mass is damage, not a number
// that has wrapped around; clocks may jump as they like.
func TestTraceOfAbsurdWeights(t *testing.T) {
	piece := func(pairs ...int64) []byte {
		var body []byte
		for _, x := range pairs {
			body = binary.AppendVarint(body, x)
		}
		return append(binary.AppendUvarint(nil, uint64(len(body))), body...)
	}
	const limit = math.MaxInt64 / 1000
	for _, bad := range [][]byte{
		piece(0, limit+1), piece(0, -limit-1), piece(0, math.MaxInt64), piece(0, math.MinInt64),
		piece(0, limit, 0, 1), piece(0, -limit, 0, -1), piece(0, limit, 0, math.MaxInt64), piece(0, -limit, 0, math.MinInt64),
	} {
		points, err := mix.UnpackTrace(append(piece(5, 7), bad...))
		require.ErrorIs(t, err, mix.ErrTrace)
		require.Equal(t, mix.TracePoint{WallMS: 5, Net: 7 * scale.Milligram}, points[0])
	}
	points, err := mix.UnpackTrace(piece(math.MaxInt64, limit, math.MaxInt64, -2*limit))
	require.NoError(t, err)
	require.Equal(t, scale.Mass(-limit)*scale.Milligram, points[1].Net)
}
