package scale

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// OIML R 76-1 table 3, as a public copy of the table prints it.
func TestClassFor(t *testing.T) {
	for _, c := range []struct {
		capacity, e Mass
		want        Class
	}{
		{6 * Kilogram, 100 * Milligram, ClassII}, // 60 000 e
		{6 * Kilogram, Gram, ClassIII},           // 6 000 e
		{5 * Kilogram, 5 * Gram, ClassIIII},      // 1 000 e; III would fit too
		{3 * Kilogram, 10 * Milligram, ClassI},   // 300 000 e
		{Kilogram, 100 * Milligram, ClassIII},    // 10 000 e, the most of III
		{200 * Gram, Milligram, ClassI},          // 200 000 e
		{20 * Gram, Milligram, ClassII},
		{Gram, Gram, ClassNone},
		{0, Gram, ClassNone},
		{Kilogram, 0, ClassNone},
	} {
		assert.Equal(t, c.want, ClassFor(c.capacity, c.e), "%v by %v", c.capacity, c.e)
	}
}

// OIML R 76-1 table 6: at and just above each break.
func TestMaxError(t *testing.T) {
	e := Gram
	for _, c := range []struct {
		class Class
		n     int64
		want  Mass
	}{
		{ClassI, 50_000, e / 2}, {ClassI, 50_001, e}, {ClassI, 200_000, e}, {ClassI, 200_001, 3 * e / 2},
		{ClassII, 5_000, e / 2}, {ClassII, 5_001, e}, {ClassII, 20_000, e}, {ClassII, 20_001, 3 * e / 2},
		{ClassIII, 500, e / 2}, {ClassIII, 501, e}, {ClassIII, 2_000, e}, {ClassIII, 2_001, 3 * e / 2},
		{ClassIIII, 50, e / 2}, {ClassIIII, 51, e}, {ClassIIII, 200, e}, {ClassIIII, 201, 3 * e / 2},
	} {
		got, err := MaxError(c.class, e, Mass(c.n)*e)
		require.NoError(t, err)
		assert.Equal(t, c.want, got, "class %s at %d e", c.class, c.n)
	}
	_, err := MaxError(ClassNone, e, e)
	assert.ErrorContains(t, err, "from the scale's plate")
}

// OIML R 111-1:2004: two independent public tables agree on these.
func TestWeightError(t *testing.T) {
	for _, c := range []struct {
		nominal Mass
		class   string
		want    Mass
	}{
		{100 * Gram, "E2", 160}, {200 * Gram, "F1", 1_000}, {500 * Gram, "M1", 25_000},
		{Kilogram, "F2", 16_000}, {Kilogram, "M1", 50_000}, {2 * Kilogram, "M2", 300_000}, {5 * Kilogram, "M3", 2_500_000},
	} {
		class, err := ParseWeightClass(c.class)
		require.NoError(t, err)
		got, err := WeightError(c.nominal, class)
		require.NoError(t, err)
		assert.Equal(t, c.want*Microgram, got, "%v %s", c.nominal, c.class)
	}
	_, err := WeightError(123*Gram, WeightM1)
	assert.ErrorContains(t, err, "use one of")
	_, err = ParseWeightClass("Z9")
	assert.ErrorContains(t, err, "E1, E2, F1")
}

// The two worked cases: a 0.1 g scale needs F2 for 1 kg, a 1 g scale is well
// served by M1.
func TestWeightGoodEnough(t *testing.T) {
	fine, err := MaxError(ClassII, 100*Milligram, Kilogram)
	require.NoError(t, err)
	assert.Equal(t, 100*Milligram, fine)
	assert.True(t, WeightGoodEnough(16*Milligram, fine))
	assert.False(t, WeightGoodEnough(50*Milligram, fine))
	coarse, err := MaxError(ClassIII, Gram, Kilogram)
	require.NoError(t, err)
	assert.Equal(t, Gram, coarse)
	assert.True(t, WeightGoodEnough(50*Milligram, coarse))
}

func goodCheck() Check {
	kg := Kilogram
	return Check{Capacity: 6 * Kilogram, Division: 100 * Milligram, Nominal: kg, WeightClass: WeightF2,
		Repeats: []Mass{kg, kg + 100*Milligram, kg}, Corners: []Mass{kg, kg - 100*Milligram, kg, kg}}
}

func TestJudge(t *testing.T) {
	v, err := goodCheck().Judge()
	require.NoError(t, err)
	assert.True(t, v.Passed, v.Findings)
	assert.Equal(t, ClassII, v.Class)
	assert.Equal(t, 200*Milligram, v.Limit, "twice table 6")
	assert.Equal(t, 100*Milligram, v.Worst)
	assert.Equal(t, 100*Milligram, v.Spread)
	for _, c := range []struct {
		name   string
		change func(*Check)
		says   string
	}{
		{"off", func(c *Check) {
			c.Repeats = []Mass{Kilogram - 300*Milligram, Kilogram - 300*Milligram, Kilogram - 200*Milligram}
		}, "-0.3 g off, allowed are 0.2 g"},
		{"apart", func(c *Check) { c.Repeats = []Mass{Kilogram - 200*Milligram, Kilogram, Kilogram + 200*Milligram} }, "0.4 g apart"},
		{"no zero before", func(c *Check) { c.ZeroBefore = Gram }, "zero it first"},
		{"no zero after", func(c *Check) { c.ZeroAfter = -200 * Milligram }, "came back to -0.2 g"},
		{"no zero between", func(c *Check) { c.ZerosBetween = []Mass{0, 300 * Milligram} }, "came back to 0.3 g"},
		{"corner", func(c *Check) { c.Corners[2] = Kilogram + Gram }, "at the back it shows 1001 g"},
		{"coarse weight", func(c *Check) { c.WeightClass = WeightM2 }, "a finer one is needed"},
	} {
		check := goodCheck()
		c.change(&check)
		v, err := check.Judge()
		require.NoError(t, err, c.name)
		assert.False(t, v.Passed, c.name)
		require.Len(t, v.Findings, 1, c.name)
		assert.Contains(t, v.Findings[0], c.says)
	}
}

func TestJudgeRefuses(t *testing.T) {
	for _, c := range []struct {
		change func(*Check)
		says   string
	}{
		{func(c *Check) { c.Repeats = c.Repeats[:2] }, "at least 3"},
		{func(c *Check) { c.Division = 0 }, "division is not known"},
		{func(c *Check) { c.Nominal = 10 * Kilogram }, "more than the scale can weigh"},
		{func(c *Check) { c.Nominal = 300 * Gram }, "use one of"},
		{func(c *Check) { c.Capacity = 0 }, "from the scale's plate"},
	} {
		check := goodCheck()
		c.change(&check)
		_, err := check.Judge()
		assert.ErrorContains(t, err, c.says)
	}
}

func TestParseClass(t *testing.T) {
	for c := ClassNone + 1; c <= ClassIIII; c++ {
		got, err := ParseClass(c.String())
		require.NoError(t, err)
		assert.Equal(t, c, got)
	}
	got, err := ParseClass("")
	require.NoError(t, err)
	assert.Equal(t, ClassNone, got)
	for _, s := range []string{"3", "iii", "none", "V"} {
		_, err = ParseClass(s)
		assert.ErrorContains(t, err, "on the plate", s)
	}
}
