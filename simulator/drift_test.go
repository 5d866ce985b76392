package simulator

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestDrift: the display walks away by itself as far as the preset says, as a
// random walk: the root of the mean square grows with the root of time. With
// 400 walks that root is known to 3.5 % (1/√(2·400)), three of which are allowed.
func TestDrift(t *testing.T) {
	const walks, minutes = 400, 4
	p := DecentBench()
	p.NoiseD, p.CreepPart = 0, 0
	var square, squareAfterOne float64
	for seed := range uint64(walks) {
		c := newCell(p, rand.New(rand.NewPCG(seed, 7)))
		// A load that no zero tracking touches; its own step is over at once.
		for range int(60 / stepS) {
			c.step(100, 0)
		}
		one := c.grossG()
		first := c.driftG
		for range int(60 * (minutes - 1) / stepS) {
			c.step(100, 0)
		}
		squareAfterOne += first * first
		square += c.driftG * c.driftG
		assert.InDelta(t, c.driftG-first, c.grossG()-one, 0.002, "what drifts is shown")
	}
	rms := p.DriftDPerMin * p.DivisionG
	assert.InEpsilon(t, rms, math.Sqrt(squareAfterOne/walks), 0.106)
	assert.InEpsilon(t, rms*math.Sqrt(minutes), math.Sqrt(square/walks), 0.106)
}
