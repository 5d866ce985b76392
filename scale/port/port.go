package port

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"sync"
	"sync/atomic"
	"time"

	"gramcup/scale"
)

// Config says how a Port works. Open, Identity and Codec must be set; every
// duration has a default that is used where it is zero.
type Config struct {
	Open     Opener      // how to open the wire
	Identity string      // the name for people and logs; a wire with an Identity method knows better
	Codec    scale.Codec // how to read its lines
	// Stream lets the Port ask: for the stream where the shape knows it (reset, a
	// short wait, stream), else for the weight again and again, unless the scale
	// sends by itself. Without Stream the Port sends only what Ask is given.
	Stream   bool
	Recorder io.Writer    // what came, as a capture file; nil for none
	Log      *slog.Logger // found, lost, can not open; nil for none
	// Known is the scale to let in; with the zero value it is the first one that
	// answers. Remember, if set, is given what is to be Known at the next start,
	// whenever that changes. It is called with the bytes waiting and must not block.
	Known    Known
	Remember func(Known)

	BackoffMin time.Duration // the first wait before reopening; 250 ms
	BackoffMax time.Duration // the longest; 5 s, but half a second while the device node is missing
	// ResetWait is how long after a reset whatever comes is thrown away; 300 ms.
	// The standard for the reset command advises several seconds, for a scale
	// that starts from nothing. Here the reset only ends what somebody asked
	// before, and a scale that is not ready yet is asked again after AskAgain,
	// so a long wait would only keep the painter waiting.
	ResetWait     time.Duration
	PollEvery     time.Duration // between two questions for the weight; 150 ms
	AskAgain      time.Duration // silence before the stream is asked for again; 1 s
	SilenceReopen time.Duration // silence before the wire is reopened; 3 s; negative for never
}

// withDefaults fills in what is zero.
func (c Config) withDefaults() Config {
	set := func(d *time.Duration, value time.Duration) {
		if *d == 0 {
			*d = value
		}
	}
	set(&c.BackoffMin, 250*time.Millisecond)
	set(&c.BackoffMax, 5*time.Second)
	set(&c.ResetWait, 300*time.Millisecond)
	set(&c.PollEvery, 150*time.Millisecond)
	set(&c.AskAgain, time.Second)
	set(&c.SilenceReopen, 3*time.Second)
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	return c
}

// Sink takes what a Port reads. Calls never overlap and come in order; none
// may block, because the bytes wait behind it. Between a Found and the next
// Lost all readings are in one unit. Readings arrive only between the two.
type Sink interface {
	// Reading is one good frame, also one that shows no usable weight.
	Reading(at time.Time, r scale.Reading)
	// Answer is a reply that is no weight: an unknown or damaged command, or
	// information about the scale.
	Answer(at time.Time, r scale.Reading)
	// BadFrame is a piece that was refused; err is a *scale.FrameError.
	BadFrame(at time.Time, err error)
	// Found is called once for every return of the scale, before its first
	// Reading.
	Found(at time.Time, identity string)
	// Lost is called once for every loss, with a sentence for people. The end
	// of Run is not a loss.
	Lost(at time.Time, reason string)
}

// TroubleSink is a Sink that is also told why there is no scale while none is
// heard: before the first one ever was, and when the reason of a Lost has
// become another, such as a cable that is back with the wrong scale on it. It
// comes only when the sentence changes. That the port is still missing is no
// news after a scale was lost with it.
type TroubleSink interface {
	Sink
	// Trouble gives the reason as a sentence.
	Trouble(at time.Time, reason string)
}

// Errors of Ask.
var (
	// ErrNotSupported is an errors.ErrUnsupported, for who does not know this
	// package.
	ErrNotSupported error = unsupported{}
	ErrLost               = errors.New("the scale is not connected")
	ErrBusy               = errors.New("the scale has not taken the last commands yet")
)

type unsupported struct{}

func (unsupported) Error() string        { return "the scale has no such command" }
func (unsupported) Is(target error) bool { return target == errors.ErrUnsupported }

// askQueue bounds the commands that wait. More than a few can only mean that
// the scale takes none.
const askQueue = 4

// askAge is how old a command may get before it is dropped. A zero or tare
// that comes late hits another weight than the one it was meant for.
const askAge = time.Second

// missingRetry bounds the wait while a device node is missing: looking is
// free, and somebody may be standing there with the plug in his hand.
const missingRetry = 500 * time.Millisecond

// Port keeps a wire to one scale open and reads it. Make one with New.
type Port struct {
	cfg  Config
	sink Sink

	started time.Time // monotonic zero of every stored time
	asks    chan ask
	current atomic.Pointer[session] // nil while there is no wire
	count   counters
	problem atomic.Pointer[string]
	absent  atomic.Bool // the problem is that the port is not there
	record  *recorder   // nil for none
	recent  *Recent
	asleep  error   // the owner's: why the scale has fallen silent, nil while it talks
	lengths lengths // guarded by sinkMu

	sinkMu  sync.Mutex // held around every call of sink
	known   Known      // guarded by sinkMu, as is refusal
	refusal *refusal   // the scale that is kept out now, nil for none
}

// ask is a command on its way, bound to the connection it was meant for.
type ask struct {
	request scale.Request
	session *session
	at      time.Duration
}

// New makes a Port. Nothing is opened before Run.
func New(cfg Config, sink Sink) *Port {
	p := &Port{cfg: cfg.withDefaults(), sink: sink, started: time.Now(), asks: make(chan ask, askQueue), known: cfg.Known.clone()}
	p.recent = newRecent(p.started, "shape: "+cfg.Codec.Name(), "port: "+cfg.Identity)
	if cfg.Recorder != nil {
		p.record = newRecorder(cfg.Recorder, &p.count, p.cfg.Log, "shape: "+cfg.Codec.Name(), "port: "+cfg.Identity)
	}
	return p
}

// since is the time on the Port's own clock, which does not jump.
func (p *Port) since() time.Duration { return time.Since(p.started) }

// Run opens, reads and reopens until ctx ends, and returns ctx's error. It may
// be called once.
func (p *Port) Run(ctx context.Context) error {
	if p.record != nil {
		stop := p.record.start()
		defer stop()
	}
	delay := p.cfg.BackoffMin
	for ctx.Err() == nil {
		found, err := p.once(ctx)
		if ctx.Err() != nil {
			break
		}
		// A silent wire took its time already; waiting longer on top would
		// only miss the moment in which the scale is switched on.
		if found || errors.Is(err, errSilent) {
			delay = p.cfg.BackoffMin
		}
		p.report(err)
		limit := p.cfg.BackoffMax
		if errors.Is(err, fs.ErrNotExist) {
			limit = min(limit, missingRetry)
		}
		delay = min(delay, limit)
		wait(ctx, delay)
		delay *= 2
	}
	return ctx.Err()
}

// wait sleeps unless ctx ends before.
func wait(ctx context.Context, d time.Duration) {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
	case <-t.C:
	}
}

// once opens the wire and serves it until it is lost. found says whether a
// scale was talking on it.
func (p *Port) once(ctx context.Context) (found bool, err error) {
	wire, err := p.cfg.Open(ctx)
	if err != nil {
		return false, err
	}
	p.count.opens.Add(1)
	p.recent.opened()
	s := newSession(p, wire)
	p.current.Store(s)
	err = s.serve(ctx)
	p.current.Store(nil)
	s.end(ctx, err)
	return s.found.Load() || s.keptOut(), err
}

// report keeps the sentence for Stats, and logs it and tells it when it is a
// new one, so that a scale that stays away does not fill the disk.
func (p *Port) report(err error) {
	sentence := err.Error()
	p.absent.Store(errors.Is(err, fs.ErrNotExist))
	if old := p.problem.Swap(&sentence); old != nil && *old == sentence {
		return
	}
	p.cfg.Log.Warn("no scale", "port", p.cfg.Identity, "reason", sentence)
	sink, ok := p.sink.(TroubleSink)
	if !ok || errors.Is(err, fs.ErrNotExist) && p.count.found.Load() > 0 {
		return
	}
	p.sinkMu.Lock()
	defer p.sinkMu.Unlock()
	sink.Trouble(time.Now(), sentence)
}

// Ask hands a command to the scale and does not wait. nil means that it is on
// its way, not that it was obeyed: the readings tell. A command that can not
// leave within a second is dropped and counted. After a command that ends the
// stream, the stream is asked for again. The error is ErrNotSupported, ErrLost
// or ErrBusy, with the reason.
func (p *Port) Ask(r scale.Request) error {
	if _, ok := p.cfg.Codec.Request(nil, r); !ok {
		return fmt.Errorf("%w (line shape %s)", ErrNotSupported, p.cfg.Codec.Name())
	}
	s := p.current.Load()
	switch {
	case s == nil || !s.found.Load():
		if why := p.problem.Load(); why != nil {
			return fmt.Errorf("%w: %s", ErrLost, *why)
		}
		return ErrLost
	case s.listenOnly:
		return fmt.Errorf("%w: a recording does not listen", ErrNotSupported)
	case s.stuck.Load():
		return ErrBusy
	}
	select {
	case p.asks <- ask{request: r, session: s, at: p.since()}:
		return nil
	default:
		return ErrBusy
	}
}
