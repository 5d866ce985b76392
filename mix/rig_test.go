package mix_test

import (
	"fmt"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// division is the step of the simulated scale: 0.1 g.
const division = 100 * scale.Milligram

// rig is a bench made of a true load, a scale that rounds to a division, and a
// timer. After every input it holds the batch against the rules that always
// hold.
type rig struct {
	t      require.TestingT
	b      mix.Batch
	p      mix.Pan
	at     mix.Stamp
	events []mix.Recorded
	live   mix.Live
	wake   mix.Stamp

	load   scale.Mass // what really stands on the pan
	zero   scale.Mass // what the scale subtracts
	mode   scale.Mode
	marked bool          // the scale marks gross and net
	flags  bool          // the scale sends a motion flag
	deaf   bool          // it takes a tare command and does nothing
	mute   bool          // it can not be asked for a tare
	every  time.Duration // between two readings
	tared  int           // how often it was asked
	keys   int
	met    map[string]int // the events met, over all batches
}

func newRig(t require.TestingT) *rig {
	return &rig{t: t, at: mix.Stamp{Boot: "boot-0", WallMS: 1_700_000_000_000}, mode: scale.ModeGross,
		marked: true, flags: true, every: 100 * time.Millisecond, met: map[string]int{}}
}

// reading sends what the scale shows now.
func (r *rig) reading(moving bool) mix.Ready {
	return r.weighed(r.shown(moving))
}

func (r *rig) shown(moving bool) scale.Reading {
	m := (r.load - r.zero).RoundTo(division)
	out := scale.Reading{HasNumber: true, Unit: scale.UnitGram,
		Number: scale.Decimal{Coefficient: uint64(m.Abs() / division), Places: 1, Lead: 1, Negative: m < 0}}
	if r.marked {
		out.Mode = r.mode
	}
	switch {
	case r.flags && moving:
		out.Motion = scale.MotionMoving
	case r.flags:
		out.Motion = scale.MotionStill
	}
	return out
}

// weighed sends a reading, after the timer if that was due before.
func (r *rig) weighed(reading scale.Reading) mix.Ready {
	next := r.at.Add(r.every)
	for r.wake.Boot == r.at.Boot && r.wake.Mono > r.at.Mono && r.wake.Mono < next.Mono {
		r.at = r.wake
		r.input(&mix.Woke{At: r.at})
	}
	r.at = next
	return r.input(&mix.Weighed{At: r.at, Reading: reading})
}

// stand lets the load stand still.
func (r *rig) stand(d time.Duration) {
	for end := r.at.Mono + d; r.at.Mono < end; {
		r.reading(false)
	}
}

// pour raises the load evenly.
func (r *rig) pour(m scale.Mass, d time.Duration) {
	n := max(int64(d/r.every), 1)
	from := r.load
	for i := int64(1); i <= n; i++ {
		r.load = from + scale.Mass(int64(m)*i/n)
		r.reading(true)
	}
}

func (r *rig) press(v mix.Verb) mix.Ready { return r.command(v, r.b.Seq, r.key(), nil) }

func (r *rig) key() string { r.keys++; return fmt.Sprintf("key-%d", r.keys) }

func (r *rig) command(v mix.Verb, version uint64, key string, o *mix.Order) mix.Ready {
	return r.input(&mix.Command{At: r.at, Key: key, Batch: r.b.ID, Version: version, Do: v, Order: o})
}

// start begins a batch and says why if it may not.
func (r *rig) start(recipe mix.Recipe, a mix.Amount) mix.Ready {
	return r.command(mix.VerbStart, r.b.Seq, r.key(), &mix.Order{ID: fmt.Sprintf("batch-%d", r.keys), Recipe: recipe, Amount: a, Division: division})
}

// cupOn puts a cup on and waits for its zero.
func (r *rig) cupOn(cup scale.Mass) {
	r.load = cup
	r.stand(5 * time.Second)
	require.Equal(r.t, mix.PhasePour, r.b.Phase)
}

func (r *rig) powerCut() {
	r.b, r.p, r.wake = mix.Fold(r.events), mix.Pan{}, mix.Stamp{}
	r.at = mix.Stamp{Boot: r.at.Boot + "'", WallMS: r.at.WallMS + 60_000}
	r.input(&mix.PowerCameBack{At: r.at})
}

func (r *rig) lost()  { r.input(&mix.ScaleLost{At: r.at, Reason: "unplugged"}) }
func (r *rig) found() { r.input(&mix.ScaleFound{At: r.at, Identity: "the scale"}) }

// forget is the scale losing its own power.
func (r *rig) forget() { r.zero, r.mode = 0, scale.ModeGross }

// input steps twice on equal copies, folds, and checks.
func (r *rig) input(in mix.Input) mix.Ready {
	twin, pan := r.b, r.p
	ready := mix.Step(&r.b, &r.p, in)
	again := mix.Step(&twin, &pan, in)
	require.True(r.t, r.p == pan && ready.Live == again.Live && ready.WakeAt == again.WakeAt && ready.Effect == again.Effect,
		"equal batch, pan and input give an equal answer and leave an equal pan")
	if len(ready.Events)+len(again.Events) > 0 || ready.Refused != nil {
		require.Equal(r.t, ready, again)
		require.Equal(r.t, mix.Fold(r.events), r.b, "Step changes no batch")
	}
	if ready.WakeAt != (mix.Stamp{}) {
		r.wake = ready.WakeAt
	}
	c, pressed := in.(*mix.Command)
	if ready.Refused != nil || ready.Repeat {
		require.Empty(r.t, ready.Events, "a refused or repeated command does nothing")
		require.Zero(r.t, ready.Effect)
	}
	if r.b.State.Ended() && !(pressed && c.Do == mix.VerbStart) {
		require.Empty(r.t, ready.Events, "an ended batch never changes")
	}
	id, key := r.b.ID, ""
	if pressed {
		key = c.Key
		if c.Do == mix.VerbStart && len(ready.Events) > 0 {
			id, r.events, r.b = c.Order.ID, nil, mix.Batch{}
		}
	}
	for i, e := range ready.Events {
		r.judge(e, pressed)
		if i > 0 {
			key = ""
		}
		r.record(id, key, e)
	}
	r.live = ready.Live
	if len(ready.Events) > 0 {
		r.live = mix.Show(&r.b, &r.p)
	}
	if ready.Effect == mix.EffectTare {
		r.askTare()
	}
	return ready
}

// judge holds an event against what no event may do.
func (r *rig) judge(e mix.Event, pressed bool) {
	a, ok := e.(mix.Accepted)
	if !ok {
		return
	}
	require.True(r.t, r.p.Valid && r.p.Still, "nothing is accepted while the weight moves or is missing")
	require.Positive(r.t, a.Amount, "nothing is accepted without any of it in the cup")
	if a.Kept || a.Settles {
		require.True(r.t, pressed, "only a person keeps or settles")
		return
	}
	target := r.b.Layers[a.Component].Target
	off := (a.Amount - target).Abs()
	require.LessOrEqual(r.t, off, r.b.Tolerance(a.Component), "component %d: %v of %v", a.Component, a.Amount, target)
}

// record books an event as the bench would, through its encoding.
func (r *rig) record(id, key string, e mix.Event) {
	body, err := mix.EncodeEvent(e)
	require.NoError(r.t, err)
	back, err := mix.DecodeEvent(e.Type(), mix.EventVersion, body)
	require.NoError(r.t, err)
	require.Equal(r.t, e, back, "an event comes back from the book as it was")
	r.events = append(r.events, mix.Recorded{Batch: id, Seq: uint64(len(r.events) + 1), At: r.at, Key: key, Event: back})
	r.b = mix.Apply(r.b, r.events[len(r.events)-1])
	r.met[e.Type()]++
	require.NoError(r.t, r.b.Check())
	require.Equal(r.t, mix.Fold(r.events), r.b, "a batch is its events")
	require.EqualValues(r.t, len(r.events), r.b.Seq, "the sequence has no gap")
}

func (r *rig) askTare() {
	r.tared++
	if !r.deaf && !r.mute {
		r.zero, r.mode = r.load, scale.ModeNet
	}
	r.input(&mix.Asked{At: r.at, Effect: mix.EffectTare, OK: !r.mute})
}

// kinds lists the events so far by name.
func (r *rig) kinds() []string {
	var s []string
	for _, e := range r.events {
		s = append(s, e.Event.Type())
	}
	return s
}

// last is the event booked last.
func (r *rig) last() mix.Event { return r.events[len(r.events)-1].Event }

// amounts is what was accepted of each component.
func (r *rig) amounts() []scale.Mass {
	var s []scale.Mass
	for _, l := range r.b.Layers[:r.b.N()] {
		s = append(s, l.Poured)
	}
	return s
}

func volume(ml float64) mix.Amount { return mix.Amount{Kind: mix.AmountVolume, ML: ml} }
func mass(g float64) mix.Amount    { return mix.Amount{Kind: mix.AmountMass, Grams: g} }
func grams(g float64) scale.Mass   { return scale.MassFromGrams(g) }
