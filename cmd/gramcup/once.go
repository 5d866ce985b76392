package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math"
	"strings"
	"time"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/simulator"
)

// Simulated time of demo --once: the hand is watched every tick, and a batch
// that takes longer than the limit has gone wrong.
const (
	onceTick  = 10 * time.Millisecond
	onceLimit = 15 * time.Minute
	// onceEpoch is the wall clock at which simulated time begins, so that the
	// same seed gives the same book.
	onceEpoch = 1_700_000_000_000
)

// onceJSON is the result as one object.
type onceJSON struct {
	State      string          `json:"state"`
	OnTheLine  bool            `json:"on_the_line"`
	Recipe     string          `json:"recipe"`
	RecipeID   string          `json:"recipe_id"`
	Seed       uint64          `json:"seed"`
	SecondsS   float64         `json:"simulated_s"`
	LevelUps   int             `json:"level_ups"`
	TotalG     float64         `json:"total_g"`
	TotalML    float64         `json:"total_ml"`
	Components []onceComponent `json:"components"`
}

type onceComponent struct {
	Name     string  `json:"name"`
	Role     string  `json:"role"`
	TargetG  float64 `json:"target_g"`
	PouredG  float64 `json:"poured_g"`
	ErrorG   float64 `json:"error_g"`
	VolumeML float64 `json:"volume_ml"`
	Line     string  `json:"line"`
	// The density that it was poured by, at the shop's temperature.
	DensityGML float64 `json:"density_g_ml"`
	ReferenceC float64 `json:"density_reference_c"`
	Provenance string  `json:"density_provenance"`
}

// once pours one batch in simulated time on the same path as a real one:
// bytes, codec, bench, book. Only the clock is not the world's.
func (c *demoCmd) once(ctx context.Context, out io.Writer, codec scale.Codec, folder string) error {
	bk, err := book.Open(folder)
	if err != nil {
		return err
	}
	defer func() { _ = bk.Close() }()
	if err := bk.FillSample(); err != nil {
		return err
	}
	recipe, err := c.recipe(bk)
	if err == nil {
		recipe, err = atShop(bk, recipe)
	}
	if err != nil {
		return err
	}
	o := newOnce(c.bench(codec), codec, bk)
	order := mix.Order{ID: "once", Recipe: recipe, Amount: mix.Amount{Kind: mix.AmountVolume, ML: demoML}}
	if c.VolumeML != nil {
		order.Amount.ML = *c.VolumeML
	}
	if err := tooMuch(order); err != nil {
		return fmt.Errorf("--volume-ml: %w", err)
	}
	if err := o.pour(ctx, order); err != nil {
		return err
	}
	summaries, err := bk.Summaries(1, 0)
	if err != nil {
		return err
	}
	if len(summaries) != 1 {
		return errors.New("the batch ended but stands not in the book")
	}
	if err := c.print(out, summaries[0], o.at().Mono); err != nil {
		return err
	}
	if s := summaries[0]; !s.OnTheLine {
		return fmt.Errorf("the batch is %s and not every layer is on its line", s.Outcome)
	}
	return nil
}

// tooMuch says so when the simulated tins or the simulated scale can not do an
// order: the painter would stand there with an empty tin until the time is up.
func tooMuch(o mix.Order) error {
	plan, err := o.Recipe.Plan(o.Amount)
	if err != nil {
		return err
	}
	for i, t := range plan.Targets {
		if t.MassG > simulator.DefaultContentG*0.95 {
			return fmt.Errorf("%v ml takes %.0f g of %s and a simulated tin holds %.0f g: mix less", o.Amount.ML, t.MassG, o.Recipe.Components[i].Name, simulator.DefaultContentG)
		}
	}
	if most := simulator.DecentBench().MaxG; plan.TotalG+simulatedCupG > most*0.99 {
		return fmt.Errorf("%v ml weighs %.0f g and the simulated scale carries %.0f g: mix less", o.Amount.ML, plan.TotalG, most)
	}
	return nil
}

func (c *demoCmd) recipe(bk *book.Book) (mix.Recipe, error) {
	recipes, err := bk.Recipes()
	if err != nil {
		return mix.Recipe{}, err
	}
	ids := ""
	for _, r := range recipes {
		if c.Recipe == "" || r.ID == c.Recipe {
			return r, nil
		}
		ids += " " + r.ID
	}
	return mix.Recipe{}, fmt.Errorf("--recipe %q is not on the sample shelf; there are:%s", c.Recipe, ids)
}

// once drives a bench tick by tick.
type once struct {
	sim    *simulator.Bench
	codec  scale.Codec
	framer *scale.Framer
	bench  *bench.Bench
	live   mix.Live
	keys   int
}

func newOnce(sim *simulator.Bench, codec scale.Codec, bk *book.Book) *once {
	o := &once{sim: sim, codec: codec, framer: scale.NewFramer(codec)}
	o.bench = bench.New(bench.Config{
		Journal: journal{bk}, Audience: o, Asker: o, Log: slog.New(slog.DiscardHandler), Boot: "once",
	}, nil)
	return o
}

// at is simulated time.
func (o *once) at() mix.Stamp {
	now := o.sim.Now()
	return mix.Stamp{Boot: "once", Mono: now, WallMS: onceEpoch + now.Milliseconds()}
}

// Ask sends the scale the bytes of a request.
func (o *once) Ask(r scale.Request) error {
	bytes, ok := o.codec.Request(nil, r)
	if !ok {
		return errors.New("this line shape has no such command")
	}
	o.sim.Send(bytes)
	// A request ends a stream, so it is asked for again.
	if again, ok := o.codec.Request(nil, scale.RequestStream); ok {
		o.sim.Send(again)
	}
	return nil
}

// Batch, Live and Health make it the bench's audience.
func (o *once) Batch(mix.Batch, []mix.Recorded) {}

// Live keeps what the page would show.
func (o *once) Live(l mix.Live) { o.live = l }

// Health shows nothing: there is no page.
func (o *once) Health(bench.Health) {}

// pour runs the batch to its end.
func (o *once) pour(ctx context.Context, order mix.Order) error {
	if err := o.bench.Open(o.at()); err != nil {
		return err
	}
	started := false
	var buf []byte
	for o.sim.Now() < onceLimit {
		if ctx.Err() != nil { // an orderly end elsewhere, but here the batch is not complete
			return errors.New("interrupted before the batch was complete")
		}
		o.sim.Tick(onceTick)
		buf = o.sim.Drain(buf[:0])
		if err := o.hear(buf); err != nil {
			return err
		}
		if !started && o.live.Valid && o.live.Still {
			if err := o.command(mix.Command{Do: mix.VerbStart, Order: &order}); err != nil {
				return err
			}
			started = true
		}
		if err := o.act(); err != nil {
			return err
		}
		if b := o.bench.Batch(); b.State.Ended() && b.ID != "" {
			return nil
		}
	}
	b := o.bench.Batch()
	headline, detail := mix.Headline(&b)
	return fmt.Errorf("after %v of simulated time the batch is still at: %s", onceLimit, strings.TrimSpace(headline+" "+detail))
}

// hear takes bytes from the scale to the bench.
func (o *once) hear(bytes []byte) error {
	o.framer.Feed(bytes)
	for {
		r, err, ok := o.framer.Next()
		if !ok {
			return nil
		}
		if err != nil {
			continue // a bad frame is no reading
		}
		if _, err := o.bench.Handle(&mix.Weighed{At: o.at(), Reading: r}); err != nil {
			return err
		}
	}
}

// act shows the hand the screen and presses what it wants pressed.
func (o *once) act() error {
	b := o.bench.Batch()
	o.sim.Look(screenOf(&b, &o.live))
	verb, press := pressFor(&b, &o.live, o.sim.Wants())
	if !press {
		return nil
	}
	return o.command(mix.Command{Batch: b.ID, Version: b.Seq, Do: verb})
}

func (o *once) command(c mix.Command) error {
	o.keys++
	c.At, c.Key = o.at(), fmt.Sprintf("once-%d", o.keys)
	r, err := o.bench.Handle(&c)
	if err == nil && r.Refused != nil && r.Refused.Code != mix.RefusedMoving {
		return fmt.Errorf("%s was refused: %w", c.Do, r.Refused)
	}
	return err
}

func (c *demoCmd) print(out io.Writer, s mix.Summary, took time.Duration) error {
	if c.JSON {
		j := onceJSON{
			State: string(s.Outcome), OnTheLine: s.OnTheLine, Recipe: s.Recipe, RecipeID: s.RecipeID, Seed: c.Seed,
			SecondsS: took.Seconds(), LevelUps: s.LevelUps, TotalG: s.TotalG, TotalML: s.TotalML,
		}
		for _, l := range s.Components {
			j.Components = append(j.Components, onceComponent{
				Name: l.Name, Role: string(l.Role), TargetG: l.TargetG, PouredG: l.PouredG, ErrorG: l.ErrorG,
				VolumeML: l.VolumeML, Line: string(l.Line),
				DensityGML: l.DensityGML, ReferenceC: l.ReferenceC, Provenance: l.Provenance(time.UnixMilli(onceEpoch)),
			})
		}
		return printJSON(out, j)
	}
	fmt.Fprintf(out, "%s (invented), seed %d: %s after %.0f s of simulated time\n\n", s.Recipe, c.Seed, s.Outcome, took.Seconds())
	return printPoured(out, s)
}

// printPoured prints the table; its last column is words, which end the line
// where they end.
func printPoured(out io.Writer, s mix.Summary) error {
	names := flush("component", "together", s.Components, func(l mix.SummaryLine) string { return l.Name })
	roles := flush("role", "", s.Components, func(l mix.SummaryLine) string { return string(l.Role) })
	var text strings.Builder
	w := table(&text)
	fmt.Fprintf(w, "%s\t%s\tline g\tpoured g\terror g\tml\t   stands\n", names[0], roles[0])
	for i, l := range s.Components {
		fmt.Fprintf(w, "%s\t%s\t%.1f\t%.1f\t%s\t%.1f\t   %s\n", names[i+1], roles[i+1], l.TargetG, l.PouredG, signed(l.ErrorG), l.VolumeML, standing(l.Line))
	}
	fmt.Fprintf(w, "%s\t\t\t%.1f\t\t%.1f\t\n", names[len(names)-1], s.TotalG, s.TotalML)
	_ = w.Flush() // a Builder takes everything
	text.WriteString("\n")
	for _, l := range s.Components {
		fmt.Fprintf(&text, "%s: %s.\n", l.Name, l.Provenance(time.UnixMilli(onceEpoch)))
	}
	for line := range strings.Lines(text.String()) {
		if _, err := fmt.Fprintln(out, strings.TrimRight(line, " \n")); err != nil {
			return err
		}
	}
	return nil
}

// signed writes an error with its sign, and none on what rounds to nothing.
func signed(g float64) string {
	if math.Abs(g) < 0.05 {
		return "0.0"
	}
	return fmt.Sprintf("%+.1f", g)
}

func standing(l mix.Line) string {
	switch l {
	case mix.LineOn:
		return "on the line"
	case mix.LinePast:
		return "past it"
	}
	return "short"
}
