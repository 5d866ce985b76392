package bench

import (
	"context"
	"errors"
	"time"

	"gramcup/mix"
)

// commandQueue is how many people may wait at the same time; more are told to
// try again.
const commandQueue = 16

// ErrBusy says that too many commands wait, ErrClosed that the bench has ended.
var (
	ErrBusy   = errors.New("the bench is busy: try again in a moment")
	ErrClosed = errors.New("the bench has been shut down")
)

type request struct {
	command mix.Command
	reply   chan reply
}

type reply struct {
	batch mix.Batch
	err   error
}

// Do hands a command to the running bench and waits for what came of it: the
// batch after it, or a *mix.Refusal. A command without a stamp gets one.
func (b *Bench) Do(ctx context.Context, c mix.Command) (mix.Batch, error) {
	req := request{command: c, reply: make(chan reply, 1)}
	select {
	case b.commands <- req:
	default:
		return mix.Batch{}, ErrBusy
	}
	select {
	case r := <-req.reply:
		return r.batch, r.err
	case <-ctx.Done():
		return mix.Batch{}, context.Cause(ctx)
	}
}

// loop is Run's own state: at most one job is on its way to the disk.
type loop struct {
	*Bench
	jobs    chan *job
	done    chan error
	inHand  *job
	ready   mix.Ready
	waiting *request // whose command the job answers
	timer   *time.Timer
}

// Run works until ctx ends, then finishes the append in hand. Appends go to a
// goroutine of their own: while the disk is slow, weights are still shown
// against the batch as it is, and nothing further is decided.
func (b *Bench) Run(ctx context.Context) error {
	l := &loop{Bench: b, jobs: make(chan *job), done: make(chan error), timer: time.NewTimer(time.Hour)}
	go func() {
		defer close(l.done)
		for j := range l.jobs {
			l.done <- b.cfg.Journal.Append(j.events, j.trace, j.summary)
		}
	}()
	defer l.close()
	if err := b.Open(b.Stamp(time.Now())); err != nil {
		return err
	}
	for {
		commands := b.commands
		if l.inHand != nil {
			commands = nil // decided on what is about to change: they wait
		}
		select {
		case <-ctx.Done():
			return nil
		case <-b.box.bell:
			l.empty()
		case req := <-commands:
			req.command.At = b.Stamp(time.Now())
			l.input(&req.command, &req)
		case err := <-l.done:
			l.written(err)
		case a := <-b.asked:
			a.At = b.Stamp(time.Now())
			l.input(&a, nil)
		case now := <-l.timer.C:
			l.input(&mix.Woke{At: b.Stamp(now)}, nil)
		}
	}
}

// empty takes what is in the box: first the word about the scale, then the
// reading. While a job is in hand the word stays there.
func (l *loop) empty() {
	x := &l.box
	x.mu.Lock()
	news, newsAt, identity, reason := x.news, x.newsAt, x.identity, x.reason
	keptOut, stranger, trouble := x.keptOut, x.stranger, x.trouble
	if l.inHand != nil {
		news, trouble = "", ""
	}
	if news != "" {
		x.news = ""
	}
	if trouble != "" {
		x.trouble = ""
	}
	room, roomTold := x.room, x.roomTold
	x.roomTold = false
	l.weighed = mix.Weighed{At: l.Stamp(x.at), Reading: x.reading}
	full := x.full
	x.full = false
	x.mu.Unlock()
	switch news {
	case ScaleLost:
		l.health.KeptOut, l.health.Stranger = "", stranger
		if keptOut {
			l.health.KeptOut = reason
		}
		l.input(&mix.ScaleLost{At: l.Stamp(newsAt), Reason: reason}, nil)
	case ScaleFound:
		l.input(&mix.ScaleFound{At: l.Stamp(newsAt), Identity: identity}, nil)
	}
	l.explain(trouble)
	if roomTold {
		l.tellRoom(room)
	}
	if full {
		l.input(&l.weighed, nil)
	}
}

// explain tells why nothing is heard, unless something is, or a scale that is
// kept out is a better reason.
func (b *Bench) explain(trouble string) {
	h := &b.health
	if trouble == "" || trouble == h.Reason || h.Scale == ScaleFound || h.KeptOut != "" {
		return
	}
	h.Reason = trouble
	b.cfg.Audience.Health(*h)
}

// input takes one input as far as it goes without waiting for the disk.
func (l *loop) input(in mix.Input, req *request) {
	if l.inHand != nil {
		if w, ok := in.(*mix.Weighed); ok {
			live := mix.Watch(&l.batch, &l.pan, w)
			l.trace.note(&l.batch, &live)
			l.cfg.Audience.Live(live)
		}
		return // everything else either waits in its queue or comes again
	}
	r, j := l.decide(in)
	if j != nil {
		l.inHand, l.ready, l.waiting = j, r, req
		l.cfg.Audience.Live(r.Live) // against the batch as it still is
		l.jobs <- j                 // the writer is idle: it takes it at once
		return
	}
	l.finish(r, nil)
	l.arm(r.WakeAt)
	if req != nil {
		l.answer(req, r)
	}
	l.effect(r.Effect)
}

// written goes on after the disk has answered.
func (l *loop) written(err error) {
	j, r, req := l.inHand, l.ready, l.waiting
	l.inHand, l.waiting = nil, nil
	if err != nil {
		l.failed(j, err)
		if req != nil {
			req.reply <- reply{batch: l.batch, err: &mix.Refusal{Code: mix.RefusedFrozen, Sentence: l.health.Book}}
		}
	} else {
		l.finish(r, j)
		l.effect(r.Effect)
		if req != nil {
			l.answer(req, r)
		}
	}
	l.arm(j.at.Add(time.Millisecond))
	l.box.ring() // what waited in the box meanwhile
}

func (l *loop) answer(req *request, r mix.Ready) {
	a := reply{batch: l.batch}
	if r.Refused != nil {
		a.err = r.Refused
	}
	req.reply <- a
}

// effect asks the scale in a goroutine, because a scale that does not listen
// may block a write; the answer comes back as an input. One at a time.
func (l *loop) effect(e mix.Effect) {
	if e == mix.EffectNone {
		return
	}
	l.asking.Go(func() {
		err := l.cfg.Asker.Ask(requestFor(e))
		// A scale without such a command is none to worry about: the bench takes
		// the cup off by itself.
		if err != nil && !errors.Is(err, errors.ErrUnsupported) {
			l.cfg.Log.Warn("the scale could not be asked", "request", nameOf(e), "error", err)
		}
		select {
		case l.asked <- mix.Asked{Effect: e, OK: err == nil}:
		default: // an older answer waits; a tare that times out says the same
		}
	})
}

// arm sets the timer for the next look without a reading.
func (l *loop) arm(at mix.Stamp) {
	if at.IsZero() {
		l.timer.Stop()
		return
	}
	l.timer.Reset(max(at.Mono-time.Since(l.cfg.Began), 0))
}

// close finishes the append in hand and answers who still waits.
func (l *loop) close() {
	l.timer.Stop()
	if l.inHand != nil {
		l.written(<-l.done)
	}
	close(l.jobs)
	<-l.done
	l.asking.Wait()
	for {
		select {
		case req := <-l.commands:
			req.reply <- reply{err: ErrClosed}
		default:
			return
		}
	}
}
