package main

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/book"
)

// bookWithTub is a book that knows one cup: 5 ml for each millimetre, straight,
// measured with water of 20 °C (0.998207 g/ml, Tanaka et al. 2001) up to 66 mm.
func bookWithTub(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	b, err := book.Open(folder)
	require.NoError(t, err)
	require.NoError(t, b.PutCup(mix.Cup{
		ID: "cup-1", Name: "Blue tub", AtMS: 1_700_000_000_000, WaterC: 20, EmptyG: 42, Scale: "bench scale", ReadingG: 0.1,
		Fills: []mix.CupFill{{HeightMM: 30, WaterG: 149.731}, {HeightMM: 66, WaterG: 329.45}},
	}, time.Now()))
	require.NoError(t, b.Close())
	return folder
}

// A cup that was measured on the page is known to the command line by its name,
// upper and lower case alike.
func TestStripOfANamedCup(t *testing.T) {
	folder := bookWithTub(t)
	strip := printed(t, "strip", "--json", slate, "--volume-ml", "300", "--cup", "blue TUB", "--data", folder)
	rows := strip["components"].([]any)
	for i, mm := range []float64{40, 50, 60} { // 4:1:1 of 300 ml
		row := rows[i].(map[string]any)
		assert.InDelta(t, mm, row["mark_mm"], 0.01)
		assert.InDelta(t, 0.9, row["mark_expanded_uncertainty_mm"], 0.2)
	}
	path := filepath.Join(t.TempDir(), "strip.svg")
	status, out, errs := gramcup(t, "", "strip", slate, "--volume-ml", "300", "--cup", "Blue tub", "--data", folder, "--out", path)
	require.Zero(t, status, errs)
	assert.Contains(t, out, "mark mm")
	picture, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Contains(t, string(picture), "Blue tub, weighed with water at 20 °C")
	assert.Contains(t, string(picture), "The marks stand within 0.9 mm (k = 2)")

	status, out, errs = gramcup(t, "", "strip", slate, "--volume-ml", "340", "--cup", "Blue tub", "--data", folder)
	require.Zero(t, status, errs)
	assert.Contains(t, out, "No mark for Drift reducer, medium: 340 ml in all stand above the 330 ml that were measured of this cup. Measure it higher, or mix at most 330 ml.")
}

func TestCupsThatTheCommandLineDoesNotKnow(t *testing.T) {
	folder := bookWithTub(t)
	_, _, errs := gramcup(t, "", "strip", slate, "--volume-ml", "300", "--cup", "White beaker", "--data", folder)
	assert.Contains(t, errs, `no cup is called "White beaker"; the book in `+folder+` knows Blue tub.`)
	_, _, errs = gramcup(t, "", "strip", slate, "--volume-ml", "300", "--cup", "Blue tub", "--data", t.TempDir())
	assert.Contains(t, errs, "there is no book in")
}
