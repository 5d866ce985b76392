package book

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/coating"
)

func TestSettings(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir)
	s, err := b.Settings()
	require.NoError(t, err)
	require.Equal(t, mix.Settings{}, s, "a new bench has set nothing")

	at, warm := time.UnixMilli(1_700_000_000_123), 27.5
	own := mix.Limit{Set: "Booth permit", Category: "Surfacer", GL: 500, Basis: coating.BasisRegulatory, Source: "the permit on the wall", Date: "3 May 2026"}
	require.NoError(t, b.PutSettings(mix.Settings{ShopC: &warm, Limits: []mix.Limit{own}}, at))
	require.NoError(t, b.PutSettings(mix.Settings{Limits: []mix.Limit{own}}, at.Add(time.Hour)))
	require.NoError(t, b.Close())
	require.ErrorIs(t, b.PutSettings(s, at), ErrClosed)

	b = open(t, dir)
	s, err = b.Settings()
	require.NoError(t, err)
	require.Nil(t, s.ShopC, "it was taken back")
	require.Equal(t, []mix.Limit{own}, s.Limits)
	stamps, err := texts(b.reader, `SELECT key || ' ' || wall_ms FROM setting ORDER BY key`)
	require.NoError(t, err)
	require.Equal(t, []string{"limits 1700000000123", "shop 1700003600123"}, stamps, "only what changed is of later")

	hot := 80.0
	require.ErrorContains(t, b.PutSettings(mix.Settings{ShopC: &hot}, at), "A shop at 80 °C can not be right")
	own.Source = ""
	require.ErrorContains(t, b.PutSettings(mix.Settings{Limits: []mix.Limit{own}}, at), "say where the limit comes from")
	_, err = b.writer.Exec(`UPDATE setting SET body = '{' WHERE key = 'limits'`)
	require.NoError(t, err)
	_, err = b.Settings()
	require.ErrorIs(t, err, ErrDamaged)
}

// The row of a batch keeps what it came from and what was achieved; a row of a
// book before that has none of it and opens (TestVersion1Opens).
func TestSummaryKeepsWhatItCameFrom(t *testing.T) {
	b := fresh(t)
	sum := mix.Summary{
		Batch: "b1", Recipe: "Slate surfacer", Outcome: mix.StateComplete,
		SummaryMore: mix.SummaryMore{Job: mix.Job{AreaM2: 2.2, Coats: 2, DryUM: 40}, Basis: mix.ByVolume, Index: 1.07},
		Components:  []mix.SummaryLine{{Name: "Slate surfacer"}, {Name: "Slate hardener", Ratio: 4.03, PlusMinus: 0.05, DensityGML: 1.06, Source: "invented", ReferenceC: 23, SinceMS: 1_700_000_000_000, UncertaintyGML: 0.004}},
	}
	require.NoError(t, b.Append(recorded("b1", 1, started(), mix.Completed{}), nil, &sum))
	list, err := b.Summaries(1, 0)
	require.NoError(t, err)
	require.Equal(t, sum, list[0])

	old := open(t, oldBook(t))
	list, err = old.Summaries(1, 0)
	require.NoError(t, err)
	require.Equal(t, mix.SummaryMore{}, list[0].SummaryMore)
	require.Zero(t, list[0].Components[1].Ratio)
}
