package book

import (
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// A copy that is made while the book is written to opens as a book, holds what
// was acknowledged before, and may be written to.
func TestBackup(t *testing.T) {
	b := fresh(t)
	require.NoError(t, b.FillSample())
	story := recorded("b1", 1, everything()...)
	require.NoError(t, b.Append(story, []byte("trace"), nil))
	end(t, b, summaryOf("b0", 7))

	var group sync.WaitGroup
	begun := make(chan struct{})
	group.Go(func() {
		for i := range 100 {
			if i == 10 {
				close(begun)
			}
			if err := b.Append(recorded("b2", uint64(i+1), started()), nil, nil); err != nil {
				t.Error(err)
				return
			}
		}
	})
	dir := t.TempDir()
	path := filepath.Join(dir, FileName)
	<-begun
	require.NoError(t, b.Backup(path))
	group.Wait()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1, "nothing is left beside it")

	copied := open(t, dir)
	got, err := copied.Events("b1")
	require.NoError(t, err)
	require.Equal(t, story, got)
	list, err := copied.Summaries(10, 0)
	require.NoError(t, err)
	require.Equal(t, []mix.Summary{*summaryOf("b0", 7)}, list)
	recipes, err := copied.Recipes()
	require.NoError(t, err)
	require.ElementsMatch(t, Sample(), recipes)
	part, err := copied.Events("b2")
	require.NoError(t, err)
	whole, err := b.Events("b2")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(part), 10)
	require.Equal(t, whole[:len(part)], part, "what was written meanwhile is there up to one moment")
	require.NoError(t, copied.Append(recorded("b1", uint64(len(story)+1), mix.Completed{}), nil, nil))
	require.Equal(t, "2", pragmasOf(t, copied.writer)["synchronous"])
}

func TestBackupOverwritesNothing(t *testing.T) {
	b := fresh(t)
	path := filepath.Join(t.TempDir(), "letter.txt")
	require.NoError(t, os.WriteFile(path, []byte("dear customer"), 0o600))
	err := b.Backup(path)
	require.ErrorIs(t, err, os.ErrExist)
	require.ErrorContains(t, err, "is not overwritten: give another name")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "dear customer", string(text))
	require.ErrorIs(t, b.Backup(b.Path()), os.ErrExist)

	// Somebody else takes the name while the copy is made.
	part := filepath.Join(filepath.Dir(path), "part")
	require.NoError(t, os.WriteFile(part, nil, 0o600))
	require.ErrorIs(t, name(part, path), os.ErrExist)

	require.ErrorContains(t, b.Backup(filepath.Join(path, "deeper", "x")), "back up to")
	require.ErrorContains(t, b.Backup(filepath.Join(t.TempDir(), "none", "x")), "give a folder that is there")
	require.NoError(t, b.Close())
	require.ErrorIs(t, b.Backup(filepath.Join(t.TempDir(), "x")), ErrClosed)
}
