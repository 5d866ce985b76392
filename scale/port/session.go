package port

import (
	"context"
	"errors"
	"io"
	"sync"
	"sync/atomic"
	"time"

	"gramcup/scale"
)

// Pacing of what is sent. A scale may need about 100 ms for an answer; one
// that gives none within a second is not going to. A write is the owner's
// business again a little after its own limit.
const (
	commandGap = 150 * time.Millisecond
	replyLimit = time.Second
	replyLook  = 25 * time.Millisecond
	writeGrace = 250 * time.Millisecond
)

// awayAfter is how much too late the owner looks when the whole machine was away,
// and backAgain what it then gives the reader before it believes in a silence: the
// bytes wait in the kernel.
const (
	awayAfter = 500 * time.Millisecond
	backAgain = 500 * time.Millisecond
)

// how a session gets its readings.
type mode uint8

const (
	modeListen mode = iota // the scale sends by itself, or nobody asks it
	modeStream             // asked once, sends again and again
	modePoll               // asked for every weight, unless it sends by itself
)

// session is one connection, from open to lost. The owner goroutine runs
// serve; the fields above the blank line are its own.
type session struct {
	mode        mode
	resume      bool          // the stream has to be asked for
	pending     *ask          // taken from the queue, waits for its turn
	sent        scale.Request // the last one; RequestUnknown when its reply no longer matters
	sentAt      time.Duration
	settleUntil time.Duration
	writing     bool
	writeAt     time.Duration // when the last write began
	reply       []byte        // the next step of the scale's dialogue, nil for none
	poll        poll
	logged      bool
	diagnosed   bool
	lookAt      time.Duration // when the owner meant to look again
	backAt      time.Duration // when it last looked much too late

	p          *Port
	wire       io.ReadWriteCloser
	name       string
	usb        string
	listenOnly bool
	replier    scale.Replier // nil for a scale without a dialogue

	// Between the owner and its reader and writer.
	readDone chan error
	poke     chan struct{} // "look again": found, or the stream was refused
	out      chan []byte
	wrote    chan error
	replies  chan []byte // what the scale is to be answered at once
	workers  sync.WaitGroup
	found    atomic.Bool
	polling  atomic.Bool
	settling atomic.Bool
	refused  atomic.Bool   // the scale does not know the stream command
	stuck    atomic.Bool   // a write is overdue
	asked    atomic.Uint32 // sent, for the reader
	rubbish  atomic.Bool   // so many pieces were refused that the reason is worth finding
	rowFrom  atomic.Uint64 // chunk in which the first of them came
	frames   atomic.Uint64 // good ones, asked for or not
	frameAt  atomic.Int64  // when the last of them came, or the first piece, ns on the Port's clock
	replied  atomic.Int64  // when the last of them or of the answers came
	alive    atomic.Int64  // the same, or a step of the dialogue

	read reading
}

func newSession(p *Port, wire io.ReadWriteCloser) *session {
	s := &session{
		p: p, wire: wire, name: p.cfg.Identity,
		readDone: make(chan error, 1), poke: make(chan struct{}, 1),
		out: make(chan []byte, 1), wrote: make(chan error, 1), replies: make(chan []byte, 1),
	}
	s.replier, _ = p.cfg.Codec.(scale.Replier)
	if w, ok := wire.(interface{ Identity() string }); ok {
		s.name = w.Identity()
	}
	if w, ok := wire.(interface{ ListenOnly() bool }); ok {
		s.listenOnly = w.ListenOnly()
	}
	s.usb = usbNumber(wire)
	s.alive.Store(int64(p.since()))
	s.lookAt, s.backAt = time.Hour, -time.Hour
	s.frameAt.Store(int64(-time.Hour))
	s.read.begin(s)
	s.chooseMode()
	return s
}

// chooseMode takes the best that the codec has.
func (s *session) chooseMode() {
	if !s.p.cfg.Stream || s.listenOnly {
		return
	}
	if _, ok := s.p.cfg.Codec.Request(nil, scale.RequestStream); ok {
		s.mode, s.resume = modeStream, true
	} else if _, ok := s.p.cfg.Codec.Request(nil, scale.RequestWeight); ok {
		s.startPolling()
	}
}

// serve runs the connection until it is lost or ctx ends, and says why.
func (s *session) serve(ctx context.Context) error {
	s.workers.Add(2)
	if s.mode != modeListen {
		s.begin()
	}
	go s.reader()
	go s.writer()
	timer := time.NewTimer(0)
	defer timer.Stop()
	for {
		asks := s.p.asks
		if s.pending != nil {
			asks = nil
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case err := <-s.readDone:
			return err
		case err := <-s.wrote:
			if err := s.afterWrite(err); err != nil {
				return err
			}
		case a := <-asks:
			s.pending = &a
		case s.reply = <-s.replies:
		case <-s.poke:
			s.noticed()
		case <-timer.C:
		}
		now := s.p.since()
		due, err := s.step(now)
		if err != nil {
			return err
		}
		s.lookAt = max(due, now)
		timer.Reset(s.lookAt - now)
	}
}

// begin asks the scale to forget what it was asked before. Whatever it sends
// until it has was meant for somebody else.
func (s *session) begin() {
	if _, ok := s.p.cfg.Codec.Request(nil, scale.RequestReset); ok {
		now := s.p.since()
		s.send(scale.RequestReset, now)
		s.settleUntil = now + s.p.cfg.ResetWait
		s.settling.Store(true)
	}
}

// noticed acts on what the reader saw.
func (s *session) noticed() {
	s.noticeGate()
	s.noticeShape()
	if s.found.Load() && !s.logged {
		s.logged = true
		s.p.problem.Store(nil)
		s.p.asleep = nil
		s.p.cfg.Log.Info("scale found", "port", s.name)
	}
	if s.rubbish.Load() {
		s.diagnose()
	} else {
		s.diagnosed = false
	}
	if s.refused.Load() && s.mode == modeStream {
		s.p.cfg.Log.Info("the scale does not stream, it is polled", "port", s.name)
		s.startPolling()
	}
}

// step does what is due at now and returns when to look again.
func (s *session) step(now time.Duration) (due time.Duration, err error) {
	due = now + time.Hour
	if now-s.lookAt >= awayAfter {
		s.backAt, s.lookAt = now, now
	}
	if limit := s.patience(); limit > 0 {
		due = max(time.Duration(s.alive.Load())+limit, s.backAt+backAgain)
		if now >= due {
			return 0, s.silence(limit)
		}
	}
	s.dropStale(now)
	switch {
	case s.settleUntil > now:
		return min(due, s.settleUntil), nil
	case s.settling.Load():
		s.settling.Store(false)
		s.sent = scale.RequestUnknown // a reset is never answered
	}
	if s.writing {
		overdue := s.writeAt + writeLimit + writeGrace
		if now < overdue {
			return min(due, overdue), nil
		}
		if !s.stuck.Swap(true) {
			s.p.count.abandoned.Add(1)
		}
		return due, nil
	}
	if s.reply != nil {
		if s.sendReply(now); s.writing {
			return min(due, now+writeLimit+writeGrace), nil
		}
	}
	if at, on := s.interviewing(now); on {
		return min(due, at), nil
	}
	if at := s.readyAt(now); at > now {
		return min(due, at), nil
	}
	request, at := s.choose(now)
	if request != scale.RequestUnknown {
		s.send(request, now)
		at = now + commandGap
	}
	return min(due, at), nil
}

// readyAt is when the next command may go: after the reply to the last one, or
// when none is to be expected. A frame of a stream counts as a reply only
// because it comes with the gap.
func (s *session) readyAt(now time.Duration) time.Duration {
	switch {
	case s.sent == scale.RequestUnknown || now >= s.sentAt+replyLimit:
		return now
	case now < s.sentAt+commandGap:
		return s.sentAt + commandGap
	case time.Duration(s.replied.Load()) >= s.sentAt:
		return now
	}
	return min(now+replyLook, s.sentAt+replyLimit)
}

// choose picks what to send now, or says when there will be something.
func (s *session) choose(now time.Duration) (scale.Request, time.Duration) {
	if s.pending != nil {
		r := s.pending.request
		s.pending = nil
		s.poll.asked++
		s.resume = s.mode == modeStream // any command ends the stream
		return r, 0
	}
	switch s.mode {
	case modePoll:
		r, at := s.choosePoll(now)
		if r != scale.RequestUnknown {
			s.poll.asked++
		}
		return r, at
	case modeStream:
		quiet := max(time.Duration(s.alive.Load()), s.sentAt) + s.p.cfg.AskAgain
		if s.resume || now >= quiet {
			s.resume = false
			return scale.RequestStream, 0
		}
		return scale.RequestUnknown, quiet
	}
	return scale.RequestUnknown, now + time.Hour
}

// dropStale forgets a command that has waited too long or was meant for an
// earlier connection.
func (s *session) dropStale(now time.Duration) {
	if a := s.pending; a != nil && (a.session != s || now-a.at > askAge) {
		s.pending = nil
		s.p.count.dropped.Add(1)
	}
}

// end tells the Sink, closes the wire and waits a little for the workers.
func (s *session) end(ctx context.Context, reason error) {
	s.p.sinkMu.Lock()
	s.read.ended = true
	if (s.found.Load() || s.endRefusal()) && ctx.Err() == nil {
		s.p.sink.Lost(time.Now(), reason.Error())
	}
	s.p.sinkMu.Unlock()
	close(s.out)
	err := within(closeLimit, func() error {
		err := s.wire.Close()
		s.workers.Wait()
		return err
	})
	if errors.Is(err, ErrSlowClose) {
		s.p.count.stranded.Add(1)
	}
}
