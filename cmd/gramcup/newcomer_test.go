package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/mix/coating"
	"gramcup/mix/measure"
	"gramcup/scale"
	"gramcup/simulator"
)

// What a newcomer does at the page until an unknown product is mixed, as
// TestBrowserANewcomerMeasuresAndMixes does it and counts it.
const (
	newcomerPresses = 14
	newcomerLetters = 35
)

// The pace of a gloved hand that looks before each press: no source.
const (
	aPress  = 2 * time.Second
	aLetter = 400 * time.Millisecond
)

// TestANewcomersTime adds up how long it takes to measure a hardener whose density
// nobody knows and to mix with it, each touch at the page included: under three
// minutes. Bench and hands live in simulated time, so that no slow machine counts.
func TestANewcomersTime(t *testing.T) {
	t.Parallel()
	options := simulator.Options{
		Seed: 31, Codec: scale.SMA{}, Skill: simulator.Steady(),
		Cup: simulator.Cup{MassG: simulatedCupG}, Jugs: make([]simulator.Jug, mix.MaxComponents),
	}
	density, measured := newcomerMeasures(t, simulator.New(options))
	assert.InDelta(t, markFills["fill-hardener"], density, 0.006)

	bk, err := book.Open(t.TempDir())
	require.NoError(t, err)
	defer func() { require.NoError(t, bk.Close()) }()
	recipe := mix.Recipe{ID: "quay", Name: "Quay surfacer", Basis: mix.ByVolume, Components: []mix.Component{
		{Name: "Quay surfacer", Role: mix.RoleBase, Parts: 4, Tolerance: 0.02, Density: mix.Density{GPerML: 1.373}},
		{Name: "Quay hardener", Role: mix.RoleHardener, Parts: 1, Tolerance: 0.03, Density: mix.Density{GPerML: density}},
	}}
	o := newOnce(simulator.New(options), options.Codec, bk)
	require.NoError(t, o.pour(t.Context(), mix.Order{ID: "quay-1", Recipe: recipe, Amount: mix.Amount{Kind: mix.AmountVolume, ML: 150}}))
	rows, err := bk.Summaries(1, 0)
	require.NoError(t, err)
	require.True(t, rows[0].OnTheLine)
	poured := o.at().Mono

	touched := newcomerPresses*aPress + newcomerLetters*aLetter
	t.Logf("measured in %v, poured in %v, with touches for %v", measured, poured, touched)
	assert.Less(t, measured+poured+touched, 3*time.Minute, "a newcomer mixes an unknown product in under three minutes")
}

// newcomerMeasures puts a cup on, fills it with water, dries it and fills it with the
// hardener, each as soon as the walk asks for it.
func newcomerMeasures(t *testing.T, sim *simulator.Bench) (gml float64, took time.Duration) {
	walk, err := measure.New(measure.Setup{
		Name: "Quay hardener", Kind: coating.KindHardener, HeightMM: 60, TempC: 20, Division: scale.Gram / 10,
		Accuracy: coating.ScaleAccuracy{RepeatabilityG: 0.1, DivisionG: 0.1},
	})
	require.NoError(t, err)
	until := func(what string, there func() bool) {
		for ; !there(); sim.Tick(100 * time.Millisecond) {
			require.Less(t, sim.Now(), onceLimit, what)
			walk.Take(sim.Now(), sim.Reading())
		}
	}
	step := func(s measure.Step) { until(string(s), func() bool { return walk.Step() == s }) }
	noted := func() {
		until("noted", func() bool { return walk.View(sim.Now()).Noted > 0 })
		sim.LiftCup()
	}
	until("the empty pan is heard", func() bool { return sim.Now() > time.Second })
	sim.PlaceCup(simulatedCupG)
	step(measure.StepWater)
	sim.Pour(0, markFills["fill-water"]*markML, fillGS)
	noted()
	step(measure.StepDry)
	sim.PlaceCup(simulatedCupG)
	step(measure.StepPaint)
	sim.Pour(0, markFills["fill-hardener"]*markML, fillGS)
	noted()
	step(measure.StepDone)
	r, ok := walk.Result()
	require.True(t, ok)
	return r.GML, sim.Now()
}
