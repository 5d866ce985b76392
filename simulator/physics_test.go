package simulator

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/scale"
)

// Noise of one conversion: facts of bench scales, section 4.4, table of
// presets: 0.1, 0.4 and 0.5 divisions rms, before averaging.
func TestConversionNoise(t *testing.T) {
	for _, c := range []struct {
		preset Preset
		noiseD float64
	}{{CheapBench(), 0.1}, {DecentBench(), 0.4}, {FineBench(), 0.5}} {
		cell := newCell(c.preset, rand.New(rand.NewPCG(1, 1)))
		const n = 20000
		sum, squares := 0.0, 0.0
		for range n {
			d := cell.convert() / c.preset.DivisionG
			sum, squares = sum+d, squares+d*d
		}
		rms := math.Sqrt(squares/n - sum/n*sum/n)
		assert.InEpsilon(t, c.noiseD, rms, 0.05, c.preset.Name)
	}
}

// A display at rest stays at rest: it may flip between two neighbours, but it
// is never called moving.
func TestRestIsStill(t *testing.T) {
	for _, p := range []Preset{CheapBench(), DecentBench(), FineBench()} {
		b := warm(t, Options{Preset: p, Seed: 4})
		b.PlaceCup(212.3)
		settle(t, b)
		low, high := weightG(t, b), weightG(t, b)
		for range 300 {
			b.Tick(100 * time.Millisecond)
			require.Equal(t, scale.MotionStill, b.Reading().Motion, p.Name)
			low, high = min(low, weightG(t, b)), max(high, weightG(t, b))
		}
		assert.LessOrEqual(t, high-low, 2.01*p.DivisionG, p.Name)
	}
}

// Display lag while pouring: facts of bench scales, section 4.5: tau is half
// the average plus half an output interval, 0.20 s + 0.05 s for the decent
// bench, so about 1.25 g at 5 g/s; with the frame and the adaptor 1.4 g.
func TestDisplayLag(t *testing.T) {
	b := warm(t, Options{Seed: 2})
	b.PlaceCup(180)
	settle(t, b)
	b.Pour(0, 100, 5)
	b.Tick(3 * time.Second)
	sum, n := 0.0, 0
	for range 1000 {
		b.Tick(Step)
		l := b.Ledger()
		// A steady stream from rest weighs as if it had landed (same section).
		sum += 180 + l.Cup + l.Air - weightG(t, b)
		n++
	}
	assert.InDelta(t, 1.25, sum/float64(n), 0.25, "grams behind at 5 g/s")
	assert.Equal(t, scale.MotionMoving, b.Reading().Motion, "5 g/s is motion all the while")
}

// A steady pour from rest makes no jump when it stops (facts 4.5): the display
// climbs to its end and never above it.
func TestPourEndsWithoutJump(t *testing.T) {
	b := warm(t, Options{Seed: 3})
	b.PlaceCup(180)
	settle(t, b)
	b.Pour(1, 50, 5)
	before, top := weightG(t, b), 0.0
	for range 1800 {
		b.Tick(Step)
		now := weightG(t, b)
		assert.GreaterOrEqual(t, now, before-0.11, "it went back at %v", b.Now())
		before, top = now, max(top, now)
	}
	assert.InDelta(t, 230, before, 0.11)
	assert.LessOrEqual(t, top, before+0.11)
	assert.InDelta(t, 50, b.True()[1], 1e-9)
}

// A stream that leaves the lip at 1 m/s reads r*v0/g too much while it runs:
// 0.5 g at 5 g/s (facts 4.5).
func TestFastStreamReadsTooMuch(t *testing.T) {
	excess := func(speedMS float64) float64 {
		b := warm(t, Options{Seed: 3, Jugs: []Jug{{SpeedMS: speedMS}}})
		b.PlaceCup(180)
		settle(t, b)
		b.Pour(0, 60, 5)
		b.Tick(4 * time.Second)
		sum := 0.0
		for range 500 {
			b.Tick(Step)
			l := b.Ledger()
			sum += weightG(t, b) - 180 - l.Cup - l.Air
		}
		return sum / 500
	}
	assert.InDelta(t, 5*1/9.81, excess(1)-excess(0), 0.1)
}

func TestTareIsRefusedWhileMoving(t *testing.T) {
	b := warm(t, Options{})
	b.PlaceCup(180)
	b.Tick(300 * time.Millisecond)
	b.PressTare()
	assert.Equal(t, scale.StatusTareError, b.Reading().Status)
	assert.Equal(t, scale.ModeGross, b.Reading().Mode)
	b.PressZero()
	assert.Equal(t, scale.StatusZeroError, b.Reading().Status)
}

func TestTareAndClear(t *testing.T) {
	b := warm(t, Options{})
	b.PressTare()
	assert.Equal(t, scale.StatusTareError, b.Reading().Status, "there is nothing to tare")
	b = warm(t, Options{})
	b.PlaceCup(180)
	settle(t, b)
	b.PressTare()
	assert.Equal(t, scale.ModeNet, b.Reading().Mode)
	assert.InDelta(t, 0, weightG(t, b), 0.05)
	b.LiftCup()
	settle(t, b)
	assert.InDelta(t, -180, weightG(t, b), 0.11)
	assert.Equal(t, scale.StatusZero, b.Reading().Status, "gross zero")
}

// Overload: no number above Max + 9 e (facts of bench scales, section 4.2;
// OIML R 76-1). Under: below -20 d, from memory.
func TestOverAndUnder(t *testing.T) {
	for _, c := range []struct {
		loadG float64
		want  scale.Status
	}{{6000, scale.StatusOK}, {6000.7, scale.StatusOK}, {6001.2, scale.StatusOver}} {
		p := DecentBench()
		p.CreepPart = 0
		b := warm(t, Options{Preset: p})
		b.PlaceCup(c.loadG)
		settle(t, b)
		assert.Equal(t, c.want, b.Reading().Status, "%v g", c.loadG)
	}
	b := warm(t, Options{})
	b.PlaceCup(100)
	settle(t, b)
	b.PressZero()
	b.LiftCup()
	settle(t, b)
	assert.Equal(t, scale.StatusUnder, b.Reading().Status)
}

// Zero tracking moves at most half a division a second (OIML R 76-1 4.5.7),
// and only near zero.
func TestZeroTracking(t *testing.T) {
	c := newCell(DecentBench(), rand.New(rand.NewPCG(1, 1)))
	most := 0.0
	creeping := 0.0
	for i := range 6000 {
		before := c.zeroG
		creeping += 0.02 * stepS // 0.2 d/s: slower than tracking
		c.step(creeping, 0)
		most = max(most, math.Abs(c.zeroG-before)/stepS)
		if i%10 == 0 {
			c.refresh()
		}
	}
	assert.LessOrEqual(t, most, 0.5*0.1+1e-9, "grams a second")
	assert.InDelta(t, 0, c.grossG(), 0.05, "tracking ate a slow drip: facts 4.5")
	assert.InDelta(t, creeping, c.zeroG, 0.1)

	away := newCell(DecentBench(), rand.New(rand.NewPCG(1, 1)))
	for i := range 3000 {
		away.step(1, 0)
		if i%10 == 0 {
			away.refresh()
		}
	}
	assert.InDelta(t, 1, away.grossG(), 0.06, "one gram is not near zero")
}

// Two conversions far from the average restart it, where a scale does that.
func TestCutOut(t *testing.T) {
	slow, fast := DecentBench(), DecentBench()
	fast.CutOutD = 8
	shownAfter := func(p Preset) float64 {
		b := warm(t, Options{Preset: p})
		b.PlaceCup(100)
		b.Tick(200 * time.Millisecond)
		return weightG(t, b)
	}
	assert.Less(t, shownAfter(slow), 80.0)
	assert.Greater(t, shownAfter(fast), 90.0)
}

func TestShownNumbers(t *testing.T) {
	for _, c := range []struct {
		g, divisionG float64
		unit         scale.Unit
		want         string
	}{
		{412.64, 0.1, scale.UnitGram, "412.6"},
		{412.65, 0.1, scale.UnitGram, "412.7"},
		{-412.65, 0.1, scale.UnitGram, "-412.7"}, // half away from zero
		{-0.04, 0.1, scale.UnitGram, "0.0"},
		{2.5, 1, scale.UnitGram, "3"},
		{7.4, 5, scale.UnitGram, "5"},
		{3.3, 0.2, scale.UnitGram, "3.4"},
		{412.6, 0.1, scale.UnitKilogram, "0.4126"},
		{1412, 1, scale.UnitKilogram, "1.412"},
		{28.349523125, 0.1, scale.UnitOunce, "0.998"}, // 28.3 g by 28.349523125
	} {
		assert.Equal(t, c.want, shown(c.g, c.divisionG, c.unit).String(), "%v g by %v", c.g, c.divisionG)
	}
}

// The cell's zero range is 4 % of Max in all (OIML R 76-1 4.5.1).
func TestZeroRange(t *testing.T) {
	for _, c := range []struct {
		loadG float64
		want  scale.Status
	}{{110, scale.StatusZero}, {130, scale.StatusZeroError}} {
		b := warm(t, Options{})
		b.PlaceCup(c.loadG)
		settle(t, b)
		b.PressZero()
		assert.Equal(t, c.want, b.Reading().Status, "%v g on 6 kg", c.loadG)
	}
}

// Liquid goes from jug to air to cup, pan or away, and is never made or lost.
func TestMassIsConserved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := New(Options{
			Seed:     rapid.Uint64().Draw(t, "seed"),
			Cup:      Cup{MassG: 100, UsableML: 300},
			Jugs:     []Jug{{ContentG: 500, DensityGML: 1.4}, {ContentG: 80}, {DensityGML: 0.9}},
			Skill:    Apprentice(),
			Blunders: []Blunder{{Component: 1, TooMuch: 1.5}},
		})
		all := b.Ledger().Sum()
		for range rapid.IntRange(1, 40).Draw(t, "moves") {
			k := rapid.IntRange(-1, 3).Draw(t, "component")
			g := rapid.Float64Range(-5, 300).Draw(t, "grams")
			switch rapid.IntRange(0, 9).Draw(t, "move") {
			case 0:
				b.PlaceCup(100)
			case 1:
				b.LiftCup()
			case 2:
				b.PutBackCup()
			case 3:
				b.Pour(k, g, 20)
			case 4:
				b.Add(k, g)
			case 5:
				b.TakeOut(g)
			case 6:
				b.WipePan()
			default:
				ask := Ask(rapid.IntRange(0, int(AskLift)).Draw(t, "ask"))
				b.Look(Screen{Ask: ask, Component: k, ToGoG: g})
			}
			b.Tick(time.Duration(rapid.IntRange(0, 3000).Draw(t, "ms")) * time.Millisecond)
			if diff := math.Abs(b.Ledger().Sum() - all); diff > 1e-6 {
				t.Fatalf("%v g came or went: %+v", diff, b.Ledger())
			}
		}
	})
}

func TestBrim(t *testing.T) {
	b := New(Options{Cup: Cup{MassG: 100, UsableML: 200}, Jugs: []Jug{{DensityGML: 1.25}}})
	b.PlaceCup(100)
	b.Add(0, 300)
	assert.InDelta(t, 250, b.True()[0], 1e-9, "200 ml of 1.25 g/ml")
	assert.InDelta(t, 50, b.Ledger().Spilt, 1e-9)
}
