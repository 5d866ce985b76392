package main

import (
	"encoding/json"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// printed is a JSON object as a program of somebody else would read it: by the
// names alone.
func printed(t *testing.T, args ...string) map[string]any {
	t.Helper()
	status, out, errs := gramcup(t, "", args...)
	require.Zero(t, status, errs)
	var o map[string]any
	d := json.NewDecoder(strings.NewReader(out))
	require.NoError(t, d.Decode(&o))
	require.False(t, d.More(), "one object")
	return o
}

func rows(t *testing.T, o map[string]any, names ...string) []map[string]any {
	t.Helper()
	var all []map[string]any
	for _, c := range o["components"].([]any) {
		row := c.(map[string]any)
		require.Subset(t, slices.Collect(maps.Keys(row)), names)
		all = append(all, row)
	}
	return all
}

// The names of the JSON that scripts of others hang on. The figures are those
// of 100:30 by volume at 1.35 and 1.10 g/mL: of 500 g, 135 to 33 parts.
func TestJSONNames(t *testing.T) {
	plan := printed(t, line("plan --json --ratio 100:30 --density 1.35,1.10 --mass-g 500")...)
	got := rows(t, plan, "target_g", "volume_ml", "mass_fraction")
	for i, part := range []float64{135, 33} {
		assert.InDelta(t, 500*part/168, got[i]["target_g"], 1e-10, "in full precision")
		assert.InDelta(t, part/168, got[i]["mass_fraction"], 1e-14)
		assert.InDelta(t, 500*part/168/[]float64{1.35, 1.10}[i], got[i]["volume_ml"], 1e-10)
	}
	assert.InDelta(t, 500, plan["total_g"], 1e-10)
	ml := 500 * (100 + 30) / 168.0
	assert.InDelta(t, ml, plan["total_ml"], 1e-10)
	assert.InDelta(t, 500/ml, plan["density_g_ml"], 1e-12)

	// 3:1 by volume of equal densities, 58 g of hardener where 53.5 were wanted:
	// the base goes to 174, 13.5 more than the 160.5 in the cup.
	level := printed(t, line("level --json --ratio 3:1 --density 1.07,1.07 --target-ml 200 --poured-g 160.5,58")...)
	got = rows(t, level, "add_g")
	assert.InDelta(t, 13.5, got[0]["add_g"], 1e-9)
	assert.InDelta(t, 0, got[1]["add_g"], 1e-9)
	assert.InDelta(t, 232, level["total_g"], 1e-9)

	once := printed(t, "demo", "--once", "--json", "--seed", "3")
	assert.Equal(t, "complete", once["state"])
	assert.NotEmpty(t, once["recipe"])
	for _, row := range rows(t, once, "name", "role", "target_g", "poured_g", "error_g", "volume_ml") {
		assert.NotEmpty(t, row["name"])
		assert.Contains(t, []string{"base", "hardener", "reducer", "additive"}, row["role"])
		assert.InDelta(t, row["poured_g"].(float64)-row["target_g"].(float64), row["error_g"], 1e-9)
		assert.False(t, math.Abs(row["error_g"].(float64)) > 0.06*row["target_g"].(float64), "%v", row)
	}
}

// TestOnceTable is what a person reads of it.
func TestOnceTable(t *testing.T) {
	status, out, errs := gramcup(t, "", "demo", "--once", "--seed", "3")
	require.Zero(t, status, errs)
	for _, word := range []string{"(invented), seed 3: complete", "component", "line g", "poured g", "error g", "on the line", "together"} {
		require.Contains(t, out, word)
	}
}
