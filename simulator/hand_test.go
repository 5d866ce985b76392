package simulator

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// guide is a page as simple as can be: it turns the display into a Screen. It
// knows a reaction time and a lag, and nothing else.
type guide struct {
	b         *Bench
	emptyG    float64 // display when the component began
	lastG     float64
	flowGS    float64
	lastAt    time.Duration
	component int
	targetG   float64
}

func (g *guide) screen(t *testing.T) Screen {
	nowG := weightG(t, g.b)
	if at := g.b.Now(); at-g.lastAt >= 500*time.Millisecond {
		g.flowGS = math.Max(0, (nowG-g.lastG)/(at-g.lastAt).Seconds())
		g.lastG, g.lastAt = nowG, at
	}
	const lagS, reactS = 0.3, 0.4
	toGo := g.targetG - (nowG - g.emptyG)
	s := Screen{Ask: AskPour, Component: g.component, ToGoG: toGo}
	s.Slow = toGo < g.flowGS*3
	s.Stop = g.flowGS > 0.3 && toGo < g.flowGS*(lagS+reactS)
	return s
}

// pourTo drives one component until it is at rest near its line or short of
// time, and says what was poured.
func pourTo(t *testing.T, b *Bench, component int, targetG float64) (pouredG float64) {
	t.Helper()
	settle(t, b)
	g := &guide{b: b, emptyG: weightG(t, b), component: component, targetG: targetG}
	g.lastG, g.lastAt = g.emptyG, b.Now()
	was := b.True()[component]
	still := 0
	for begin := b.Now(); b.Now()-begin < 2*time.Minute; {
		s := g.screen(t)
		b.Look(s)
		b.Tick(100 * time.Millisecond)
		still++
		if b.Reading().Motion != scale.MotionStill {
			still = 0
		}
		if still > 10 && s.ToGoG < near(targetG) {
			break
		}
	}
	b.Look(Screen{Ask: AskWait})
	b.Tick(2 * time.Second)
	return b.True()[component] - was
}

// near is what counts as on the line: 1 % or half a gram.
func near(targetG float64) float64 { return math.Max(0.01*targetG, 0.5) }

func TestHandReachesTheLine(t *testing.T) {
	for _, skill := range []struct {
		Skill
		least int // of 40 pours
	}{{Apprentice(), 24}, {Practised(), 34}, {Steady(), 38}} {
		good, worst := 0, 0.0
		for seed := range uint64(10) {
			b := warm(t, Options{Seed: seed, Skill: skill.Skill})
			b.PlaceCup(180)
			for k, target := range []float64{240, 60, 30, 8} {
				got := pourTo(t, b, k%3, target)
				off := math.Abs(got-target) / near(target)
				worst = max(worst, off)
				if off <= 1 {
					good++
				}
			}
		}
		t.Logf("%s: %d of 40, worst %.1f times the tolerance", skill.Name, good, worst)
		assert.GreaterOrEqual(t, good, skill.least, skill.Name)
		assert.Less(t, worst, 20.0, skill.Name)
	}
}

func TestHandPlacesCupStirsAndLifts(t *testing.T) {
	b := warm(t, Options{Cup: Cup{MassG: 150}})
	b.Look(Screen{Ask: AskCup})
	b.Tick(time.Second)
	assert.False(t, b.CupOn(), "nobody is that quick")
	b.Tick(2 * time.Second)
	require.True(t, b.CupOn())
	assert.InDelta(t, 150, weightG(t, b), 0.2)
	assert.Equal(t, PressNone, b.Wants())
	b.Tick(5 * time.Second)
	assert.Equal(t, PressCupOn, b.Wants(), "the page still asks")
	b.Tick(5 * time.Second)
	assert.Equal(t, PressNone, b.Wants(), "said once")

	b.Look(Screen{Ask: AskStir})
	b.Tick(4 * time.Second)
	assert.Equal(t, scale.MotionMoving, b.Reading().Motion, "stirring shows")
	assert.Equal(t, PressNone, b.Wants())
	b.Tick(6 * time.Second)
	assert.Equal(t, PressStirred, b.Wants())
	b.Look(Screen{Ask: AskLift})
	b.Tick(3 * time.Second)
	assert.False(t, b.CupOn())
}

func TestHandSpoonsOut(t *testing.T) {
	b := warm(t, Options{Seed: 5})
	b.PlaceCup(180)
	b.Add(0, 112)
	for range 600 {
		b.Look(Screen{Ask: AskSpoon, ToGoG: 100 - (weightG(t, b) - 180)})
		b.Tick(100 * time.Millisecond)
	}
	assert.InDelta(t, 100, b.True()[0], 1.5)
	assert.InDelta(t, 12, b.Ledger().Taken, 1.5)
}

func TestHandWaitsForItsReaction(t *testing.T) {
	for seed := range uint64(20) {
		b := New(Options{Seed: seed})
		react := time.Duration(b.hand.react) * Step
		assert.GreaterOrEqual(t, react, 200*time.Millisecond)
		assert.LessOrEqual(t, react, 500*time.Millisecond)
		b.Look(Screen{Ask: AskPour, ToGoG: 500})
		b.Tick(react - Step)
		assert.NotEqual(t, AskPour, b.hand.doing.Ask, "seed %d saw the future", seed)
		b.Tick(3 * Step)
		assert.Equal(t, AskPour, b.hand.doing.Ask, "seed %d", seed)
	}
}

// TestHandDoesNotPourByANumberThatStands holds the screen up under a stream: the hand
// sets the jug upright until the number moves again.
func TestHandDoesNotPourByANumberThatStands(t *testing.T) {
	const goodFor = 500 * time.Millisecond
	b := warm(t, Options{Seed: 6})
	b.PlaceCup(180)
	look := func(s time.Duration) {
		for range s / (100 * time.Millisecond) {
			b.Look(Screen{Ask: AskPour, ToGoG: 500, GoodFor: goodFor})
			b.Tick(100 * time.Millisecond)
		}
	}
	look(3 * time.Second)
	poured := b.True()[0]
	require.Positive(t, poured)
	b.Tick(10 * time.Second)
	stood := b.True()[0] - poured
	assert.Less(t, stood, Practised().WideGS*1.5, "for as long as the number is good, the wrist takes, and it falls")
	b.Tick(10 * time.Second)
	assert.Equal(t, poured+stood, b.True()[0], "and then no more")
	look(3 * time.Second)
	assert.Greater(t, b.True()[0], poured+stood+10, "it pours on by a number that moves")
}

func TestBlunders(t *testing.T) {
	for _, c := range []struct {
		name        string
		blunder     Blunder
		least, most float64 // of 60 g
	}{
		{"none", Blunder{Component: 2, TooMuch: 2}, 59, 61.5},
		{"too much", Blunder{TooMuch: 1.10}, 65, 69},
		{"late", Blunder{Late: 3 * time.Second}, 63, 75},
		{"cup lifted and put back", Blunder{LiftCup: 2 * time.Second}, 57, 61.5},
	} {
		t.Run(c.name, func(t *testing.T) {
			for seed := range uint64(5) {
				b := warm(t, Options{Seed: seed, Skill: Steady(), Blunders: []Blunder{c.blunder}})
				b.PlaceCup(180)
				got := pourTo(t, b, 0, 60)
				assert.Condition(t, func() bool { return got >= c.least && got <= c.most },
					fmt.Sprintf("seed %d poured %.2f g", seed, got))
				assert.True(t, b.CupOn())
			}
		})
	}
}
