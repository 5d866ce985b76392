package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/book"
)

// Undercoats that the page kept are asked by their name in the terminal, and
// give what the same drawdowns typed here give.
func TestGreyFromTheBook(t *testing.T) {
	folder := t.TempDir()
	b, err := book.Open(folder)
	require.NoError(t, err)
	require.NoError(t, b.FillSample())
	require.NoError(t, b.PutGrey(mix.GreySystem{
		ID: "slate-greys", Name: "Slate greys", Light: mix.GreyTin{Name: "Slate surfacer"}, Dark: mix.GreyTin{Name: "Slate dark", Density: mix.Density{GPerML: 1.38, ReferenceC: 20}},
		Cards: []mix.GreyCard{{DarkPercent: 0, Lightness: 91}, {DarkPercent: 10, Lightness: 68}, {DarkPercent: 50, Lightness: 44}, {DarkPercent: 100, Lightness: 30}},
		Steps: []mix.GreyStep{{Name: "Middle", Lightness: 60}},
	}, time.Now()))
	from := []string{"grey", "--json", "--data", folder, "--wanted", "middle", "--volume-ml", "300", "--system"}

	kept := printed(t, append(from, "slate greys")...)
	typed := printed(t, line("grey --json --card 0:91 --card 10:68 --card 50:44 --card 100:30 --wanted 60 --volume-ml 300 --light 1.42 --dark 1.38")...)
	assert.Equal(t, typed, kept, "the light one stands on the sample shelf with 1.42 g/ml")
	assert.InDelta(t, 55.6*1.38, kept["dark_g"], 0.1)

	require.NoError(t, b.Close(), "until now a bench had the book")
	assert.Equal(t, kept, printed(t, append(from, "slate greys")...))

	for says, args := range map[string][]string{
		"the book keeps: Slate greys":         append(from, "Ferry"),
		"has its own drawdowns":               append(from, "Slate greys", "--card", "0:90"),
		"which undercoats? give --system":     {"grey", "--wanted", "60"},
		"there is no book in":                 {"grey", "--wanted", "60", "--system", "Slate greys", "--data", t.TempDir()},
		"neither an L* nor a step; steps are": append(from[:4:4], "--wanted", "dim", "--system", "Slate greys"),
	} {
		status, out, errs := gramcup(t, "", args...)
		assert.NotZero(t, status, says)
		assert.Empty(t, out)
		assert.Contains(t, errs, says)
	}
}
