package coating

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// VS = 1 − ρ·Σ(w/ρ) over all that evaporates, water included (the idea of ASTM
// D5201), by hand: 1.02·0.40/0.87 = 0.46897 of a millilitre leaves; of the water
// base 1.02·(0.66/0.99820 + 0.14/0.88) at 20 °C; and 0.86·(0.60/0.87 + 0.40/0.79)
// with exempt solvent of 0.79.
func TestSolidsFromWeight(t *testing.T) {
	for _, c := range []struct {
		density float64
		e       Evaporates
		want    float64
	}{
		{1.02, Evaporates{Volatile: 0.40, SolventGML: 0.87}, 1 - 1.02*0.40/0.87},
		{1.02, Evaporates{Volatile: 0.80, Water: 0.66, SolventGML: 0.88}, 1 - 1.02*(0.66/0.99820+0.14/0.88)},
		{0.86, Evaporates{Volatile: 0.90, Exempt: 0.40, SolventGML: 0.87, ExemptGML: 0.79}, 1 - 0.86*(0.50/0.87+0.40/0.79)},
		{1.00, Evaporates{Volatile: 0.50, Water: 0.50}, 1 - 0.50/0.99820},
	} {
		got, err := SolidsFromWeight(c.density, c.e, 20)
		require.NoError(t, err)
		assert.InDelta(t, c.want, got, 2e-5)
	}
	for says, c := range map[string]struct {
		density float64
		e       Evaporates
	}{
		"only with a density":            {0, Evaporates{Volatile: 0.4, SolventGML: 0.87}},
		"that can not be":                {1, Evaporates{Volatile: 0.4, Water: 0.5, SolventGML: 0.87}},
		"the density of the solvent":     {1, Evaporates{Volatile: 0.4}},
		"would fill 149.4 % of the volu": {1.3, Evaporates{Volatile: 1, SolventGML: 0.87}},
	} {
		_, err := SolidsFromWeight(c.density, c.e, 20)
		assert.ErrorContains(t, err, says)
	}
}
