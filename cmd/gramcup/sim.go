package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"sync"
	"time"

	"gramcup/scale"
	"gramcup/simulator"
)

// simCmd puts a simulated scale where a serial program can open it.
type simCmd struct {
	Line   string   `default:"sma" help:"The shape of its lines, from the list above."`
	Preset string   `default:"decent" help:"The scale: cheap (5 kg by 1 g), decent (6 kg by 0.1 g) or fine (3 kg by 0.01 g)."`
	Seed   uint64   `default:"1" help:"The chance in the scale and in the hand; the same seed gives the same lines again."`
	Link   string   `type:"path" placeholder:"PATH" help:"A stable name for the line: a symbolic link that is made, and removed at the end."`
	Ask    bool     `help:"Say nothing until a program asks for weights."`
	Pour   bool     `help:"Let a hand pour: cup on, three components, stir, lift, and again, so that something moves."`
	Fault  []string `placeholder:"NAME@TIME" help:"Something that goes wrong, such as silent@20s or unplugged@30s+5s. May be given more than once."`
}

// Help teaches by an example, and lists the faults.
func (c *simCmd) Help() string {
	names := make([]string, 0, len(simulator.Faults()))
	for _, f := range simulator.Faults() {
		names = append(names, f.String())
	}
	return `A scale made of numbers on a pseudo-terminal. Any program that reads a serial scale
can open it; baud rate and parity do not matter there.

  gramcup sim --pour --link /tmp/bench-scale
  gramcup serve --scale /tmp/bench-scale

Faults: ` + strings.Join(names, ", ") + ".\n\n" + shapeNames()
}

// Run keeps the scale on its line until ctx ends.
func (c *simCmd) Run(ctx context.Context, out io.Writer) error {
	b, err := c.bench()
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(ctx)
	var parts sync.WaitGroup
	parts.Go(func() { b.Run(ctx) })
	if c.Pour {
		parts.Go(func() { pourScenes(ctx, b) })
	}
	err = c.serve(ctx, out, b)
	cancel()
	parts.Wait()
	return err
}

// bench is the simulated bench of the flags.
func (c *simCmd) bench() (*simulator.Bench, error) {
	codec, err := scale.CodecByName(c.Line)
	if err != nil {
		return nil, fmt.Errorf("--line: %w", err)
	}
	preset, err := simulator.PresetByName(c.Preset)
	if err != nil {
		return nil, fmt.Errorf("--preset: %w", err)
	}
	o := simulator.Options{Seed: c.Seed, Preset: preset, Codec: codec, OnRequest: c.Ask}
	for _, text := range c.Fault {
		f, err := simulator.ParseScheduled(text)
		if err != nil {
			return nil, fmt.Errorf("--fault: %w", err)
		}
		o.Faults = append(o.Faults, f)
	}
	return simulator.New(o), nil
}

// serve opens a line, and a new one each time the plug was pulled: the device
// has another name then, like a real one, and only the link stays.
func (c *simCmd) serve(ctx context.Context, out io.Writer, b *simulator.Bench) error {
	for ctx.Err() == nil {
		if b.Unplugged() {
			pause(ctx, 100*time.Millisecond)
			continue
		}
		pty, err := simulator.OpenPty(c.Link)
		if err != nil {
			return err
		}
		c.announce(out, pty)
		err = b.Serve(ctx, pty)
		if errors.Is(err, simulator.ErrUnplugged) {
			fmt.Fprintln(out, "unplugged")
			continue
		}
		if err != nil {
			return fmt.Errorf("carry the simulated line on %s: %w", pty.Path, err)
		}
	}
	return nil
}

func (c *simCmd) announce(out io.Writer, pty *simulator.Pty) {
	path := pty.Path
	if pty.Link != "" {
		path = pty.Link
	}
	fmt.Fprintf(out, "scale on %s\n", pty.Path)
	fmt.Fprintf(out, "use it with: gramcup serve --scale %s --line %s\n", path, c.Line)
}

// pause waits, but not beyond the end of ctx.
func pause(ctx context.Context, d time.Duration) {
	select {
	case <-ctx.Done():
	case <-time.After(d):
	}
}

// sceneEvery is how often the scene looks at the display.
const sceneEvery = 100 * time.Millisecond

func pourScenes(ctx context.Context, b *simulator.Bench) {
	s := &scene{}
	for ctx.Err() == nil {
		s.step(b)
		pause(ctx, sceneEvery)
	}
}

// sceneG is what is poured in a scene, in grams: about a small cup of primer
// at 4:1:1. It is a picture, not a recipe.
var sceneG = [...]float64{160, 40, 24}

// scene is a little play on repeat. It guides the hand by the display alone.
type scene struct {
	act    int // cup, one for each component, stir, lift
	emptyG float64
	lastG  float64
	flowGS float64
	still  int // looks in a row at a display at rest
	rest   int // looks until the next act may begin
}

const (
	sceneSlowG  = 20
	sceneAheadS = 0.7 // what still comes after the call to stop
	sceneNearG  = 0.5
	sceneRest   = 30
)

// step looks once and tells the hand what to do.
func (s *scene) step(b *simulator.Bench) {
	r := b.Reading()
	m, ok := r.Weight()
	if !ok {
		b.Look(simulator.Screen{Ask: simulator.AskWait})
		return
	}
	s.see(m.Grams(), r.Motion == scale.MotionStill)
	stir, lift := len(sceneG)+1, len(sceneG)+2
	switch {
	case s.rest > 0:
		s.rest--
		b.Look(simulator.Screen{Ask: simulator.AskWait})
	case s.act == 0:
		b.Look(simulator.Screen{Ask: simulator.AskCup})
		s.nextIf(b.CupOn() && s.still > 0)
	case s.act < stir:
		s.pour(b, s.act-1)
	case s.act == stir:
		b.Look(simulator.Screen{Ask: simulator.AskStir})
		s.nextIf(b.Wants() == simulator.PressStirred)
	case s.act == lift:
		b.Look(simulator.Screen{Ask: simulator.AskLift})
		if !b.CupOn() {
			*s = scene{rest: sceneRest, lastG: s.lastG}
		}
	}
}

func (s *scene) see(g float64, still bool) {
	const keep = 0.7 // smooths over about a third of a second
	s.flowGS = keep*s.flowGS + (1-keep)*(g-s.lastG)/sceneEvery.Seconds()
	s.lastG = g
	s.still++
	if !still {
		s.still = 0
	}
}

func (s *scene) pour(b *simulator.Bench, component int) {
	toGo := sceneG[component] - (s.lastG - s.emptyG)
	b.Look(simulator.Screen{
		Ask: simulator.AskPour, Component: component, ToGoG: toGo,
		Slow: toGo < sceneSlowG,
		Stop: toGo < math.Max(0, s.flowGS)*sceneAheadS,
	})
	s.nextIf(s.still > 5 && toGo < sceneNearG)
}

func (s *scene) nextIf(done bool) {
	if done {
		s.act++
		s.emptyG = s.lastG
		s.rest = sceneRest / 2
	}
}
