package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"os"
	"time"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/scale/port"
	"gramcup/simulator"
	"gramcup/ui"
)

// demoCmd runs the bench on a simulated scale.
type demoCmd struct {
	Listen   string   `default:"127.0.0.1:8484" help:"Where the page is served. Only this machine can be listened on."`
	Line     string   `default:"sma" help:"The shape of the simulated scale's lines, such as sma or csv; gramcup sim --help lists all."`
	Seed     uint64   `default:"1" help:"The chance in the scale and in the painter's hand; the same seed gives the same batch again."`
	Once     bool     `help:"Pour one batch without a page, as fast as it can be worked out, and print the result."`
	JSON     bool     `name:"json" help:"With --once: print the result as one JSON object."`
	Recipe   string   `placeholder:"ID" help:"With --once: the recipe of the sample shelf; its first one if not given."`
	VolumeML *float64 `name:"volume-ml" placeholder:"300" help:"With --once: how much to mix, in millilitres; 300 if not given."`
	ShopC    *float64 `name:"shop-c" placeholder:"28" help:"The temperature of the simulated shop in °C: densities are moved there by their expansion. The page can change it."`
	Painter  string   `enum:"apprentice,practised,steady" default:"practised" help:"How well the simulated painter pours: ${enum}."`
}

// Help teaches by an example.
func (c *demoCmd) Help() string {
	return `The same bench as "serve", on a simulated scale, with an invented sample shelf in a
temporary folder. Open the page and pour by hand, or let the simulated painter pour.

  gramcup demo
  gramcup demo --once --seed 7 --json

With --once the exit status is 0 only if the batch is complete and every layer stands
on its line.`
}

// Validate refuses what only --once understands: silence would hide that it was
// not done.
func (c *demoCmd) Validate() error {
	if !c.Once && (c.JSON || c.Recipe != "" || c.VolumeML != nil) {
		return errors.New("--json, --recipe and --volume-ml say how --once pours: add --once, or choose on the page")
	}
	return nil
}

// Run serves the demo, or pours once.
func (c *demoCmd) Run(ctx context.Context, out io.Writer) error {
	codec, err := scale.CodecByName(c.Line)
	if err != nil {
		return fmt.Errorf("--line: %w", err)
	}
	folder, err := os.MkdirTemp("", "gramcup-demo-")
	if err != nil {
		return fmt.Errorf("make a temporary folder for the book: %w", err)
	}
	defer func() { _ = os.RemoveAll(folder) }()
	if c.ShopC != nil {
		if err := c.warm(folder); err != nil {
			return err
		}
	}
	if c.Once {
		return c.once(ctx, out, codec, folder)
	}
	return c.serve(ctx, out, codec, folder)
}

// warm sets the temperature of the shop in the book before anything is opened.
func (c *demoCmd) warm(folder string) error {
	bk, err := book.Open(folder)
	if err != nil {
		return err
	}
	err = bk.PutSettings(mix.Settings{ShopC: c.ShopC}, time.Now())
	if err != nil {
		err = fmt.Errorf("--shop-c: %w", err)
	}
	return errors.Join(err, bk.Close())
}

// bench is the simulated bench of the flags.
func (c *demoCmd) bench(codec scale.Codec) *simulator.Bench {
	skills := map[string]simulator.Skill{
		"apprentice": simulator.Apprentice(), "practised": simulator.Practised(), "steady": simulator.Steady(),
	}
	return simulator.New(simulator.Options{
		Seed: c.Seed, Codec: codec, Skill: skills[c.Painter],
		Cup: simulator.Cup{MassG: simulatedCupG}, Jugs: make([]simulator.Jug, mix.MaxComponents),
	})
}

// gone is the error of a device node that is not there, told in the words of
// the error inside.
type gone struct{ error }

func (gone) Is(target error) bool { return target == fs.ErrNotExist }
func (g gone) Unwrap() error      { return g.error }

// dialer opens the line of a simulated scale. A line that is unplugged is
// missing in the way in which a device node is.
func dialer(sim *simulator.Bench) port.Opener {
	return func(context.Context) (io.ReadWriteCloser, error) {
		wire, err := sim.Dial()
		if errors.Is(err, simulator.ErrUnplugged) {
			return nil, gone{err}
		}
		return wire, err
	}
}

func (c *demoCmd) serve(ctx context.Context, out io.Writer, codec scale.Codec, folder string) error {
	sim := c.bench(codec)
	s := station{
		Open:     dialer(sim),
		Identity: "simulated scale", Codec: codec, Stream: true, Data: folder, Listen: c.Listen,
		Name: "Practice bench, Kestrel Lane Coachworks (invented)",
		Log:  slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelWarn})),
		Ready: func(address string) {
			fmt.Fprintf(out, "The demo bench is open at %s\nEverything on it is simulated. End it with Ctrl-C.\n", address)
		},
		Practise: func(desk bench.Desk, shelf shopBook) (ui.Demo, bench.Audience, func(context.Context) error) {
			p := newPainter(sim, desk, shelf)
			return p, p, p.run
		},
	}
	running, stop := context.WithCancel(ctx)
	defer stop()
	go sim.Run(running)
	oneProcessor()
	return s.run(ctx)
}
