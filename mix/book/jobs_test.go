package book

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// What a recipe was put on with last is there after a restart, for each recipe
// its own, and the shop's settings do not see it.
func TestJobsAreRemembered(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir)
	jobs, err := b.Jobs()
	require.NoError(t, err)
	require.Empty(t, jobs)
	at := time.UnixMilli(1_700_000_000_123)
	roof := mix.Job{AreaM2: 2.2, Coats: 3, DryUM: 40, Transfer: 0.5, Loss: 0.1, DeadML: 20}
	require.NoError(t, b.PutJob("slate-surfacer", mix.Job{AreaM2: 1, Coats: 2, DryUM: 50}, at))
	require.NoError(t, b.PutJob("slate-surfacer", roof, at.Add(time.Hour)))
	require.NoError(t, b.PutJob("lantern-clear", mix.Job{AreaM2: 7, Coats: 2, DryUM: 28}, at))
	require.NoError(t, b.Close())

	b = open(t, dir)
	jobs, err = b.Jobs()
	require.NoError(t, err)
	require.Len(t, jobs, 2)
	require.Equal(t, mix.UsedJob{Job: roof, SinceMS: at.Add(time.Hour).UnixMilli()}, jobs["slate-surfacer"])
	s, err := b.Settings()
	require.NoError(t, err)
	require.Equal(t, mix.Settings{}, s)
	require.ErrorContains(t, b.PutJob("", roof, at), "its id has 1 to")
	require.ErrorContains(t, b.PutJob(strings.Repeat("x", maxNameBytes+1), roof, at), "its id has 1 to")
	_, err = b.writer.Exec(`UPDATE setting SET body = '{' WHERE key = 'job:lantern-clear'`)
	require.NoError(t, err)
	_, err = b.Jobs()
	require.ErrorIs(t, err, ErrDamaged)
}
