package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"strings"
	"sync"
	"time"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/scale/checkup"
	"gramcup/scale/port"
)

// scaleCheckCmd leads through a check with a test weight in the terminal.
type scaleCheckCmd struct {
	benchFlags
	Weight     string `required:"" placeholder:"1kg" help:"The test weight: 100, 200 or 500 g, 1, 2 or 5 kg."`
	Class      string `required:"" placeholder:"F2" help:"The class of the weight, as engraved: E1, E2, F1, F2, M1, M2 or M3."`
	WeightID   string `name:"weight-id" placeholder:"TEXT" help:"The number or mark of the weight, for the book."`
	Capacity   string `placeholder:"6kg" help:"Max on the plate of the scale."`
	IntervalE  string `name:"interval-e" placeholder:"0.1g" help:"e on the plate, if it is not d."`
	ScaleClass string `name:"scale-class" placeholder:"II" help:"The class in the oval on the plate: I, II, III or IIII; guessed from Max and e if not given."`
	Corners    bool   `help:"Also weigh at the four sides."`
	Keep       bool   `default:"true" negatable:"" help:"Keep the finished check in the book."`
	JSON       bool   `name:"json" help:"Print the finished check as one JSON object; what to do goes to standard error."`
}

// Help teaches by an example.
func (c *scaleCheckCmd) Help() string {
	return `  gramcup scale check --scale /dev/ttyUSB0 --weight 1kg --class F2 --capacity 6kg

Says what to do, one thing at a time, and takes each reading by itself when it stands
still: zero, weight on, weight off, three times. Ctrl-C ends it and keeps nothing; on the
page, under Scale, a reading can also be taken back. While a bench runs on this scale or
book, check there.

` + checkup.Disclaimer + ` The status is 0 only if the scale passed.`
}

// errNotPassed is the end of a check that the scale did not pass.
var errNotPassed = errors.New("the scale did not pass")

// errEndedEarly is Ctrl-C in the middle: the scale did not pass.
var errEndedEarly = errors.New("the check was ended before it was finished, nothing is kept")

// errUsePage is added where a running bench stands in the way.
var errUsePage = errors.New("if a bench is running on it, check on its page, under Scale")

// Run checks everything that can be checked, then leads through the walk.
func (c *scaleCheckCmd) Run(ctx context.Context, out io.Writer) (err error) {
	setup, err := c.setup()
	if err != nil {
		return err
	}
	cfg, err := c.port(ctx)
	if err != nil {
		return err
	}
	var b *book.Book
	if c.Keep {
		if b, err = openBook(c.Data); err != nil {
			return err
		}
		defer func() { err = errors.Join(err, b.Close()) }()
	}
	say := out
	if c.JSON {
		say = os.Stderr
	}
	record, at, err := guided(ctx, say, cfg, setup)
	if err != nil {
		return err
	}
	kept := checkup.Kept{AtMS: at.WallMS, Record: record}
	if b != nil {
		if kept, err = b.KeepCheck(at, record); err != nil {
			return err
		}
	}
	if c.JSON {
		err = printJSON(out, kept)
	} else {
		err = printVerdict(out, kept)
	}
	if err == nil && !record.Passed {
		err = errNotPassed
	}
	return err
}

// openBook tells a book that a running bench holds apart from other trouble.
func openBook(folder string) (*book.Book, error) {
	b, err := book.Open(folder)
	if errors.Is(err, book.ErrInUse) {
		return nil, fmt.Errorf("a bench is running on the book in %s: open its page and do it there, under Scale", folder)
	}
	return b, err
}

func (c *scaleCheckCmd) setup() (s checkup.Setup, err error) {
	for _, f := range []struct {
		flag, text string
		to         *scale.Mass
	}{{"--weight", c.Weight, &s.Nominal}, {"--capacity", c.Capacity, &s.Capacity}, {"--interval-e", c.IntervalE, &s.Interval}} {
		if f.text == "" {
			continue
		}
		if *f.to, err = parseMassFlag(f.text); err != nil {
			return s, fmt.Errorf("%s %w", f.flag, err)
		}
	}
	if s.Division, err = parseDivision(c.Division); err != nil {
		return s, err
	}
	s.WeightID, s.Corners = c.WeightID, c.Corners
	if s.WeightClass, err = scale.ParseWeightClass(c.Class); err != nil {
		return s, fmt.Errorf("--class: %w", err)
	}
	if s.Class, err = scale.ParseClass(c.ScaleClass); err != nil {
		return s, fmt.Errorf("--scale-class: %w", err)
	}
	if s.Division > 0 { // else it is known with the first reading
		_, err = checkup.New(s)
	}
	return s, err
}

// parseMassFlag reads "1kg", "0.1 g".
func parseMassFlag(s string) (scale.Mass, error) {
	number := strings.TrimRight(s, "abcdefghijklmnopqrstuvwxyz ")
	unit, ok := scale.ParseUnit([]byte(s[len(number):]))
	m, err := scale.ParseMass(number, unit)
	if !ok || err != nil || m <= 0 {
		return 0, fmt.Errorf("%q: write a number above 0 with a unit, such as 0.1g or 1g", s)
	}
	return m, nil
}

func (c *scaleCheckCmd) port(ctx context.Context) (port.Config, error) {
	if c.Scale == "" {
		return port.Config{}, fmt.Errorf("which scale? name it with --scale /dev/ttyUSB0; %s", present())
	}
	codec, open, identity, err := c.wire()
	if err != nil {
		return port.Config{}, err
	}
	if err := tryOpen(ctx, open); err != nil {
		return port.Config{}, fmt.Errorf("--scale: %w; %w", err, errUsePage)
	}
	return port.Config{Open: open, Identity: identity, Codec: codec, Stream: c.Ask, Log: slog.New(slog.DiscardHandler)}, nil
}

// guided runs the port and the walk until the walk is done or ctx ends.
func guided(ctx context.Context, say io.Writer, cfg port.Config, setup checkup.Setup) (checkup.Record, mix.Stamp, error) {
	g := &guide{began: time.Now(), setup: setup, boot: newID("check")}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	done := make(chan error, 1)
	go func() { done <- port.New(cfg, g).Run(ctx) }()
	err := g.lead(ctx, say)
	cancel()
	if ended := asAsked(<-done); err == nil || errors.Is(err, errEndedEarly) && ended != nil {
		err = ended
	}
	return g.record, g.finished, err
}

// guide is the walk in a terminal. It takes what the port reads.
type guide struct {
	began time.Time
	setup checkup.Setup
	boot  string

	mu       sync.Mutex
	walk     *checkup.Walk
	failed   error  // the setup does not fit what the scale is
	unheard  string // why nothing is heard, a sentence; "" while it is, or nobody knows
	record   checkup.Record
	finished mix.Stamp
}

// Reading begins the walk with the first one, when the division is known.
func (g *guide) Reading(at time.Time, r scale.Reading) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.walk == nil && g.failed == nil && r.HasNumber {
		if g.setup.Division == 0 {
			g.setup.Division = r.Step()
		}
		g.walk, g.failed = checkup.New(g.setup)
	}
	if g.walk == nil || !g.finished.IsZero() {
		return
	}
	g.walk.Take(at.Sub(g.began), r)
	if record, ok := g.walk.Record(); ok {
		g.record, g.finished = record, mix.Stamp{Boot: g.boot, Mono: at.Sub(g.began), WallMS: at.UnixMilli()}
	}
}

// Answer and BadFrame are nothing to a check.
func (g *guide) Answer(time.Time, scale.Reading) {}

// BadFrame is nothing to a check.
func (g *guide) BadFrame(time.Time, error) {}

// Found gives the scale its name.
func (g *guide) Found(_ time.Time, identity string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.unheard = ""
	if g.walk == nil {
		g.setup.Scale = identity
	}
}

// Lost says that the scale went away.
func (g *guide) Lost(_ time.Time, reason string) {
	g.lost("The scale is not heard: " + reason)
}

// KeptOut says that it shows another unit than before, see port.StrangerSink.
func (g *guide) KeptOut(_ time.Time, reason string, _ bool) { g.lost(reason) }

// Trouble says why it is not heard, see port.TroubleSink.
func (g *guide) Trouble(at time.Time, reason string) { g.Lost(at, reason) }

func (g *guide) lost(sentence string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.unheard = sentence
	if g.walk != nil {
		g.walk.Lost()
	}
}

// look is the walk as it is; ok is false before the scale was heard. unheard is
// why it is not heard now, as far as that is known.
func (g *guide) look() (v checkup.View, ok bool, unheard string, err error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.walk == nil {
		return v, false, g.unheard, g.failed
	}
	return g.walk.View(time.Since(g.began)), true, g.unheard, nil
}

// lead prints what changes until the walk is done.
func (g *guide) lead(ctx context.Context, say io.Writer) error {
	tick := time.NewTicker(100 * time.Millisecond)
	defer tick.Stop()
	p, cautioned := progressOfCheck{out: say}, false
	for {
		v, heard, unheard, err := g.look()
		if err != nil {
			return err
		}
		if heard && !cautioned { // not before it is known that there is a check
			cautioned = true
			for _, text := range checkup.Cautions() {
				p.write("- " + text)
			}
		}
		if unheard != "" && v.Step != checkup.StepDone {
			p.line("  " + unheard)
		} else if heard {
			p.show(v)
		} else if time.Since(g.began) > unheardAfter {
			p.line("  The scale is not heard yet: is it on and plugged in?")
		}
		if v.Step == checkup.StepDone {
			return p.err
		}
		select {
		case <-ctx.Done():
			return errEndedEarly
		case <-tick.C:
		}
	}
}

// unheardAfter is how long the first reading may take before somebody says so.
const unheardAfter = 4 * time.Second
