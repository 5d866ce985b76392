package mix_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Colder or warmer, what ignoring it would do to the ratio is said with its sign:
// 0.40 % in 10 K either way (base 0.0007, hardener 0.0011 a kelvin),
// and nothing where nothing would change.
func TestShiftInWords(t *testing.T) {
	r := described(t)
	for i, perK := range []float64{0.0007, 0.0011, 0.0007} {
		r.Components[i].Density.ExpansionPerK = perK
	}
	cold, err := r.At(10)
	require.NoError(t, err)
	// (1 - 0.011)/(1 - 0.007) - 1 = -0.403 %
	assert.Equal(t, []string{"With the densities left as they were, there would be 0.40 % too little hardener."}, cold.ShiftText())
	assert.InDelta(t, -0.00403, cold.Shift[1], 1e-5)
	assert.InDelta(t, 0, cold.Shift[2], 1e-12, "what expands as the base does keeps its ratio")
	assert.Empty(t, cold.Notes, "10 K are not yet too far")
	warm, err := r.At(30)
	require.NoError(t, err)
	assert.Equal(t, []string{"With the densities left as they were, there would be 0.40 % too much hardener."}, warm.ShiftText())
	same, err := r.At(20)
	require.NoError(t, err)
	assert.Empty(t, same.ShiftText())
	assert.Equal(t, r.Components, same.Recipe.Components)
}

// The warning beyond 10 K names all whom it concerns, once; a density that was
// measured at another temperature is not among them.
func TestFarFromTheReference(t *testing.T) {
	r := described(t)
	for i := range r.Components {
		r.Components[i].Density.ExpansionPerK = 0.0009
	}
	r.Components[1].Density.ReferenceC = 25
	w, err := r.At(31)
	require.NoError(t, err)
	assert.Equal(t, []string{"base, reducer: The paint is at 31 °C and its density holds for 20 °C: more than 10 K apart the correction is a guess. Let the tins come to 20 °C, or measure the density here."}, w.Notes)
	w, err = r.At(9)
	require.NoError(t, err)
	require.Len(t, w.Notes, 2)
	assert.Contains(t, w.Notes[1], "hardener: The paint is at 9 °C and its density holds for 25 °C")
	r.Components[2].Density.ReferenceC = 200
	_, err = r.At(20)
	assert.ErrorContains(t, err, "A density that holds for 200 °C can not be right")
}
