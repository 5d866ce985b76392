package mix_test

import (
	"errors"
	"fmt"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
	"gramcup/simulator"
)

// station is a simulated bench with a simulated painter, from the bytes of the
// scale to the events of the batch, in simulated time: 10 ms a tick.
type station struct {
	t       require.TestingT
	sim     *simulator.Bench
	codec   scale.Codec
	framer  *scale.Framer
	d       scale.Mass
	learns  bool // false: what was measured is forgotten before every decision
	b       mix.Batch
	p       mix.Pan
	live    mix.Live
	events  []mix.Recorded
	wake    mix.Stamp
	pouring bool // the painter looks at the screen
	asked   []scale.Request
	asks    func(*station, scale.Request) error // instead of ask
	keys    int
	buf     []byte
}

func newStation(t require.TestingT, o simulator.Options, learns bool) *station {
	return &station{
		t: t, sim: simulator.New(o), codec: o.Codec, framer: scale.NewFramer(o.Codec),
		d: scale.MassFromGrams(o.Preset.DivisionG), learns: learns, pouring: true,
	}
}

func (s *station) at() mix.Stamp {
	now := s.sim.Now()
	return mix.Stamp{Boot: "station", Mono: now, WallMS: 1_700_000_000_000 + now.Milliseconds()}
}

// run goes on until the batch fulfils a condition, for at most so long.
func (s *station) run(limit time.Duration, until func() bool) error {
	for end := s.sim.Now() + limit; s.sim.Now() < end; {
		s.tick()
		if until() {
			return nil
		}
	}
	headline, _ := mix.Headline(&s.b)
	return fmt.Errorf("after %v still at %s, live %+v", limit, headline, s.live)
}

// wait lets time pass.
func (s *station) wait(d time.Duration) { _ = s.run(d, func() bool { return false }) }

func (s *station) tick() {
	s.sim.Tick(simulator.Step)
	s.buf = s.sim.Drain(s.buf[:0])
	s.framer.Feed(s.buf)
	for {
		r, err, ok := s.framer.Next()
		if !ok {
			break
		}
		if err == nil && r.Status < scale.StatusUnknownCommand { // the rest are answers, no readings
			s.input(&mix.Weighed{At: s.at(), Reading: r})
		}
	}
	if at := s.at(); !s.wake.IsZero() && at.Mono >= s.wake.Mono {
		s.wake = mix.Stamp{}
		s.input(&mix.Woke{At: at})
	}
	if !s.pouring {
		return
	}
	s.sim.Look(s.screen())
	if verb, press := s.pressed(s.sim.Wants()); press {
		s.command(verb, nil)
	}
}

func (s *station) command(v mix.Verb, o *mix.Order) mix.Ready {
	s.keys++
	return s.input(&mix.Command{At: s.at(), Key: fmt.Sprintf("key-%d", s.keys), Batch: s.b.ID, Version: s.b.Seq, Do: v, Order: o})
}

// start orders a batch when the empty scale stands still.
func (s *station) start(recipe mix.Recipe, a mix.Amount) error {
	if err := s.run(20*time.Second, func() bool { return s.live.Valid && s.live.Still && !s.sim.CupOn() }); err != nil {
		return err
	}
	r := s.command(mix.VerbStart, &mix.Order{ID: fmt.Sprintf("batch-%d", s.keys), Recipe: recipe, Amount: a, Division: s.d})
	if r.Refused != nil {
		return r.Refused
	}
	return nil
}

func (s *station) input(in mix.Input) mix.Ready {
	if !s.learns {
		s.p.Unlearn()
	}
	r := mix.Step(&s.b, &s.p, in)
	key := ""
	id := s.b.ID
	if c, ok := in.(*mix.Command); ok && len(r.Events) > 0 {
		key = c.Key
		if c.Do == mix.VerbStart {
			id, s.events, s.b = c.Order.ID, nil, mix.Batch{}
		}
	}
	for _, e := range r.Events {
		s.events = append(s.events, mix.Recorded{Batch: id, Seq: uint64(len(s.events) + 1), At: s.at(), Key: key, Event: e})
		s.b = mix.Apply(s.b, s.events[len(s.events)-1])
		key = ""
	}
	if len(r.Events) > 0 {
		require.Equal(s.t, mix.Fold(s.events), s.b, "a batch is its events")
		require.NoError(s.t, s.b.Check())
	}
	s.live = r.Live
	if len(r.Events) > 0 {
		s.live = mix.Show(&s.b, &s.p)
	}
	if !r.WakeAt.IsZero() {
		s.wake = r.WakeAt
	}
	if r.Effect != mix.EffectNone {
		ask := (*station).ask
		if s.asks != nil {
			ask = s.asks
		}
		err := ask(s, map[mix.Effect]scale.Request{mix.EffectTare: scale.RequestTare, mix.EffectZero: scale.RequestZero, mix.EffectClearTare: scale.RequestClearTare}[r.Effect])
		s.input(&mix.Asked{At: s.at(), Effect: r.Effect, OK: err == nil})
	}
	return r
}

func (s *station) ask(r scale.Request) error {
	bytes, ok := s.codec.Request(nil, r)
	if !ok {
		return errors.ErrUnsupported
	}
	s.asked = append(s.asked, r)
	s.sim.Send(bytes)
	if again, ok := s.codec.Request(nil, scale.RequestStream); ok {
		s.sim.Send(again)
	}
	return nil
}

// screen is what the page shows the painter.
func (s *station) screen() simulator.Screen {
	b, l := &s.b, &s.live
	screen := simulator.Screen{Component: b.Current, ToGoG: l.ToGo.Grams(), Slow: l.Cue == mix.CueEase, Stop: l.Cue == mix.CueStop}
	switch {
	case b.ID == "":
		return simulator.Screen{}
	case b.State.Ended():
		screen.Ask = simulator.AskLift
	case b.State == mix.StateHeld, !l.Valid, b.Phase == mix.PhaseTare, b.Phase == mix.PhaseDecide:
		screen.Ask = simulator.AskWait
	case b.Phase == mix.PhaseCup:
		screen.Ask = simulator.AskCup
	case b.Phase == mix.PhaseStir:
		screen.Ask = simulator.AskStir
	default:
		screen.Ask = simulator.AskPour
	}
	return screen
}

// pressed is what the painter presses: what the hand wants, and level up where
// a pour went past.
func (s *station) pressed(want simulator.Press) (mix.Verb, bool) {
	b := &s.b
	switch {
	case b.State != mix.StateRunning:
		return "", false
	case want == simulator.PressStirred && b.Phase == mix.PhaseStir:
		return mix.VerbStirred, true
	case want == simulator.PressCupOn && b.Phase == mix.PhaseCup:
		return mix.VerbCupOn, true
	case b.Phase == mix.PhaseDecide:
		return mix.VerbLevelUp, true
	}
	return "", false
}
