package book

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// startedOn is a batch of one event on a scale.
func startedOn(t *testing.T, b *Book, id string, wallMS int64, division, noise scale.Mass, stills int) {
	t.Helper()
	e := mix.Started{Recipe: Sample()[0], Amount: mix.Amount{Kind: mix.AmountVolume, ML: 60}, Division: division, Noise: noise, Stills: stills}
	require.NoError(t, b.Append([]mix.Recorded{{Batch: id, Seq: 1, At: mix.Stamp{Boot: "boot", WallMS: wallMS}, Event: e}}, nil, nil))
}

// The newest batch says which scale it is, the newest that had measured that one
// what it scatters by.
func TestMeasuredScale(t *testing.T) {
	b := fresh(t)
	_, found, err := b.MeasuredScale()
	require.NoError(t, err)
	require.False(t, found, "no batch was started yet")
	const day = 86_400_000
	fine, coarse := 100*scale.Milligram, scale.Gram
	for i, step := range []struct {
		division, noise scale.Mass
		stills          int
		want            MeasuredScale
	}{
		{fine, 0, 0, MeasuredScale{At: time.UnixMilli(0), Division: fine}},
		{fine, 80 * scale.Milligram, 6, MeasuredScale{At: time.UnixMilli(day), Division: fine, Noise: 80 * scale.Milligram, Stills: 6}},
		{fine, 0, 0, MeasuredScale{At: time.UnixMilli(day), Division: fine, Noise: 80 * scale.Milligram, Stills: 6}},
		{coarse, 0, 0, MeasuredScale{At: time.UnixMilli(3 * day), Division: coarse}}, // another scale
		{coarse, 700 * scale.Milligram, 5, MeasuredScale{At: time.UnixMilli(4 * day), Division: coarse, Noise: 700 * scale.Milligram, Stills: 5}},
	} {
		startedOn(t, b, string(rune('a'+i)), int64(i)*day, step.division, step.noise, step.stills)
		m, found, err := b.MeasuredScale()
		require.NoError(t, err)
		require.True(t, found)
		require.Equal(t, step.want, m, i)
	}
	checked := scale.Repeats{Scatter: 3 * scale.Gram, N: 3, AtMS: 1234}
	for i, e := range []mix.Started{{Division: coarse, Noise: scale.Gram, Stills: 5}, {Division: coarse, Repeats: checked}} {
		e.Recipe, e.Amount = Sample()[0], mix.Amount{Kind: mix.AmountVolume, ML: 60}
		require.NoError(t, b.Append(recorded("checked"+string(rune('a'+i)), 1, e), nil, nil))
	}
	m, _, err := b.MeasuredScale()
	require.NoError(t, err)
	require.Equal(t, checked, m.Repeats, "the check is that of the newest batch, whichever the noise is of")
	require.Equal(t, scale.Gram, m.Noise)
	old := look(t, oldBook(t))
	m, found, err = old.MeasuredScale()
	require.NoError(t, err)
	require.True(t, found)
	require.Equal(t, 100*scale.Milligram, m.Division, "of the batch that is open in it")
	require.Zero(t, m.Stills)
}
