package ui

import (
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/assert"

	"gramcup/mix"
	"gramcup/scale"
)

// What the bench has measured of its scale is what the smallest honest batch is
// worked out from, and the page says so: 2·1/0.03 = 66.7 g of hardener for a scale
// that nobody measured, 2·0.41/0.03 = 27.3 g for one that scatters by 0.3 g, and
// 2·1.5/0.03 = 100 g for one that scatters by 1.5 g, each on 10.6 g in 60 ml.
func TestPlanUsesTheMeasuredScale(t *testing.T) { synctest.Test(t, planUsesTheMeasuredScale) }

func planUsesTheMeasuredScale(t *testing.T) {
	for want, manner := range map[string]scale.Manner{
		"380 ml would do": {},
		"160 ml would do": {Noise: 300 * scale.Milligram, Stills: 6},
		"570 ml would do": {Noise: 1500 * scale.Milligram, Stills: 6},
	} {
		r := newStillRig(t, func(c *Config) {
			c.Shelf, c.Division = shelfOf{recipes: []mix.Recipe{surfacer()}}, func() scale.Mass { return scale.Gram }
		})
		r.hub.Live(mix.Live{Valid: true, Manner: manner})
		got := get[PlanAnswer](r, "/api/plan?recipe=kl-primer&kind=volume&ml=60")
		assert.Equal(t, want, got.Sure.WouldDoText)
		assert.Equal(t, manner.Stills > 0, got.Sure.Measured)
		last := got.Sure.Sentences[len(got.Sure.Sentences)-1]
		if manner.Stills == 0 {
			assert.Equal(t, "Worked out for a scale of 1 g, taken to scatter by one division because nobody measured it.", last)
			continue
		}
		assert.InDelta(t, manner.Noise.Grams(), got.Sure.RepeatabilityG, 1e-9)
		assert.Contains(t, last, ", as it was measured.")
	}
}
