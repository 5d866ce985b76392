package main

import (
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/book"
)

// bookOf is a folder with a book that was made by statements alone, as no
// program of today would make it.
func bookOf(t *testing.T, statements ...string) (folder string) {
	t.Helper()
	folder = t.TempDir()
	db, err := sql.Open("sqlite", filepath.Join(folder, book.FileName))
	require.NoError(t, err)
	for _, s := range statements {
		_, err = db.Exec(s)
		require.NoError(t, err)
	}
	require.NoError(t, db.Close())
	return folder
}

// asks are the commands that only ask the book, each with what it says where the
// book has no answer.
func asks(folder string) map[string][]string {
	return map[string][]string{
		"scale":                               {"scale", "checks", "--data", folder},
		"undercoats":                          {"grey", "--system", "Ferry", "--wanted", "60", "--data", folder},
		`no cup is called "Red tub"`:          {"strip", slate, "--volume-ml", "300", "--cup", "Red tub", "--data", folder},
		`--cup: no cup is called "Green tub"`: {"plan", slate, "--volume-ml", "300", "--cup", "Green tub", "--data", folder},
	}
}

// A command that only asks leaves a book of an older version as it is, to the last
// byte, and answers all the same.
func TestAskingLeavesAnOldBookAsItIs(t *testing.T) {
	for _, version := range []int{1, 2, 4} {
		text, err := os.ReadFile(fmt.Sprintf("../../testdata/books/v%d.sql", version))
		require.NoError(t, err)
		folder := bookOf(t, string(text), "PRAGMA journal_mode = wal")
		path := filepath.Join(folder, book.FileName)
		before, err := os.ReadFile(path)
		require.NoError(t, err)
		for says, args := range asks(folder) {
			_, out, errs := gramcup(t, "", args...)
			assert.Contains(t, out+errs, says, "version %d: %v", version, args)
			after, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, before, after, "version %d: %v", version, args)
		}
		files, err := os.ReadDir(folder)
		require.NoError(t, err)
		require.Len(t, files, 1, "version %d: the book alone", version)
	}
	// The checks of version 2 are told in full.
	text, err := os.ReadFile("../../testdata/books/v2.sql")
	require.NoError(t, err)
	_, out, errs := gramcup(t, "", "scale", "checks", "--data", bookOf(t, string(text)))
	assert.Empty(t, errs)
	assert.Regexp(t, `(?m)^ +2 .* not passed$`, out)
}

// A newer book is refused in one sentence, and stays as it is.
func TestAskingRefusesANewerBook(t *testing.T) {
	folder := bookOf(t, "PRAGMA application_id = 1734571376; PRAGMA user_version = 99; CREATE TABLE cup (tomorrow TEXT)")
	path := filepath.Join(folder, book.FileName)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, args := range asks(folder) {
		status, out, errs := gramcup(t, "", args...)
		assert.Equal(t, 1, status, args)
		assert.Empty(t, out)
		assert.Contains(t, errs, "the book is newer than this program: it has version 99", args)
		assert.Contains(t, errs, "it was left as it is: use the newer program", args)
	}
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, before, after)
}

// A bench that works on the book is not in the way, and its newest entry is seen.
func TestAskingBesideABench(t *testing.T) {
	folder := bookWithTub(t)
	b, err := book.Open(folder)
	require.NoError(t, err)
	defer func() { require.NoError(t, b.Close()) }()
	_, out, errs := gramcup(t, "", "scale", "checks", "--data", folder)
	assert.Empty(t, errs)
	assert.Contains(t, out, "no scale was checked yet")
	require.NoError(t, b.PutCup(mix.Cup{
		ID: "cup-2", Name: "Tall beaker", AtMS: 1_700_000_000_000, WaterC: 20, EmptyG: 42, Scale: "bench scale", ReadingG: 0.1,
		Fills: []mix.CupFill{{HeightMM: 30, WaterG: 149.731}, {HeightMM: 66, WaterG: 329.45}},
	}, time.Now()))
	_, out, errs = gramcup(t, "", "strip", slate, "--volume-ml", "300", "--cup", "Tall beaker", "--data", folder)
	assert.Empty(t, errs)
	assert.Contains(t, out, "mark mm")
}
