package scale_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/scale"
	"gramcup/simulator"
)

// metered lets a simulated bench run for a while, with every display update
// noted.
type metered struct {
	sim   *simulator.Bench
	d     scale.Mass
	every time.Duration
	scale.Meter
}

func newMetered(p simulator.Preset, seed uint64, every time.Duration) *metered {
	return &metered{
		sim: simulator.New(simulator.Options{Preset: p, Seed: seed, FrameEvery: every}),
		d:   scale.MassFromGrams(p.DivisionG), every: every,
	}
}

func (m *metered) run(d time.Duration) {
	for end := m.sim.Now() + d; m.sim.Now() < end; {
		m.sim.Tick(m.every)
		r := m.sim.Reading()
		if shown, ok := r.Weight(); ok {
			m.Note(m.sim.Now(), shown, r.Motion == scale.MotionStill, m.d)
		}
	}
}

// put puts a cup on within that time, evenly, as a hand does; 0 is at once.
func (m *metered) put(grams float64, within time.Duration) {
	for t := simulator.Step; t < within; t += simulator.Step {
		m.sim.PlaceCup(grams * float64(t) / float64(within))
		m.tick()
	}
	m.sim.PlaceCup(grams)
}

// tick is one step of the physics, noted if the display was written.
func (m *metered) tick() {
	before := m.sim.Now() / m.every
	m.sim.Tick(simulator.Step)
	if m.sim.Now()/m.every != before {
		r := m.sim.Reading()
		if shown, ok := r.Weight(); ok {
			m.Note(m.sim.Now(), shown, r.Motion == scale.MotionStill, m.d)
		}
	}
}

// wait is a while that is no whole number of display intervals, so that steps
// fall anywhere between two readings.
func (m *metered) wait(rng *rand.Rand, d time.Duration) {
	d += time.Duration(rng.IntN(30)) * simulator.Step
	for end := m.sim.Now() + d; m.sim.Now() < end; {
		m.tick()
	}
}

// poured is the true lag, measured with what no scale knows: how far the
// display, read all the time, is behind a steady pour (a stream from rest
// weighs as if it had landed).
func poured(p simulator.Preset, every time.Duration, flowGS float64) time.Duration {
	b := simulator.New(simulator.Options{Preset: p, Seed: 99, FrameEvery: every})
	b.PlaceCup(180)
	b.Tick(5 * time.Second)
	b.Pour(0, 400, flowGS)
	b.Tick(4 * time.Second)
	sum, n := 0.0, 0
	for range 3000 {
		b.Tick(simulator.Step)
		shown, _ := b.Reading().Weight()
		l := b.Ledger()
		sum += 180 + l.Cup + l.Air - shown.Grams()
		n++
	}
	return time.Duration(sum / float64(n) / flowGS * float64(time.Second))
}

// formula is facts of bench scales, section 4.5: half the average plus half an
// output interval. The simulator's line adds nothing.
func formula(p simulator.Preset, every time.Duration) time.Duration {
	return time.Duration(float64(p.Average)/(2*p.ConversionsPerS)*float64(time.Second)) + every/2
}

func presets() []simulator.Preset {
	return []simulator.Preset{simulator.CheapBench(), simulator.DecentBench(), simulator.FineBench()}
}

// TestMeterFindsTheLag puts cups on and lifts them off at moments that have
// nothing to do with the display, and compares lag and settling with what is
// true of the simulated scale. hand is how long the hand takes to put a cup on;
// it lifts at once.
func TestMeterFindsTheLag(t *testing.T) {
	t.Log("preset   every  hand    true lag  in a pour  measured (spread)       error   settle true  measured")
	for _, p := range presets() {
		for _, every := range []time.Duration{100 * time.Millisecond, 50 * time.Millisecond} {
			for _, hand := range []time.Duration{0, 300 * time.Millisecond} {
				low, high, sum := time.Hour, time.Duration(0), time.Duration(0)
				var settle, settled time.Duration
				const seeds = 12
				for seed := range uint64(seeds) {
					rng := rand.New(rand.NewPCG(seed, 7))
					m := newMetered(p, seed, every)
					m.wait(rng, 3*time.Second)
					for range 4 {
						m.put(60+rng.Float64()*200, hand)
						m.wait(rng, 5*time.Second)
						m.sim.LiftCup()
						m.wait(rng, 5*time.Second)
					}
					got := m.Manner()
					require.GreaterOrEqual(t, got.Steps, 5)
					require.False(t, got.Jumps)
					low, high, sum = min(low, got.Lag), max(high, got.Lag), sum+got.Lag
					settled += got.Settle
					settle += settling(p, seed, every)
				}
				mean, truth := sum/seeds, formula(p, every)
				t.Logf("%-7s  %-5v  %-6v  %4d ms   %4d ms    %4d ms (%d to %d)   %+4d ms   %4d ms     %4d ms", p.Name, every, hand, truth.Milliseconds(),
					poured(p, every, 8).Milliseconds(), mean.Milliseconds(), low.Milliseconds(), high.Milliseconds(),
					(mean - truth).Milliseconds(), (settle / seeds).Milliseconds(), (settled / seeds).Milliseconds())
				assert.InDelta(t, poured(p, every, 8).Seconds(), truth.Seconds(), 0.06, "%s: the simulator does what the formula says", p.Name)
				// One step tells the lag to an interval/√12, a third of the way up
				// seven of them about half as well. A hand of 0.3 s adds at most 0.15 s.
				// Half an interval of the converter can not be seen: 50 ms at 10/s.
				hidden := 0.5 / p.ConversionsPerS
				assert.InDelta(t, truth.Seconds()-hidden, mean.Seconds(), 0.03, "%s, %v, hand %v: on average", p.Name, every, hand)
				assert.Greater(t, low.Seconds(), truth.Seconds()-0.1, "%s, %v, hand %v", p.Name, every, hand)
				assert.Less(t, high.Seconds(), truth.Seconds()+0.1, "%s, %v, hand %v", p.Name, every, hand)
				// From the first sign, which comes up to two intervals after the load.
				assert.InDelta(t, (settle/seeds).Seconds()-0.1, (settled / seeds).Seconds(), 0.12, "%s: settling", p.Name)
			}
		}
	}
}

// settling is the true time from a load to a display that is called still,
// looked at with every step of the physics.
func settling(p simulator.Preset, seed uint64, every time.Duration) time.Duration {
	b := simulator.New(simulator.Options{Preset: p, Seed: seed, FrameEvery: every})
	b.Tick(3 * time.Second)
	b.PlaceCup(150)
	began := b.Now()
	b.Tick(2 * every)
	for b.Reading().Motion != scale.MotionStill {
		b.Tick(simulator.Step)
	}
	return b.Now() - began
}

// TestMeterKnowsWhenLagIsNotKnown: a scale that stops averaging on a big change
// shows a step at once and is late in a pour all the same; its steps say
// nothing about that.
func TestMeterKnowsWhenLagIsNotKnown(t *testing.T) {
	cutOut, plain := simulator.DecentBench(), simulator.DecentBench()
	cutOut.CutOutD = 4
	plain.Average, plain.NoiseD = 1, 0.05 // no average at all
	require.InDelta(t, 0.23, poured(cutOut, 100*time.Millisecond, 1).Seconds(), 0.05, "in a slow pour as late as without cut-out")
	require.Less(t, poured(cutOut, 100*time.Millisecond, 20).Seconds(), 0.1, "and not in a wide one")
	require.InDelta(t, 0.05, poured(plain, 100*time.Millisecond, 8).Seconds(), 0.03)
	for _, p := range []simulator.Preset{cutOut, plain} {
		rng := rand.New(rand.NewPCG(1, 7))
		m := newMetered(p, 3, 100*time.Millisecond)
		m.wait(rng, 3*time.Second)
		for range 5 {
			m.put(100+rng.Float64()*100, 0)
			m.wait(rng, 5*time.Second)
			m.sim.LiftCup()
			m.wait(rng, 5*time.Second)
		}
		got := m.Manner()
		assert.True(t, got.Jumps)
		assert.Zero(t, got.Lag)
		assert.Positive(t, got.Settle)
		assert.GreaterOrEqual(t, got.Steps, 4, "lifting to zero at once may be the tare key and is left out")
	}
}

// TestMeterFindsTheNoise compares with the preset's noise after averaging, and
// with what rounding makes of it on the display: for true noise s below a third
// of a division, and a weight that may lie anywhere between two steps, the
// variance is s·d/√π (the integral of Φ(1-Φ) is 1/√π).
func TestMeterFindsTheNoise(t *testing.T) {
	t.Log("preset        averaged noise  on the display  measured   in divisions")
	noisy := simulator.DecentBench()
	noisy.Name, noisy.NoiseD = "noisy decent", 6
	for _, p := range append(presets(), noisy) {
		s := p.NoiseD / math.Sqrt(float64(p.Average)) // in divisions
		display := math.Sqrt(s / math.Sqrt(math.Pi))
		if s > 1.0/3 {
			display = math.Sqrt(s*s + 1.0/12)
		}
		sum := 0.0
		const runs = 60
		for seed := range uint64(runs) {
			m := newMetered(p, seed, 100*time.Millisecond)
			m.put(100+float64(seed)*p.DivisionG/runs*7, 0) // anywhere between two steps
			m.run(4 * time.Second)
			m.Meter = scale.Meter{}
			m.run(30 * time.Second)
			got := m.Manner()
			require.GreaterOrEqual(t, got.Stills, 8)
			sum += math.Pow(got.Noise.Grams()/p.DivisionG, 2)
		}
		measured := math.Sqrt(sum / runs)
		t.Logf("%-12s  %8.4f g      %8.4f g      %8.4f g  %5.2f", p.Name, s*p.DivisionG, display*p.DivisionG, measured*p.DivisionG, measured)
		assert.InDelta(t, display, measured, 0.15*display+0.03, p.Name)
	}
}

// TestMeterNoiseIsNotDrift: what creeps or evaporates is not noise, whatever
// else is poured and knocked in between.
func TestMeterNoiseIsNotDrift(t *testing.T) {
	d := 100 * scale.Milligram
	run := func(noiseD, driftDS, pourG float64) float64 {
		rng := rand.New(rand.NewPCG(5, 5))
		var m scale.Meter
		load := 300.03
		for i := range 2000 {
			at := time.Duration(i) * 100 * time.Millisecond
			load += driftDS * d.Grams() / 10
			if i%300 > 220 && i%300 < 260 {
				load += pourG // for four seconds in thirty
			}
			shown := scale.MassFromGrams(load + rng.NormFloat64()*noiseD*d.Grams()).RoundTo(d)
			m.Note(at, shown, true, d)
		}
		return m.Manner().Noise.Grams() / d.Grams()
	}
	assert.Zero(t, run(0, 0, 0), "a reading that never changes has no noise")
	assert.Less(t, run(0, 0, 1), 0.1, "pours are left out but for their very ends")
	for _, drift := range []float64{0.05, 0.1, 0.5, 1} {
		// A weight that creeps through its steps shows their rounding, 1/√12.
		assert.Less(t, run(0, drift, 0), 0.36, "drift of %v divisions a second", drift)
		assert.Less(t, run(0, drift, 1), 0.4, "drift of %v divisions a second and pours", drift)
	}
	for _, noise := range []float64{0.5, 1, 2} {
		want := math.Sqrt(noise*noise + 1.0/12)
		assert.InEpsilon(t, want, run(noise, 0, 1), 0.15)
		assert.InEpsilon(t, want, run(noise, 0.3, 1), 0.15)
	}
}

// TestMeterSteps: what is a change of load to learn from, and what is not.
func TestMeterSteps(t *testing.T) {
	const d = 100 * scale.Milligram
	type part struct {
		count int // readings of 0.1 s
		to    float64
		still bool
	}
	rest := func(g float64) part { return part{30, g, true} }
	for _, row := range []struct {
		name  string
		parts []part
		want  int
	}{
		{"cup on", []part{rest(0), {4, 150, false}, {10, 150, false}, rest(150)}, 1},
		{"cup off", []part{rest(150), {3, 0, false}, {10, 0, false}, rest(0)}, 1},
		{"two of them", []part{rest(0), {4, 150, false}, {10, 150, false}, rest(150), {3, 0, false}, {10, 0, false}, rest(0)}, 2},
		{"tare key", []part{rest(150), {1, 0, true}, rest(0)}, 0},
		{"tare key without a mark", []part{rest(150), {1, 0, false}, {10, 0, false}, rest(0)}, 0},
		{"a pour", []part{rest(0), {60, 150, false}, {10, 150, false}, rest(150)}, 0},
		{"a wide short pour", []part{rest(0), {15, 35, false}, {10, 35, false}, rest(35)}, 0},
		{"a tip", []part{rest(0), {3, 5, false}, {10, 5, false}, rest(5)}, 0},
		{"pressed on", []part{rest(0), {3, 190, false}, {3, 190, false}, {3, 150, false}, {10, 150, false}, rest(150)}, 0},
		{"a knock", []part{rest(150), {1, 190, false}, {1, 120, false}, {1, 150, false}, {10, 150, false}, rest(150)}, 0},
		{"never still again", []part{rest(0), {4, 150, false}, {120, 160, false}, rest(160)}, 0},
	} {
		var m scale.Meter
		at, load := time.Duration(0), 0.0
		for _, p := range row.parts {
			from := load
			for i := range p.count {
				at += 100 * time.Millisecond
				load = p.to
				if !p.still {
					load = from + (p.to-from)*float64(i+1)/float64(p.count)
				}
				m.Note(at, scale.MassFromGrams(load).RoundTo(d), p.still, d)
			}
		}
		assert.Equal(t, row.want, m.Manner().Steps, row.name)
	}
}

// TestMeterPeriod: the usual interval, whatever gaps there are.
func TestMeterPeriod(t *testing.T) {
	var m scale.Meter
	at := time.Duration(0)
	rng := rand.New(rand.NewPCG(2, 2))
	for i := range 100 {
		at += 190*time.Millisecond + time.Duration(rng.IntN(20))*time.Millisecond
		if i%5 == 3 {
			at += 600 * time.Millisecond
		}
		m.Note(at, scale.Gram, true, scale.Gram)
	}
	assert.InDelta(t, 0.2, m.Manner().Period.Seconds(), 0.011)
}

// TestMeterTakesAnything: times that run back, silence, wild numbers.
func TestMeterTakesAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m scale.Meter
		at := time.Duration(0)
		for range rapid.IntRange(1, 200).Draw(t, "readings") {
			at += time.Duration(rapid.Int64Range(-1e9, 3e9).Draw(t, "gap"))
			if rapid.IntRange(0, 9).Draw(t, "break") == 0 {
				m.Break()
			}
			shown := scale.Mass(rapid.Int64Range(-1e15, 1e15).Draw(t, "shown"))
			m.Note(at, shown, rapid.Bool().Draw(t, "still"), scale.Mass(rapid.Int64Range(1, 1e7).Draw(t, "division")))
		}
		got := m.Manner()
		require.True(t, got.Period >= 0 && got.Noise >= 0 && got.Settle >= 0 && got.Lag >= 0, "%+v", got)
		require.LessOrEqual(t, got.Lag, 2500*time.Millisecond)
	})
}

func TestMeterAllocatesNothing(t *testing.T) {
	m, i := scale.Meter{}, 0
	require.Zero(t, testing.AllocsPerRun(5000, func() {
		i++
		m.Note(time.Duration(i)*20*time.Millisecond, scale.Mass(i/500%2)*100*scale.Gram, i%500 > 60, scale.Gram)
	}))
	require.Positive(t, m.Manner().Steps)
	require.Positive(t, m.Manner().Stills)
}
