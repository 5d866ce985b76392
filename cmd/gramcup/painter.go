package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/mix/coating"
	"gramcup/simulator"
	"gramcup/ui"
)

// shopBook is what the painter reads before he pours: the shelf, and what the
// shop has set for all its recipes.
type shopBook interface {
	ui.Shelf
	Settings() (mix.Settings, error)
}

// painter joins the simulated hand to the bench: it shows the hand what the
// page shows, and presses the buttons that the hand wants pressed. It knows no
// more than a page does.
type painter struct {
	sim   *simulator.Bench
	desk  bench.Desk
	shelf shopBook
	kick  chan struct{} // of one: there may be something to press

	mu    sync.Mutex
	batch mix.Batch
	live  mix.Live
	pours bool // the painter was asked to pour
}

func newPainter(sim *simulator.Bench, desk bench.Desk, shelf shopBook) *painter {
	return &painter{sim: sim, desk: desk, shelf: shelf, kick: make(chan struct{}, 1)}
}

// Batch, Live and Health make it an audience of the bench.
func (p *painter) Batch(b mix.Batch, _ []mix.Recorded) {
	p.mu.Lock()
	p.batch = b
	p.mu.Unlock()
}

// Live shows the hand the screen.
func (p *painter) Live(l mix.Live) {
	p.mu.Lock()
	p.live = l
	screen := simulator.Screen{}
	if p.pours {
		screen = screenOf(&p.batch, &l)
	}
	pours := p.pours
	p.mu.Unlock()
	p.sim.Look(screen)
	if pours {
		p.wake()
	}
}

func (p *painter) Health(bench.Health) {}

func (p *painter) wake() {
	select {
	case p.kick <- struct{}{}:
	default:
	}
}

// Pour lets the painter pour, one batch after the other, or pause.
func (p *painter) Pour(on bool) {
	p.mu.Lock()
	p.pours = on
	p.mu.Unlock()
	if !on {
		p.sim.Look(simulator.Screen{})
	}
	p.wake()
}

// Fault makes a fault of the simulated scale happen, for as long as is usual
// for it.
func (p *painter) Fault(name string) error {
	f, err := simulator.ParseFault(name)
	if err != nil {
		return err
	}
	p.sim.Inject(f, 0)
	return nil
}

// run presses buttons until ctx ends.
func (p *painter) run(ctx context.Context) error {
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-p.kick:
		}
		c, press := p.next()
		if !press {
			continue
		}
		limited, cancel := context.WithTimeout(ctx, 5*time.Second)
		_, err := p.desk.Do(limited, c)
		cancel()
		p.pressed(err)
	}
}

// pressed notes what came of a press. A refusal that only says that the bench has
// moved on or has no weight at the moment is nothing, and neither is a bench that was
// too busy to answer: he looks again with the next reading. After any other he stops.
func (p *painter) pressed(err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	var refusal *mix.Refusal
	if errors.As(err, &refusal) && slices.Contains([]mix.RefusalCode{mix.RefusedStale, mix.RefusedMoving, mix.RefusedNoScale}, refusal.Code) {
		return
	}
	if errors.Is(err, bench.ErrBusy) || errors.Is(err, context.DeadlineExceeded) {
		return
	}
	if err != nil {
		p.pours = false
	}
}

// next is the command that the painter gives now, if any.
func (p *painter) next() (mix.Command, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.pours {
		return mix.Command{}, false
	}
	b := &p.batch
	if b.ID != "" && b.State.Ended() && !p.sim.CupOn() || b.ID == "" {
		return p.start()
	}
	verb, press := pressFor(b, &p.live, p.sim.Wants())
	return mix.Command{Key: newID("press"), Batch: b.ID, Version: b.Seq, Do: verb}, press
}

// start orders the first recipe of the shelf, at the shop's temperature as a
// page would.
func (p *painter) start() (mix.Command, bool) {
	recipes, err := p.shelf.Recipes()
	if err != nil || len(recipes) == 0 {
		return mix.Command{}, false
	}
	recipe, err := atShop(p.shelf, recipes[0])
	if err != nil {
		return mix.Command{}, false
	}
	return mix.Command{Key: newID("press"), Batch: p.batch.ID, Version: p.batch.Seq, Do: mix.VerbStart, Order: &mix.Order{
		ID: newID("batch"), Recipe: recipe, Amount: mix.Amount{Kind: mix.AmountVolume, ML: demoML},
	}}, true
}

// atShop is a recipe with its densities at the temperature that the shop has
// set.
func atShop(b shopBook, r mix.Recipe) (mix.Recipe, error) {
	settings, err := b.Settings()
	if err != nil {
		return r, err
	}
	w, err := settings.Warm(r)
	return w.Recipe, err
}

// demoML is a usual amount of primer for two panels.
const demoML = 300

// asPouredG is how much the painter takes to be enough when there is no line.
const asPouredG = 200

// pouredByFor is how long the painter pours by a number that does not move: a few
// readings of the simulated scale.
const pouredByFor = 500 * time.Millisecond

// screenOf is what the page shows a hand: what to do, how far to go, when to
// slow and when to stop.
func screenOf(b *mix.Batch, l *mix.Live) simulator.Screen {
	s := simulator.Screen{
		Component: b.Current, ToGoG: l.ToGo.Grams(), Slow: l.Cue == mix.CueEase, Stop: l.Cue == mix.CueStop, GoodFor: pouredByFor,
	}
	switch {
	case b.ID == "":
		return simulator.Screen{}
	case b.State.Ended():
		s.Ask = simulator.AskLift
	case b.State == mix.StateHeld, !l.Valid, b.Phase == mix.PhaseTare, b.Phase == mix.PhaseDecide:
		s.Ask = simulator.AskWait
	case b.Phase == mix.PhaseCup:
		s.Ask = simulator.AskCup
	case b.Phase == mix.PhaseStir:
		s.Ask = simulator.AskStir
	default:
		s.Ask = simulator.AskPour
		if b.Layers[b.Current].Target == 0 {
			s.ToGoG = asPouredG - l.Amount.Grams()
			s.Stop = s.ToGoG <= 0
			s.Slow = s.ToGoG < asPouredG/10
		}
	}
	return s
}

// pressFor is the button that fits: what the hand wants, and what a painter
// answers to a pour past its line.
func pressFor(b *mix.Batch, l *mix.Live, want simulator.Press) (mix.Verb, bool) {
	switch {
	case b.State != mix.StateRunning:
		return "", false
	case want == simulator.PressStirred && b.Phase == mix.PhaseStir:
		return mix.VerbStirred, true
	case want == simulator.PressCupOn && b.Phase == mix.PhaseCup:
		return mix.VerbCupOn, true
	case b.Phase == mix.PhaseDecide:
		return mix.VerbLevelUp, true
	case b.Phase == mix.PhasePour && b.Layers[b.Current].Target == 0 && l.Still && l.Amount.Grams() >= asPouredG*0.95:
		return mix.VerbEnough, true
	}
	return "", false
}

// Hand lets a person pour at the simulated bench: put a cup on (the one that
// was lifted in the middle of a batch comes back), lift it, or tip the jug of
// the current component for a moment.
func (p *painter) Hand(do string, flowGS float64) error {
	p.mu.Lock()
	component, held := p.batch.Current, p.batch.State == mix.StateHeld
	p.pours = false // the person takes over
	p.mu.Unlock()
	p.sim.Look(simulator.Screen{})
	switch do {
	case "cup":
		switch {
		case p.sim.CupOn():
			return fmt.Errorf("a cup stands on the simulated scale already")
		case held:
			p.sim.PutBackCup()
		default:
			p.sim.PlaceCup(simulatedCupG)
		}
	case "lift":
		p.sim.LiftCup()
	case "tip":
		if !p.sim.CupOn() {
			return fmt.Errorf("no cup stands on the simulated scale: put one on first")
		}
		flowGS = min(max(flowGS, 0.5), 40)
		p.sim.Pour(component, flowGS*tipFor.Seconds(), flowGS)
	default:
		return p.fill(do)
	}
	return nil
}

// markML is up to the mark that is drawn on the simulated cup.
const markML = 100.0

// markFills are what it can be filled with, and its density in g/ml: water at
// 20 °C (Tanaka 2001), and invented ones.
var markFills = map[string]float64{"fill-water": 0.9982, "fill-base": 1.374, "fill-hardener": 1.062, "fill-reducer": 0.874, "fill-additive": 1.018}

// fill fills the cup to its mark; one that was carried away comes back with it.
func (p *painter) fill(do string) error {
	if mm, ok := strings.CutPrefix(do, "fill-to-"); ok {
		return p.fillTo(mm)
	}
	gml, known := markFills[do]
	if !known {
		return fmt.Errorf("%q is nothing that a hand can do here: cup, lift, tip, fill the cup to its mark or to a height", do)
	}
	if !p.sim.CupOn() {
		p.sim.PlaceCup(simulatedCupG)
	}
	p.sim.Pour(0, gml*markML, fillGS)
	return nil
}

// fillGS is how fast a cup is filled at the tap.
const fillGS = 40

// simulatedTub is the inside of the simulated cup where somebody measures its
// heights: it is invented, and wider at the top as paper cups are.
func simulatedTub() coating.Tapered { return coating.Tapered{BottomMM: 64, TopMM: 86, InnerMM: 115} }

// fillTo fills the cup with water up to a height in millimetres, on top of what
// is in it; one that was carried away comes back with it.
func (p *painter) fillTo(text string) error {
	mm, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return fmt.Errorf("a cup is filled to a height in millimetres, not to %q", text)
	}
	ml, err := simulatedTub().VolumeML(mm)
	if err != nil {
		return err
	}
	if !p.sim.CupOn() {
		p.sim.PutBackCup()
	}
	if !p.sim.CupOn() {
		return fmt.Errorf("no cup stands on the simulated scale: put one on first")
	}
	grams := ml * markFills["fill-water"]
	for _, g := range p.sim.True() {
		grams -= g
	}
	if grams <= 0 {
		return fmt.Errorf("the simulated cup is filled higher than %.4g mm already", mm)
	}
	p.sim.Pour(0, grams, fillGS)
	return nil
}

// tipFor is how long one tip of the jug runs on: a page that holds the button
// repeats it sooner.
const tipFor = 300 * time.Millisecond

// simulatedCupG is a plastic mixing cup.
const simulatedCupG = 42
