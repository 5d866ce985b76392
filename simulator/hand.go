package simulator

import (
	"math"
	"math/rand/v2"
	"time"
)

// Habits of a hand, common practice, no source.
const (
	memorySteps   = 64 // how far back a reaction can reach: 640 ms
	placeS        = 1.2
	pickUpS       = 0.9
	noticeS       = 3.0 // until it wonders whether the page saw the cup
	stirS         = 8.0
	stirPushG     = 12.0
	stirHz        = 2.3
	tipPauseS     = 1.8 // looks at the number between two tips
	dribbleBelowG = 2.5
	aheadS        = 2.0 // eases when the line is this near at the present flow
	spoonG        = 5.0
	spoonS        = 1.5
	tremorS       = 0.5
)

// hand is the person: it looks at the screen, a little late, and moves things.
type hand struct {
	skill    Skill
	rng      *rand.Rand
	blunders []Blunder
	react    int // steps between screen and hand
	memory   [memorySteps]Screen
	at       int
	seenAt   int // the step whose screen it sees now
	lookedAt int // the step of the last look

	doing   Screen  // what it is busy with
	forS    float64 // how long
	holding int     // the jug in the hand, -1 for none
	opening float64 // where it wants the opening
	tremor  float64
	startG  float64 // to go when this pour began
	stopped bool    // it has closed once in this pour: from here on it tips
	tipS    float64 // left of a tip
	pauseS  float64 // left of the pause after it
	stopS   float64 // since stop was seen
	liftS   float64 // left until the cup that it lifts by mistake is back
	asideS  float64 // how much of that the cup is in the air
	want    Press
	wanted  bool // asked for in this task already
}

func newHand(s Skill, blunders []Blunder, rng *rand.Rand) *hand {
	h := &hand{skill: s, rng: rng, blunders: append([]Blunder(nil), blunders...), holding: -1, at: memorySteps}
	h.newReaction()
	return h
}

// newReaction draws the reaction time for the next task.
func (h *hand) newReaction() {
	spread := h.skill.ReactMax - h.skill.ReactMin
	d := h.skill.ReactMin + time.Duration(h.rng.Float64()*float64(spread))
	h.react = int(clamp(float64(d/Step), 0, memorySteps-1))
}

// look puts what the page shows now into memory.
func (h *hand) look(s Screen) { h.memory[h.at%memorySteps], h.lookedAt = s, h.at }

// blind reports whether the screen has not moved for longer than it is poured by.
func (h *hand) blind(seen Screen) bool {
	return seen.GoodFor > 0 && time.Duration(h.at-h.lookedAt)*Step > seen.GoodFor
}

// step is one step of the hand on the bench. It returns the push of the hand
// on the cup, in grams of force.
func (h *hand) step(b *Bench) (pushG float64) {
	now := h.memory[h.at%memorySteps]
	// A slower reaction than before must not show the past once more.
	h.seenAt = max(h.seenAt, h.at-h.react)
	seen := h.memory[h.seenAt%memorySteps]
	h.at++
	h.memory[h.at%memorySteps] = now
	if seen.Ask != h.doing.Ask || (seen.Ask == AskPour && seen.Component != h.doing.Component) {
		h.begin(seen)
	}
	h.doing = seen
	h.forS += stepS
	h.opening = 0
	if h.liftS > 0 {
		h.holdAside(b)
		h.turn(b)
		return 0
	}
	switch seen.Ask {
	case AskCup:
		h.placeCup(b)
	case AskPour:
		h.pour(b, seen)
	case AskStir:
		pushG = h.stir(b)
	case AskSpoon:
		h.spoon(b, seen)
	case AskLift:
		if h.forS >= placeS && b.cupOn {
			b.liftCup()
		}
	case AskNothing, AskWait:
	}
	h.turn(b)
	return pushG
}

func (h *hand) begin(s Screen) {
	h.forS, h.startG, h.stopped = 0, s.ToGoG, false
	h.tipS, h.pauseS, h.stopS = 0, 0, 0
	h.want, h.wanted = PressNone, false
	h.newReaction()
}

func (h *hand) wants(p Press) {
	if !h.wanted {
		h.want, h.wanted = p, true
	}
}

func (h *hand) placeCup(b *Bench) {
	if h.forS >= placeS && !b.cupOn {
		b.placeCup(b.spareCup)
	}
	if h.forS >= placeS+noticeS {
		h.wants(PressCupOn)
	}
}

func (h *hand) stir(b *Bench) (pushG float64) {
	if h.forS >= stirS {
		h.wants(PressStirred)
		return 0
	}
	if !b.cupOn {
		return 0
	}
	return stirPushG * math.Sin(2*math.Pi*stirHz*h.forS)
}

// spoon takes out a spoonful at a time until no more is asked for.
func (h *hand) spoon(b *Bench, seen Screen) {
	h.pauseS -= stepS
	if h.forS < pickUpS || h.pauseS > 0 || seen.ToGoG >= 0 || !b.cupOn {
		return
	}
	grams := math.Min(-seen.ToGoG, spoonG) * (1 + h.skill.TipSpread*(h.rng.Float64()-0.5))
	b.takenG += b.cup.scoop(grams)
	h.pauseS = spoonS + tipPauseS
}

// pour decides the opening: wide when far, eased when told or near, closed at
// stop, and short tips for the last bit.
func (h *hand) pour(b *Bench, seen Screen) {
	if seen.Component < 0 || seen.Component >= len(b.jugs) {
		return
	}
	if h.holding != seen.Component {
		if h.forS >= pickUpS {
			h.holding = seen.Component
		}
		return
	}
	if h.blind(seen) {
		return
	}
	toGo, stop := h.muddle(b, seen)
	if stop || toGo <= 0 {
		h.stopped = true
		h.tipS, h.pauseS = 0, tipPauseS
		return
	}
	if h.stopped || toGo < dribbleBelowG {
		h.dribble(b, toGo)
		return
	}
	flow := clamp(toGo/aheadS, h.skill.EaseGS, h.skill.WideGS)
	if seen.Slow {
		flow = math.Min(flow, h.skill.EaseGS)
	}
	h.open(b, flow)
}

// dribble tips a little, and looks.
func (h *hand) dribble(b *Bench, toGoG float64) {
	switch {
	case h.tipS > 0:
		h.tipS -= stepS
		h.open(b, h.tipGS())
		if h.tipS <= 0 {
			h.pauseS = tipPauseS
		}
	case h.pauseS > 0:
		h.pauseS -= stepS
	default:
		tip := math.Max(h.skill.TipG, toGoG*0.7) * (1 + h.skill.TipSpread*clamp(h.rng.NormFloat64(), -2, 2)/2)
		h.tipS = math.Max(stepS, tip/h.tipGS())
		h.stopped = true
	}
}

func (h *hand) tipGS() float64 { return h.skill.EaseGS / 2 }

func (h *hand) open(b *Bench, flowGS float64) {
	h.opening = clamp(flowGS/b.jugs[h.holding].MaxFlowGS*(1+h.tremor), 0, 1)
}

// turn moves the opening of every jug towards where the hand wants it: a
// wrist takes time, and a jug that nobody holds closes.
func (h *hand) turn(b *Bench) {
	keep := math.Exp(-stepS / tremorS)
	h.tremor = keep*h.tremor + math.Sqrt(1-keep*keep)*h.skill.Tremor*h.rng.NormFloat64()
	most := stepS / math.Max(h.skill.CloseS, stepS)
	for i, j := range b.jugs {
		want := 0.0
		if i == h.holding {
			want = h.opening
		}
		// Closing takes as long from a small opening as from a wide one at
		// this skill: it is the jug that is set upright.
		wide := math.Max(h.skill.WideGS/j.MaxFlowGS, stepS)
		j.opening += clamp(want-j.opening, -most*wide, most*wide)
		if want == 0 && j.opening < 1e-3 {
			j.opening = 0
		}
	}
}
