package simulator

import "time"

// Ask is what the page asks of the person at the bench.
type Ask uint8

// What can be asked.
const (
	AskNothing Ask = iota
	AskCup         // put an empty cup on
	AskPour        // pour the component until nothing is to go
	AskWait        // hands off, the scale settles
	AskStir        // stir, and say when it is done
	AskSpoon       // take some out again: as much as ToGoG is below zero
	AskLift        // take the cup away
)

// Screen is what the page shows at one moment. Whoever wires the bench fills
// it in; the hand sees it a reaction time later.
type Screen struct {
	Ask       Ask
	Component int     // which jug, counted from 0
	ToGoG     float64 // the large number: grams still to go, below zero when past
	Slow      bool    // the cue to ease off
	Stop      bool    // the cue to stop
	// GoodFor is how long the hand pours by this without another look; 0 is for ever.
	// A number that has stopped moving under a stream is not poured by.
	GoodFor time.Duration
}

// Press is a button that the hand wants pressed. Pressing it is the wiring's
// job: the hand knows no buttons.
type Press uint8

// The presses.
const (
	PressNone    Press = iota
	PressCupOn         // the cup is on and the page has not noticed
	PressStirred       // stirring is done
)

// Skill says how well a hand pours. The figures are common practice, no source.
type Skill struct {
	Name      string
	ReactMin  time.Duration // from the screen to the hand, shortest
	ReactMax  time.Duration // and longest; at most memory
	WideGS    float64       // flow far from the line, grams a second
	EaseGS    float64       // flow when easing off
	TipG      float64       // smallest amount that it can tip on purpose, grams
	TipSpread float64       // spread of a tip, as a part of it
	Tremor    float64       // unsteadiness of the flow, as a part of it
	CloseS    float64       // seconds from wide open to closed
}

// Apprentice is a hand in its first week.
func Apprentice() Skill {
	return Skill{Name: "apprentice", ReactMin: 350 * time.Millisecond, ReactMax: 500 * time.Millisecond,
		WideGS: 25, EaseGS: 4, TipG: 0.5, TipSpread: 0.5, Tremor: 0.25, CloseS: 0.6}
}

// Practised is a hand after a year.
func Practised() Skill {
	return Skill{Name: "practised", ReactMin: 250 * time.Millisecond, ReactMax: 400 * time.Millisecond,
		WideGS: 20, EaseGS: 2.5, TipG: 0.25, TipSpread: 0.3, Tremor: 0.12, CloseS: 0.35}
}

// Steady is a hand that hardly misses.
func Steady() Skill {
	return Skill{Name: "steady", ReactMin: 200 * time.Millisecond, ReactMax: 300 * time.Millisecond,
		WideGS: 18, EaseGS: 1.5, TipG: 0.1, TipSpread: 0.15, Tremor: 0.05, CloseS: 0.25}
}

// Blunder is a mistake to make once, on purpose, for tests and lessons.
type Blunder struct {
	Component int
	TooMuch   float64       // pour to this many times the line: 1.08 is 8 % too much; 0 for not
	Late      time.Duration // go on that long after the page said stop
	LiftCup   time.Duration // lift the cup halfway through, for that long, and put it back
}
