package book

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

func TestKnownScale(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir)
	require.NoError(t, b.Append(recorded("b1", 1, started()), nil, nil))
	_, _, ok, err := b.KnownScale()
	require.NoError(t, err)
	require.False(t, ok, "nothing is known of a new bench")

	at := time.UnixMilli(1_700_000_000_123)
	require.NoError(t, b.PutKnownScale([]byte(`{"unit":"kg"}`), at.Add(-time.Hour)))
	require.NoError(t, b.PutKnownScale([]byte(`{"unit":"g"}`), at))
	require.ErrorContains(t, b.PutKnownScale([]byte(`{"unit`), at), "no JSON")
	require.ErrorContains(t, b.PutKnownScale([]byte(`"`+strings.Repeat("x", maxKnownBytes)+`"`), at), "4096 bytes")
	require.NoError(t, b.Close())
	require.ErrorIs(t, b.PutKnownScale([]byte(`{}`), at), ErrClosed)

	b = open(t, dir)
	body, when, ok, err := b.KnownScale()
	require.NoError(t, err)
	require.True(t, ok)
	require.Equal(t, `{"unit":"g"}`, string(body))
	require.True(t, at.Equal(when))
	events, err := b.Events("b1")
	require.NoError(t, err)
	require.Len(t, events, 1, "no event was touched")

	_, err = b.writer.Exec(`UPDATE scale_known SET body = '{"unit'`)
	require.NoError(t, err)
	_, _, ok, err = b.KnownScale()
	require.ErrorIs(t, err, ErrDamaged)
	require.False(t, ok)
}

// A book of version 2 opens and says what it said. The expectations are
// written out here and not made by the code under test.
func TestVersion2Opens(t *testing.T) {
	text, err := os.ReadFile("../../testdata/books/v2.sql")
	require.NoError(t, err)
	dir := t.TempDir()
	sqlInto(t, dir, string(text))
	b := open(t, dir)
	require.Equal(t, schemaOf(t, fresh(t).writer), schemaOf(t, b.writer), "an old book ends up like a new one")

	body, at, ok, err := b.KnownScale()
	require.NoError(t, err)
	require.True(t, ok)
	require.JSONEq(t, `{"identity":"/dev/serial/by-id/usb-bench-scale-A7","usb":"1234:0001:A7","shape":"sma","unit":"g",
		"places":[1],"about":["MFG:simulated","SN :7","CAP:g  :6000.0:1:1"]}`, string(body))
	require.Equal(t, int64(1_700_000_090_000), at.UnixMilli())

	checks, err := texts(b.reader, `SELECT n || ' ' || identity || ' ' || boot || ' ' || mono_ns || ' ' || wall_ms || ' ' || passed FROM scale_check ORDER BY n`)
	require.NoError(t, err)
	require.Equal(t, []string{
		"1 /dev/serial/by-id/usb-bench-scale-A7 boot-a 60000000000 1700000060000 0",
		"2 /dev/serial/by-id/usb-bench-scale-A7 boot-a 80000000000 1700000080000 1",
	}, checks)

	events, ok, err := b.Unfinished()
	require.NoError(t, err)
	require.True(t, ok)
	batch := mix.Fold(events)
	require.NoError(t, batch.Check())
	require.Equal(t, "batch-two", batch.ID)
	require.Equal(t, mix.HoldScaleLost, batch.Hold)
	require.Equal(t, 568*scale.Gram, batch.Content())
	list, err := b.Summaries(10, 0)
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, mix.StateAborted, list[0].Outcome)
}
