package simulator

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// warm is a bench that has stood for a while.
func warm(t *testing.T, o Options) *Bench {
	t.Helper()
	b := New(o)
	b.Tick(3 * time.Second)
	require.Equal(t, scale.MotionStill, b.Reading().Motion, "an empty bench is still")
	return b
}

// weightG is what the display shows, in grams; it fails without a weight.
func weightG(t *testing.T, b *Bench) float64 {
	t.Helper()
	m, ok := b.Reading().Weight()
	require.True(t, ok, "no weight on the display: %+v", b.Reading())
	return m.Grams()
}

// settle ticks until the display is still, and says how long that took.
func settle(t *testing.T, b *Bench) time.Duration {
	t.Helper()
	begin := b.Now()
	b.Tick(100 * time.Millisecond)
	for b.Reading().Motion != scale.MotionStill {
		require.Less(t, b.Now()-begin, 20*time.Second, "the display never came to rest")
		b.Tick(Step)
	}
	return b.Now() - begin
}

// First stable reading after a step: facts of bench scales, section 4.4, table
// of presets (1.5-2 s, 1.5-2.5 s, 1.5-4 s), worked out there from averaging
// and the motion rule and in part from memory.
func TestStepResponse(t *testing.T) {
	for _, c := range []struct {
		preset      Preset
		least, most time.Duration
	}{
		{CheapBench(), 1500 * time.Millisecond, 2 * time.Second},
		{DecentBench(), 1500 * time.Millisecond, 2500 * time.Millisecond},
		{FineBench(), 1500 * time.Millisecond, 4 * time.Second},
	} {
		for _, loadG := range []float64{50, 180, 700, 2000} {
			for seed := range uint64(5) {
				b := warm(t, Options{Seed: seed, Preset: c.preset})
				b.PlaceCup(loadG)
				took := settle(t, b)
				assert.GreaterOrEqual(t, took, c.least, "%s, %v g, seed %d", c.preset.Name, loadG, seed)
				assert.LessOrEqual(t, took, c.most, "%s, %v g, seed %d", c.preset.Name, loadG, seed)
				assert.InDelta(t, loadG, weightG(t, b), 1.5*c.preset.DivisionG+0.001*loadG*0.02)
			}
		}
	}
}
