package mix_test

import (
	"encoding/hex"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/mix"
	"gramcup/scale"
)

// TestTraceBytes pins the format down: a book of today must open for ever.
// Length, then signed varints (zig-zag, seven bits a byte, as encoding/binary
// documents them) of milliseconds and milligrams.
func TestTraceBytes(t *testing.T) {
	packed := mix.PackTrace(nil, []mix.TracePoint{{WallMS: 1000, Net: scale.Gram}, {WallMS: 1100, Net: 1500 * scale.Milligram}, {WallMS: 1200}})
	// 1000 → 2000 = d0 0f; 100 → 200 = c8 01; 500 → 1000 = e8 07; -1500 → 2999 = b7 17.
	require.Equal(t, "0c"+"d00f"+"d00f"+"c801"+"e807"+"c801"+"b717", hex.EncodeToString(packed))
}

func TestTraceEmpty(t *testing.T) {
	require.Empty(t, mix.PackTrace(nil, nil))
	points, err := mix.UnpackTrace(nil)
	require.NoError(t, err)
	require.Empty(t, points)
	points, err = mix.UnpackTrace([]byte{0, 0})
	require.NoError(t, err, "empty pieces are pieces")
	require.Empty(t, points)
}

func TestTraceRoundsToMilligrams(t *testing.T) {
	points, err := mix.UnpackTrace(mix.PackTrace(nil, []mix.TracePoint{{Net: 1499}, {Net: 1500}, {Net: -1500}}))
	require.NoError(t, err)
	require.Equal(t, []mix.TracePoint{{Net: 1000}, {Net: 2000}, {Net: -2000}}, points)
}

// TestTraceDamage: what stood before the damage is still read.
func TestTraceDamage(t *testing.T) {
	one := mix.PackTrace(nil, []mix.TracePoint{{WallMS: 5, Net: scale.Gram}})
	two := mix.PackTrace(append([]byte(nil), one...), []mix.TracePoint{{WallMS: 6}, {WallMS: 7}})
	for cut := 1; cut < len(two); cut++ {
		points, err := mix.UnpackTrace(two[:cut])
		if cut == len(one) {
			require.NoError(t, err, "a cut between pieces is none")
		} else {
			require.ErrorIs(t, err, mix.ErrTrace, "cut at %d", cut)
		}
		require.Equal(t, cut >= len(one), len(points) == 1, "cut at %d", cut)
	}
	for name, bad := range map[string][]byte{
		"length that is none":   {0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 1},
		"length past the end":   {9, 0},
		"number without an end": {2, 0x80, 0x80},
		"time without a weight": {1, 0},
	} {
		_, err := mix.UnpackTrace(bad)
		require.ErrorIs(t, err, mix.ErrTrace, name)
	}
}

func drawTrace(t *rapid.T) []mix.TracePoint {
	n := rapid.IntRange(0, 50).Draw(t, "points")
	points := make([]mix.TracePoint, n)
	for i := range points {
		points[i] = mix.TracePoint{
			WallMS: rapid.OneOf(rapid.Int64Range(1_700_000_000_000, 1_700_000_100_000), rapid.Int64()).Draw(t, "ms"),
			Net:    scale.Mass(rapid.Int64Range(-200_000_000, 200_000_000).Draw(t, "mg")) * scale.Milligram,
		}
	}
	return points
}

// TestTraceRoundTrip: whole milligrams come back as they were, piece after
// piece, however the clock jumps.
func TestTraceRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var packed []byte
		var all []mix.TracePoint
		for range rapid.IntRange(1, 4).Draw(t, "pieces") {
			piece := drawTrace(t)
			packed = mix.PackTrace(packed, piece)
			all = append(all, piece...)
		}
		back, err := mix.UnpackTrace(packed)
		require.NoError(t, err)
		require.Equal(t, len(all), len(back))
		for i := range all {
			require.Equal(t, all[i], back[i])
		}
	})
}

// TestTracePieceHoldsAQuarterOfAnHour: ten readings a second of a pour fit one
// piece.
func TestTracePieceHoldsAQuarterOfAnHour(t *testing.T) {
	var points []mix.TracePoint
	for i := range 9000 {
		g := 500 + 400*math.Sin(float64(i)/900)
		points = append(points, mix.TracePoint{WallMS: 1_700_000_000_000 + int64(i)*100, Net: grams(g).RoundTo(division)})
	}
	require.LessOrEqual(t, len(mix.PackTrace(nil, points)), mix.MaxTracePiece)
}
