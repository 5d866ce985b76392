package bench

import (
	"cmp"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"

	"gramcup/mix"
	"gramcup/scale"
)

// Config is what a bench works with. Journal, Audience and Asker must be set.
type Config struct {
	Journal  Journal
	Audience Audience
	Asker    Asker
	Log      *slog.Logger
	Boot     string     // names this run of the daemon
	Began    time.Time  // when it began; stamps count from here
	Division scale.Mass // of the scale; 0 takes what its decimals suggest
}

// Bench owns the batch in the cup. Handle is its one entry; Run is a loop
// around it. Offer, Lost, Found and Do may be called from any goroutine while
// Run is running, everything else only from the one that owns the bench.
type Bench struct {
	cfg    Config
	batch  mix.Batch
	pan    mix.Pan
	health Health
	trace  recorder
	step   scale.Mass // the division that the last reading suggests
	frozen mix.Stamp  // decide nothing before, after the book failed
	room   string     // why the next entry may not be written, a sentence; "" while it may
	doubt  string     // the batch whose last append failed and may be on disk

	repeats atomic.Pointer[scale.Repeats] // see Checked

	weighed  mix.Weighed // reused, so that a reading costs no allocation
	box      box
	commands chan request
	asked    chan mix.Asked
	asking   sync.WaitGroup
}

// New makes a bench with the events of a batch that has not ended, or none.
func New(cfg Config, unfinished []mix.Recorded) *Bench {
	b := &Bench{
		cfg:      cfg,
		batch:    mix.Fold(unfinished),
		health:   Health{Scale: ScaleNever},
		box:      box{bell: make(chan struct{}, 1)},
		commands: make(chan request, commandQueue),
		asked:    make(chan mix.Asked, 1),
	}
	return b
}

// Batch is a copy of the batch as it is on disk.
func (b *Bench) Batch() mix.Batch { return b.batch }

// Stamp turns a time of this run into a stamp.
func (b *Bench) Stamp(t time.Time) mix.Stamp {
	return mix.Stamp{Boot: b.cfg.Boot, Mono: t.Sub(b.cfg.Began), WallMS: t.UnixMilli()}
}

// Checked says what the kept check of the scale in use has measured of its
// scatter, from now on; the zero value where it has none. Any goroutine may.
func (b *Bench) Checked(r scale.Repeats) { b.repeats.Store(&r) }

// Open tells the audience what there is, and the batch that the power was
// gone if one is unfinished. It comes before the first Handle.
func (b *Bench) Open(at mix.Stamp) error {
	b.health.Since = at
	b.cfg.Audience.Health(b.health)
	b.cfg.Audience.Batch(b.batch, nil)
	if b.batch.ID == "" {
		return nil
	}
	_, err := b.Handle(&mix.PowerCameBack{At: at})
	return err
}

// Handle takes one input through the whole journey and waits for the book. It
// is what simulated time drives, tick by tick. An error means that the book
// could not be written and nothing has changed.
func (b *Bench) Handle(in mix.Input) (mix.Ready, error) {
	r, job := b.decide(in)
	if job != nil {
		if err := b.cfg.Journal.Append(job.events, job.trace, job.summary); err != nil {
			b.failed(job, err)
			return r, err
		}
	}
	b.finish(r, job)
	if effect := r.Effect; effect != mix.EffectNone {
		err := b.cfg.Asker.Ask(requestFor(effect))
		mix.Step(&b.batch, &b.pan, &mix.Asked{At: r.Live.At, Effect: effect, OK: err == nil})
	}
	return r, nil
}

// job is what one decision wants on disk, and what the batch will be then.
type job struct {
	at      mix.Stamp
	events  []mix.Recorded
	trace   []byte
	summary *mix.Summary
	next    mix.Batch
}

// decide steps and prepares what has to be saved; nil when nothing has.
func (b *Bench) decide(in mix.Input) (mix.Ready, *job) {
	at := b.note(in)
	if r := b.repeats.Load(); r != nil {
		b.pan.Repeats = *r
	}
	if b.doubt != "" && !b.recalled(at) {
		return b.undecided(in), nil
	}
	r := mix.Step(&b.batch, &b.pan, in)
	b.trace.note(&b.batch, &r.Live)
	if len(r.Events) == 0 {
		return r, nil
	}
	key, id := "", b.batch.ID
	if c, ok := in.(*mix.Command); ok {
		key = c.Key
		if c.Do == mix.VerbStart {
			id = c.Order.ID
			b.trace.reset()
		}
	}
	return r, b.prepare(at, id, key, r.Events)
}

// note keeps what the bench itself needs of an input and gives its moment.
func (b *Bench) note(in mix.Input) mix.Stamp {
	switch in := in.(type) {
	case *mix.Weighed:
		if in.Reading.HasNumber {
			b.step = cmp.Or(in.Reading.Step(), b.step) // a line without its unit has none
		}
		if b.health.Scale != ScaleFound {
			b.setScale(ScaleFound, b.health.Identity, "", in.At)
		}
		return in.At
	case *mix.Command:
		if in.Order != nil && in.Order.Division == 0 {
			order := *in.Order
			order.Division = b.division()
			in.Order = &order
		}
		return in.At
	case *mix.ScaleLost:
		b.setScale(ScaleLost, b.health.Identity, in.Reason, in.At)
		return in.At
	case *mix.ScaleFound:
		b.setScale(ScaleFound, in.Identity, "", in.At)
		return in.At
	case *mix.PowerCameBack:
		return in.At
	case *mix.Asked:
		return in.At
	case *mix.Woke:
		return in.At
	}
	return mix.Stamp{}
}

// division is the configured one, or what the decimals of the scale suggest.
func (b *Bench) division() scale.Mass {
	if b.cfg.Division > 0 {
		return b.cfg.Division
	}
	return b.step
}

// prepare gives events their place, folds them into the batch that will be,
// and adds what goes with them. A start begins a new sequence.
func (b *Bench) prepare(at mix.Stamp, id, key string, events []mix.Event) *job {
	j := &job{at: at, next: b.batch}
	seq := b.batch.Seq
	if id != b.batch.ID {
		seq = 0
	}
	add := func(e mix.Event, key string) {
		seq++
		r := mix.Recorded{Batch: id, Seq: seq, At: at, Key: key, Event: e}
		j.events = append(j.events, r)
		j.next = mix.Apply(j.next, r)
	}
	for i, e := range events {
		if i > 0 {
			key = "" // one command, one key
		}
		add(e, key)
	}
	if err := j.next.Check(); err != nil && j.next.Fault == "" {
		b.cfg.Log.Error("a rule of the batch is broken", "batch", id, "error", err)
		add(mix.Faulted{Reason: err.Error()}, "")
	}
	j.trace = b.trace.pack()
	if j.next.State.Ended() && (id != b.batch.ID || !b.batch.State.Ended()) {
		s := mix.Summarize(&j.next)
		j.summary = &s
	}
	return j
}

// finish makes true what is on disk, and shows it.
func (b *Bench) finish(r mix.Ready, j *job) {
	if j == nil {
		b.cfg.Audience.Live(r.Live)
		return
	}
	b.batch = j.next
	b.trace.saved()
	b.cfg.Audience.Batch(b.batch, j.events)
	b.cfg.Audience.Live(mix.Show(&b.batch, &b.pan))
}

// frozenFor is how long nothing is decided after the book failed; then it is
// asked what it holds, and the decision comes again from the weight.
const frozenFor = time.Second

// failed leaves everything as it was and says why.
func (b *Bench) failed(j *job, err error) {
	b.doubt = j.events[0].Batch
	b.cfg.Log.Error("append to the book failed", "batch", b.doubt, "error", err)
	b.freeze(j.at, err)
}

func (b *Bench) freeze(at mix.Stamp, err error) {
	b.frozen = at.Add(frozenFor)
	b.health.Book = "The book can not be written, so nothing is accepted now: " + shortOf(err)
	b.cfg.Audience.Health(b.health)
}

// recalled asks the book, after a while, what is really on disk, and goes on
// from there: the append that failed may have arrived.
func (b *Bench) recalled(at mix.Stamp) bool {
	if at.Boot == b.frozen.Boot && at.Mono < b.frozen.Mono {
		return false
	}
	events, err := b.cfg.Journal.Recall(b.doubt)
	if err != nil {
		b.freeze(at, err)
		return false
	}
	b.doubt, b.health.Book = "", b.room
	b.cfg.Audience.Health(b.health)
	known := b.batch.Seq
	next := mix.Fold(events)
	if next.ID != b.batch.ID {
		known = 0
	}
	if next.ID == "" || next.Seq <= known {
		b.trace.keep()
		return true
	}
	b.trace.saved()
	b.batch = next
	b.cfg.Audience.Batch(b.batch, events[known:])
	return true
}

// undecided is the answer while the book can not be written: weights are still
// shown, commands are refused.
func (b *Bench) undecided(in mix.Input) mix.Ready {
	switch in := in.(type) {
	case *mix.Weighed:
		return mix.Ready{Live: mix.Watch(&b.batch, &b.pan, in)}
	case *mix.Command:
		return mix.Ready{Live: mix.Show(&b.batch, &b.pan), Refused: &mix.Refusal{Code: mix.RefusedFrozen, Sentence: b.health.Book}}
	}
	return mix.Ready{Live: mix.Show(&b.batch, &b.pan)}
}

func (b *Bench) setScale(s ScaleState, identity, reason string, at mix.Stamp) {
	b.health.Scale, b.health.Identity, b.health.Reason, b.health.Since = s, identity, reason, at
	if s == ScaleFound {
		b.health.KeptOut, b.health.Stranger = "", false
	}
	b.cfg.Audience.Health(b.health)
}

// requests gives each effect the request that it stands for, and its name.
var requests = [...]struct {
	name    string
	request scale.Request
}{
	mix.EffectTare:      {"tare", scale.RequestTare},
	mix.EffectZero:      {"zero", scale.RequestZero},
	mix.EffectClearTare: {"clear tare", scale.RequestClearTare},
}

func nameOf(e mix.Effect) string { return requests[e].name }

func requestFor(e mix.Effect) scale.Request { return requests[e].request }
