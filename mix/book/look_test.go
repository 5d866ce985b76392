package book

import (
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// look is Look for a test that must find a book.
func look(t *testing.T, dir string) *Book {
	t.Helper()
	b, err := Look(dir)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, b.Close()) })
	return b
}

// folderOf is every file of a folder with what it holds.
func folderOf(t *testing.T, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	list, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, f := range list {
		body, err := os.ReadFile(filepath.Join(dir, f.Name()))
		require.NoError(t, err)
		files[f.Name()] = fmt.Sprintf("%d bytes, %x", len(body), sha256.Sum256(body))
	}
	return files
}

// oldBooks are the books of every earlier version that was kept, each in a folder
// of its own: those that lie in testdata, and version 3 as its own steps make it.
func oldBooks(t *testing.T) map[int]string {
	t.Helper()
	dirs := map[int]string{}
	for version := 1; version < len(migrationNames()); version++ {
		dir := t.TempDir()
		from := version
		if from == 3 {
			from = 2
		}
		text, err := os.ReadFile(fmt.Sprintf("../../testdata/books/v%d.sql", from))
		require.NoError(t, err)
		sqlInto(t, dir, string(text))
		db, err := openPool(address(filepath.Join(dir, FileName), "rw", "immediate", pragmas()...), 1)
		require.NoError(t, err)
		if from < version {
			step, err := migrations.ReadFile(migrationNames()[from])
			require.NoError(t, err)
			require.NoError(t, setVersion(db, string(step), version))
		}
		require.NoError(t, db.Close())
		dirs[version] = dir
	}
	return dirs
}

// Whoever only asks leaves a book of an earlier version as it is, byte for byte
// and without a file beside it, and is answered all the same.
func TestLookLeavesAnOldBookAsItIs(t *testing.T) {
	copies := t.TempDir()
	t.Setenv("TMPDIR", copies)
	for version, dir := range oldBooks(t) {
		before := folderOf(t, dir)
		require.Len(t, before, 1, "version %d: the file alone", version)
		b := look(t, dir)
		recipes, err := b.Recipes()
		require.NoError(t, err)
		require.NotEmpty(t, recipes, version)
		_, ok, err := b.Unfinished()
		require.NoError(t, err)
		require.True(t, ok, version)
		for _, ask := range []func() error{
			func() error { _, err := b.Cups(); return err },
			func() error { _, err := b.Greys(); return err },
			func() error { _, err := b.Checks(10); return err },
			func() error { _, err := b.Settings(); return err },
			func() error { _, _, _, err := b.KnownScale(); return err },
			func() error { _, err := b.Summaries(10, 0); return err },
		} {
			require.NoError(t, ask(), version)
		}
		require.NoError(t, b.Close())
		require.Equal(t, before, folderOf(t, dir), version)
		left, err := os.ReadDir(copies)
		require.NoError(t, err)
		require.Empty(t, left, "the copy is taken away")
		require.Equal(t, before, folderOf(t, dir), version)

		opened := open(t, dir)
		require.NoError(t, opened.Close())
		require.NotEqual(t, before[FileName], folderOf(t, dir)[FileName], "to open it for work brings it up to date")
	}
}

// A book of today is read where it lies, and its folder stays as it is.
func TestLookLeavesTheFolderAsItIs(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir)
	require.NoError(t, b.PutCup(tub("cup-1", "Blue tub"), time.Now()))
	require.NoError(t, b.Close())
	before := folderOf(t, dir)
	seen := look(t, dir)
	cups, err := seen.Cups()
	require.NoError(t, err)
	require.Len(t, cups, 1)
	require.ErrorIs(t, seen.PutCup(tub("cup-2", "Red tub"), time.Now()), ErrLooking)
	require.ErrorIs(t, seen.Append(recorded("b1", 1, started()), nil, nil), ErrLooking)
	require.ErrorIs(t, seen.Reopen(), ErrLooking)
	require.NoError(t, seen.Close())
	require.Equal(t, before, folderOf(t, dir))
	_, err = seen.Cups()
	require.ErrorIs(t, err, ErrClosed)
}

// A bench that works is not in the way of a question, nor the other way round;
// what it has just put on disk is seen, although it stands in the log yet.
func TestLookBesideAWorkingBench(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir)
	require.NoError(t, b.PutCup(tub("cup-1", "Blue tub"), time.Now()))
	seen := look(t, dir)
	cups, err := seen.Cups()
	require.NoError(t, err)
	require.Len(t, cups, 1)
	require.NoError(t, b.PutCup(tub("cup-2", "Red tub"), time.Now()))
	cups, err = seen.Cups()
	require.NoError(t, err)
	require.Len(t, cups, 2)
	require.NoError(t, seen.Close())
	require.NoError(t, b.Append(recorded("b1", 1, started()), nil, nil), "the bench goes on")
	require.NoError(t, b.Close())
}

// Beside a bench of an earlier version that still writes, the copy is of what is
// on disk now.
func TestLookBesideAnOlderBench(t *testing.T) {
	dir := oldBooks(t)[4]
	db, err := openPool(address(filepath.Join(dir, FileName), "rw", "immediate", pragmas()...), 1)
	require.NoError(t, err)
	_, err = db.Exec(`INSERT INTO grey (id, body, changed_ms, deleted) VALUES ('g', '{"id":"g","name":"Slate greys"}', 0, 0)`)
	require.NoError(t, err)
	before, err := os.ReadFile(filepath.Join(dir, FileName))
	require.NoError(t, err)
	b := look(t, dir)
	greys, err := b.Greys()
	require.NoError(t, err)
	require.Equal(t, "Slate greys", greys[len(greys)-1].Name)
	require.NoError(t, b.Close())
	after, err := os.ReadFile(filepath.Join(dir, FileName))
	require.NoError(t, err)
	require.Equal(t, before, after)
	require.Equal(t, "4", pragmasOf(t, db)["user_version"])
	require.NoError(t, db.Close())
}

// After a power cut the newest events stand in the log alone. They are read, and
// file and log stay as the power cut left them.
func TestLookAfterAPowerCut(t *testing.T) {
	dir, cut := t.TempDir(), t.TempDir()
	b := open(t, dir)
	require.NoError(t, b.Append(recorded("b1", 1, started(), mix.CupPlaced{}), nil, nil))
	for _, name := range []string{FileName, FileName + "-wal"} { // the index of the log is lost
		body, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(cut, name), body, 0o600))
	}
	before := folderOf(t, cut)
	seen := look(t, cut)
	events, ok, err := seen.Unfinished()
	require.NoError(t, err)
	require.True(t, ok)
	require.Len(t, events, 2)
	require.NoError(t, seen.Close())
	after := folderOf(t, cut)
	for name, was := range before {
		require.Equal(t, was, after[name], name)
	}
	events, ok, err = open(t, cut).Unfinished()
	require.NoError(t, err)
	require.True(t, ok)
	require.Len(t, events, 2, "the bench finds them too")
}

// What can not be read is refused by a sentence, and left as it is.
func TestLookRefuses(t *testing.T) {
	none := t.TempDir()
	_, err := Look(none)
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.ErrorContains(t, err, "there is no book in "+none)
	require.Empty(t, folderOf(t, none), "nothing is made")
	_, err = Look(filepath.Join(none, "deeper"))
	require.ErrorIs(t, err, fs.ErrNotExist)

	newer, foreign, damaged, folder := t.TempDir(), t.TempDir(), t.TempDir(), t.TempDir()
	require.NoError(t, open(t, newer).Close())
	sqlInto(t, newer, `PRAGMA user_version = 99`)
	sqlInto(t, foreign, `CREATE TABLE customer (name TEXT)`)
	require.NoError(t, os.WriteFile(filepath.Join(damaged, FileName), []byte("a letter to the paint shop, and no database at all"), 0o600))
	require.NoError(t, os.Mkdir(filepath.Join(folder, FileName), 0o700))
	for dir, want := range map[string]error{newer: ErrNewer, foreign: ErrForeign, damaged: ErrDamaged} {
		before := folderOf(t, dir)
		_, err := Look(dir)
		require.ErrorIs(t, err, want)
		require.ErrorContains(t, err, filepath.Join(dir, FileName))
		require.Equal(t, before, folderOf(t, dir))
	}
	_, err = Look(newer)
	require.ErrorContains(t, err, fmt.Sprintf("it has version 99, this program knows up to %d, and it was left as it is: use the newer program", len(migrationNames())))
	_, err = Look(folder)
	require.ErrorContains(t, err, "it is no file: move it away")
}
