package ui

import (
	"net/http"
	"strconv"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix/coating"
)

// A density that no paint has is refused whatever the component is, confirmed or
// not, with the sentence that a page shows.
func TestAnImpossibleDensityIsRefused(t *testing.T) { synctest.Test(t, anImpossibleDensityIsRefused) }

func anImpossibleDensityIsRefused(t *testing.T) {
	for typed, says := range map[string]string{
		"0.59":     "Quay hardener: density 0.59 g/mL can not be right: paint, hardener and reducer lie between 0.6 and 3 g/mL.",
		"3.01":     "Quay hardener: density 3.01 g/mL can not be right: paint, hardener and reducer lie between 0.6 and 3 g/mL.",
		"1060":     "Quay hardener: density 1060 g/mL can not be right: did you mean 1060 g/L? then write the unit.",
		"4 lb/gal": "Quay hardener: density 0.4793 g/mL can not be right: paint, hardener and reducer lie between 0.6 and 3 g/mL.",
		"nan":      `Quay hardener: density "nan" is not a number with a unit: write 1.42, 1420 g/L or 11.85 lb/gal.`,
		"0":        `Quay hardener: density "0": a density of 0 means that nothing is known, and nothing is assumed: read it from the product sheet or weigh it against water.`,
	} {
		e := newEditing(t)
		status, a := e.change(ShelfBody{Do: "put", Confirm: true, Recipe: quay(), Densities: []ShelfDensity{{Typed: "1.4"}, {Typed: typed}}})
		assert.Equal(t, http.StatusUnprocessableEntity, status, typed)
		assert.Equal(t, says, a.Sentence)
	}
}

// Every row of usual densities is asked about on both its sides by the sentence
// that a page shows, and taken once a person has confirmed it.
func TestEveryUnlikelyDensityIsAskedAbout(t *testing.T) {
	synctest.Test(t, everyUnlikelyDensityIsAskedAbout)
}

func everyUnlikelyDensityIsAskedAbout(t *testing.T) {
	for _, row := range coating.Rows() {
		for typed, gml := range map[string]float64{"low": row.LowGML - 0.02, "high": row.HighGML + 0.02} {
			e := newEditing(t)
			r := quay()
			r.Components[0].Content.Kind = row.Kind
			put := ShelfBody{Do: "put", Recipe: r, Densities: []ShelfDensity{{Typed: strconv.FormatFloat(gml, 'f', 3, 64)}, {Typed: "1.05"}}}
			status, a := e.change(put)
			require.Equal(t, http.StatusConflict, status, "%s %s", row.Kind, typed)
			assert.Contains(t, a.Sentence, "is unusual for "+string(row.Kind)+": most lie between")
			assert.Contains(t, a.Sentence, "Look at the sheet or weigh it again, and take it if it is so.")
			put.Confirm = true
			_, a = e.change(put)
			assert.True(t, a.OK, a.Sentence)
		}
	}
}
