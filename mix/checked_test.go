package mix_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// checkedAt is the moment of the checks here.
func checkedAt() time.Time { return time.Date(2031, time.May, 3, 12, 0, 0, 0, time.Local) }

func repeatsOf(grams ...float64) scale.Repeats {
	var readings []scale.Mass
	for _, g := range grams {
		readings = append(readings, scale.MassFromGrams(g))
	}
	return scale.RepeatsOf(readings, checkedAt().UnixMilli())
}

// Of the scatter at rest and that of the weighings of a check the larger counts, and
// the sentence says where it comes from. By hand for 2000.0, 2000.2 and 1999.9 g:
// s = 0.1528 g, and × 4.53/2 for its two degrees of freedom 0.346 g.
func TestTheLargerScatterCounts(t *testing.T) {
	quiet := scale.Manner{Noise: 20 * scale.Milligram, Stills: 30}
	loud := scale.Manner{Noise: 500 * scale.Milligram, Stills: 30}
	bad, good := repeatsOf(2000.0, 2000.2, 1999.9), repeatsOf(2000, 2000, 2000.1)
	for name, row := range map[string]struct {
		manner  scale.Manner
		repeats scale.Repeats
		wantG   float64
		says    string
	}{
		"quiet rests, bad repeats": {quiet, bad, 0.345985, "a scale of 0.1 g, taken to scatter by 0.35 g from the scale check of 3 May 2031, which put a weight on 3 times"},
		"loud rests, bad repeats":  {loud, bad, 0.5, "a scale of 0.1 g that scatters by 0.5 g, as it was measured"},
		"quiet rests, rounding":    {quiet, good, 0.057735, "a scale of 0.1 g that scatters by less than its step, from the scale check of 3 May 2031"},
		"no rests, bad repeats":    {scale.Manner{}, bad, 0.345985, "a scale of 0.1 g, taken to scatter by 0.35 g from the scale check of 3 May 2031, which put a weight on 3 times"},
		"no rests, good repeats":   {scale.Manner{}, good, 0.057735, "a scale of 0.1 g that scatters by less than its step, from the scale check of 3 May 2031"},
		"quiet rests, no check":    {quiet, scale.Repeats{}, 0.02, "a scale of 0.1 g that scatters by less than its step, as it was measured"},
		"nothing":                  {scale.Manner{}, scale.Repeats{}, 0.1, "a scale of 0.1 g, taken to scatter by one division because nobody measured it"},
	} {
		row.manner.Repeats = row.repeats
		a := mix.AccuracyOf(division, row.manner)
		assert.InDelta(t, row.wantG, a.RepeatabilityG, 2e-6, name)
		assert.Equal(t, row.says, a.Text(), name)
	}
}

// What the check had measured goes into the batch with its start, so that what was
// achieved is told by it, also from the book and after later checks.
func TestTheCheckGoesIntoTheBatch(t *testing.T) {
	r := newRig(t)
	r.p.Repeats = repeatsOf(2000.0, 2000.2, 1999.9)
	recipe := recipeOf(t, "4:1", "1.42,1.06")
	r.start(recipe, volume(300))
	require.NotEmpty(t, r.events)
	body, err := mix.EncodeEvent(r.events[0].Event)
	require.NoError(t, err)
	assert.Contains(t, string(body), `"repeats":{"scatter_ug":152753,"n":3,"at_unix_ms":`)
	r.p.Repeats = scale.Repeats{}
	b := mix.Fold(r.events)
	assert.InDelta(t, 0.345985, b.Accuracy().RepeatabilityG, 2e-6)
	c, err := b.Recipe.Certainty(&b.Plan, b.Accuracy())
	require.NoError(t, err)
	text := mix.AchievedText(&b.Recipe, &c)
	require.Len(t, text, 2)
	assert.Equal(t, "Worked out for a scale of 0.1 g, taken to scatter by 0.35 g from the scale check of 3 May 2031, which put a weight on 3 times.", text[1])
}

// honest simulates a scale of 0.1 g whose rests are quiet and on which each new load
// reads differently, by placeG: a check with three weighings, then the readings of a
// batch that is just as planned. It gives how often the ratio that is shown lies
// within what was said of it, with the check and without.
func honest(t *testing.T, placeG float64) (with, without float64) {
	r := recipeOf(t, "4:1", "1.42,1.06")
	for i := range r.Components {
		r.Components[i].Density.UncertaintyGML = 1e-9
	}
	p, err := r.Plan(volume(300))
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(41, uint64(placeG*1000)))
	reads := func(g float64) float64 { return math.Round((g+placeG*random.NormFloat64())*10) / 10 }
	const turns = 4000
	for range turns {
		rests := scale.Manner{Noise: 20 * scale.Milligram, Stills: 30}
		checked := rests
		checked.Repeats = repeatsOf(reads(2000), reads(2000), reads(2000))
		cup := 180 + random.Float64()
		m1, m2 := p.Targets[0].MassG, p.Targets[1].MassG
		empty, one, both := reads(cup), reads(cup+m1), reads(cup+m1+m2)
		off := math.Abs((one-empty)/(both-one)*m2/m1 - 1)
		for _, is := range []struct {
			manner scale.Manner
			within *float64
		}{{checked, &with}, {rests, &without}} {
			c, err := r.Certainty(&p, mix.AccuracyOf(division, is.manner))
			require.NoError(t, err)
			if off <= c.Ratio[1].ExpandedRelative() {
				*is.within += 1.0 / turns
			}
		}
	}
	return with, without
}

// A scale whose rests are quiet and whose placements scatter looked far surer than it
// is. After a check what is said holds in about 95 of 100 batches, as it claims.
func TestQuietRestsAndBadPlacementsAreJudgedHonestly(t *testing.T) {
	for _, placeG := range []float64{0.3, 0.5, 2} {
		with, without := honest(t, placeG)
		t.Logf("placements of %.1f g: within what was said %.1f %% after a check, %.1f %% before", placeG, 100*with, 100*without)
		assert.InDelta(t, 0.95, with, 0.02, "placements of %v g", placeG)
		assert.Less(t, without, 0.5, "placements of %v g: else the check told nothing new", placeG)
	}
}
