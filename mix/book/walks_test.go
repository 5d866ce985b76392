package book

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// What a guided walk has noted is there after a restart, each kind its own, and
// neither the shop's settings nor its jobs see it.
func TestWalksAreKept(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir)
	bodies, err := b.Walks()
	require.NoError(t, err)
	require.Empty(t, bodies)
	at := time.UnixMilli(1_700_000_000_123)
	require.NoError(t, b.PutWalk("density", []byte(`{"step":"water"}`), at))
	require.NoError(t, b.PutWalk("density", []byte(`{"step":"dry"}`), at.Add(time.Minute)))
	require.NoError(t, b.PutWalk("cup", []byte(`{"step":"fill"}`), at))
	require.NoError(t, b.PutJob("slate-surfacer", mix.Job{AreaM2: 1, Coats: 2, DryUM: 50}, at))
	require.NoError(t, b.Close())

	b = open(t, dir)
	bodies, err = b.Walks()
	require.NoError(t, err)
	require.Equal(t, map[string][]byte{"density": []byte(`{"step":"dry"}`), "cup": []byte(`{"step":"fill"}`)}, bodies)
	rows, err := texts(b.reader, `SELECT key || ' ' || wall_ms FROM setting WHERE key GLOB 'walk:*' ORDER BY key`)
	require.NoError(t, err)
	require.Equal(t, []string{"walk:cup 1700000000123", "walk:density 1700000060123"}, rows)
	s, err := b.Settings()
	require.NoError(t, err)
	require.Equal(t, mix.Settings{}, s)
	jobs, err := b.Jobs()
	require.NoError(t, err)
	require.Len(t, jobs, 1)

	require.NoError(t, b.PutWalk("density", nil, at))
	require.NoError(t, b.PutWalk("density", nil, at), "what is not there is gone already")
	bodies, err = b.Walks()
	require.NoError(t, err)
	require.Len(t, bodies, 1)
	require.ErrorContains(t, b.PutWalk("", []byte("{}"), at), "of 1 to")
	require.ErrorContains(t, b.PutWalk("cup", []byte(strings.Repeat("x", MaxBodyBytes+1)), at), "at most")
	bodies, err = b.Walks()
	require.NoError(t, err)
	require.Equal(t, `{"step":"fill"}`, string(bodies["cup"]), "what is refused leaves what was kept")
}
