package checkup

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

const (
	g  = scale.Gram
	kg = scale.Kilogram
)

// Limits and weights from the tables: OIML R 76-1:2006 table 3 (class from n =
// Max/e and e) and table 6 (mpe, doubled in service), OIML R 111-1:2004 for the
// weight, and the rule of one third (common practice, from memory).
func TestLimitsOfASetup(t *testing.T) {
	for _, c := range []struct {
		name         string
		s            Setup
		class        scale.Class
		limit        scale.Mass
		weight       scale.Mass
		source       string
		cornersJudge bool
	}{
		{"6 kg by 0.1 g", Setup{Capacity: 6 * kg, Division: g / 10, Nominal: kg, WeightClass: scale.WeightM1},
			scale.ClassII, g / 5, 50 * scale.Milligram, "60 000 e is II; 10 000 e of load: 1.0 e, doubled", false},
		{"the same with its third", Setup{Capacity: 6 * kg, Division: g / 10, Nominal: 2 * kg, WeightClass: scale.WeightF2},
			scale.ClassII, g / 5, 30 * scale.Milligram, "20 000 e of load is still 1.0 e", true},
		{"above 20 000 e", Setup{Capacity: 6 * kg, Division: g / 10, Nominal: 5 * kg, WeightClass: scale.WeightF2},
			scale.ClassII, 3 * g / 10, 80 * scale.Milligram, "50 000 e of load: 1.5 e", false},
		{"5 kg by 1 g from its plate", Setup{Capacity: 5 * kg, Division: g, Class: scale.ClassIII, Nominal: 2 * kg, WeightClass: scale.WeightM1},
			scale.ClassIII, 2 * g, 100 * scale.Milligram, "2 000 e of load: 1.0 e", true},
		{"light on it", Setup{Capacity: 5 * kg, Division: g, Class: scale.ClassIII, Nominal: 500 * g, WeightClass: scale.WeightM3},
			scale.ClassIII, g, 250 * scale.Milligram, "500 e of load: 0.5 e", false},
		{"a finer last digit", Setup{Capacity: 3 * kg, Division: g / 100, Interval: g / 10, Class: scale.ClassII, Nominal: kg, WeightClass: scale.WeightF2},
			scale.ClassII, g / 5, 16 * scale.Milligram, "e = 10 d counts for the limit", true},
		{"half an e is less than a step", Setup{Capacity: 30 * kg, Division: 5 * g, Class: scale.ClassIII, Nominal: kg, WeightClass: scale.WeightM2},
			scale.ClassIII, 5 * g, 160 * scale.Milligram, "200 e of load: 0.5 e, doubled, is one division", false},
	} {
		l, err := c.s.limits()
		require.NoError(t, err, c.name)
		assert.Equal(t, c.class, l.Class, c.name)
		assert.Equal(t, c.limit, l.Limit, "%s: %s", c.name, c.source)
		assert.Equal(t, c.weight, l.Weight, c.name)
		assert.Equal(t, c.cornersJudge, c.s.cornerTrouble() == "", c.name)
	}
}

func TestASetupThatCanNotWorkIsRefused(t *testing.T) {
	good := Setup{Capacity: 6 * kg, Division: g / 10, Nominal: kg, WeightClass: scale.WeightF2}
	for _, c := range []struct {
		change func(*Setup)
		says   string
	}{
		{func(s *Setup) { s.Capacity = 0 }, "stands on the plate as Max"},
		{func(s *Setup) { s.Division = 0 }, "stands on the plate as d"},
		{func(s *Setup) { s.Capacity = g }, "no class has"},
		{func(s *Setup) { s.Nominal = 300 * g }, "use one of"},
		// OIML R 76-1, 3.4.2, from memory: d < e <= 10 d.
		{func(s *Setup) { s.Interval = 5 * g }, "e is 5 g and the scale shows steps of 0.1 g"},
		{func(s *Setup) { s.Interval = g / 100 }, "e is 0.01 g and the scale shows steps of 0.1 g"},
		{func(s *Setup) { s.Capacity = 600 * g }, "more than the scale can weigh"},
		// 1 kg, OIML R 111-1: M2 160 mg and M1 50 mg against a third of 200 mg.
		{func(s *Setup) { s.WeightClass = scale.WeightM2 }, "may itself be 0.16 g off, more than a third of the limit of 0.2 g: use class M1 or finer"},
		{func(s *Setup) { s.WeightID = string(make([]byte, 61)) }, "at most 60"},
	} {
		s := good
		c.change(&s)
		_, err := New(s)
		assert.ErrorContains(t, err, c.says)
	}
	_, err := New(good)
	assert.NoError(t, err)
	lax := good
	lax.Interval = 5 * g
	_, _, err = Advise(lax)
	assert.ErrorContains(t, err, "up to ten of them", "and no weight is advised for it")
}

// The pairing is that of a weight maker's guide; the worked cases of a third
// are 67 mg for 0.2 g (M1 fits with 50 mg) and 667 mg for 2 g (M3 with 500 mg).
func TestAdvise(t *testing.T) {
	list, usual, err := Advise(Setup{Capacity: 6 * kg, Division: g / 10})
	require.NoError(t, err)
	assert.Equal(t, "Usual for class II: weights F1 or F2.", usual)
	require.Len(t, list, 6)
	assert.Equal(t, Advice{Nominal: kg, Limit: g / 5, Coarsest: "M1"}, list[3])
	assert.Equal(t, Advice{Nominal: 2 * kg, Limit: g / 5, Coarsest: "F2", Corners: true}, list[4])

	list, usual, err = Advise(Setup{Capacity: kg, Division: g, Class: scale.ClassIII})
	require.NoError(t, err)
	assert.Contains(t, usual, "M1")
	assert.Len(t, list, 4, "nothing above the capacity")
	assert.Equal(t, Advice{Nominal: kg, Limit: 2 * g, Coarsest: "M3"}, list[3])

	list, _, err = Advise(Setup{Capacity: 200 * g, Division: scale.Milligram, Class: scale.ClassI})
	require.NoError(t, err)
	assert.Equal(t, "F1", list[0].Coarsest, "100 000 e: 2 mg in service; 100 g F1 has 0.5 mg, a third is 0.67")
	_, _, err = Advise(Setup{Division: g})
	assert.ErrorContains(t, err, "Max")
}

func TestGramsAreExact(t *testing.T) {
	for _, s := range []string{"412.6", "0", "-0.000001", "1000", "6000.1"} {
		var v Grams
		require.NoError(t, json.Unmarshal([]byte(s), &v))
		b, err := json.Marshal(v)
		require.NoError(t, err)
		assert.Equal(t, s, string(b))
	}
	var v Grams
	for _, s := range []string{`"1"`, "null", "true", "[]"} {
		assert.Error(t, v.UnmarshalJSON([]byte(s)), s)
	}
}

func TestEvery(t *testing.T) {
	last := time.Date(2026, 1, 31, 12, 0, 0, 0, time.UTC)
	for _, c := range []struct{ text, due, says string }{
		{"", "2027-01-31", "every 12 months"}, {"180d", "2026-07-30", "every 180 days"},
		{"26w", "2026-08-01", "every 182 days"}, {"1mo", "2026-03-03", "every month"}, {"never", "", "never"},
	} {
		e, err := ParseEvery(c.text)
		require.NoError(t, err)
		due, ok := e.After(last)
		assert.Equal(t, c.due != "", ok)
		if ok {
			assert.Equal(t, c.due, due.Format(time.DateOnly), c.text)
		}
		assert.Equal(t, c.says, e.String())
	}
	for _, s := range []string{"180", "d", "-3d", "0d", "1y", "99999d", "1.5d"} {
		_, err := ParseEvery(s)
		assert.ErrorContains(t, err, "180d", s)
	}
}
