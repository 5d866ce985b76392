package port

import (
	"context"
	"errors"
	"io"
	"net"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// benchScale is the other end of the cable: it obeys the requests of its
// codec on any wire. A test sets the fields before serve.
type benchScale struct {
	codec    scale.Codec
	every    time.Duration // between two frames of a stream; 100 ms
	talks    bool          // streams without being asked
	noStream bool          // does not know the stream command
	unit     scale.Unit
	mu       sync.Mutex
	heard    []heard
	tenths   uint64   // the weight, in tenths of the unit
	fewer    int      // decimals less than one
	about    []string // what it says about itself, line by line
	said     int      // of them

	silentAbout bool // and it gives no answer to that at all
	mute        bool // sends nothing
	streaming   bool
}

// heard is a request and when it came.
type heard struct {
	request scale.Request
	at      time.Time
}

// set changes the scale while it runs.
func (b *benchScale) set(f func(b *benchScale)) {
	b.mu.Lock()
	defer b.mu.Unlock()
	f(b)
}

// requests lists what came so far.
func (b *benchScale) requests() []scale.Request {
	b.mu.Lock()
	defer b.mu.Unlock()
	list := make([]scale.Request, len(b.heard))
	for i, h := range b.heard {
		list[i] = h.request
	}
	return list
}

func (b *benchScale) frame() []byte {
	unit := b.unit
	if unit == scale.UnitNone {
		unit = scale.UnitGram
	}
	return b.codec.Encode(nil, scale.Reading{
		Number: scale.Decimal{Coefficient: b.tenths, Places: uint8(1 - b.fewer), Lead: 3}, HasNumber: true,
		Unit: unit, Mode: scale.ModeGross, Motion: scale.MotionStill,
	})
}

// serve talks on the wire until it breaks or is closed. It returns when both
// of its goroutines are gone.
func (b *benchScale) serve(wire io.ReadWriteCloser) {
	done := make(chan struct{})
	var both sync.WaitGroup
	both.Go(func() { b.stream(wire, done) })
	b.listen(wire)
	close(done)
	wire.Close()
	both.Wait()
}

func (b *benchScale) stream(wire io.Writer, done chan struct{}) {
	every := b.every
	if every == 0 {
		every = 100 * time.Millisecond
	}
	tick := time.NewTicker(every)
	defer tick.Stop()
	for {
		select {
		case <-done:
			return
		case <-tick.C:
		}
		b.mu.Lock()
		send := (b.streaming || b.talks) && !b.mute
		frame := b.frame()
		b.mu.Unlock()
		if send {
			_, _ = wire.Write(frame)
		}
	}
}

func (b *benchScale) listen(wire io.ReadWriter) {
	var data []byte
	buf := make([]byte, 256)
	for {
		n, err := wire.Read(buf)
		if errors.Is(err, syscall.EIO) { // a pseudo-terminal that nobody has open just now
			time.Sleep(time.Millisecond)
			continue
		}
		if err != nil {
			return
		}
		data = append(data, buf[:n]...)
		for {
			r, advance := b.codec.ParseRequest(data)
			if advance == 0 {
				break
			}
			data = data[advance:]
			if reply := b.obey(r); reply != nil {
				_, _ = wire.Write(reply)
			}
		}
	}
}

// obey follows the rules of the open standard: any command ends a stream, an
// unknown one is answered with a question mark, a reset with nothing.
func (b *benchScale) obey(r scale.Request) []byte {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.heard = append(b.heard, heard{r, time.Now()})
	b.streaming = false
	if b.mute {
		return nil
	}
	switch r {
	case scale.RequestReset:
		return nil
	case scale.RequestStream:
		if b.noStream {
			return b.codec.Encode(nil, scale.Reading{Status: scale.StatusUnknownCommand})
		}
		b.streaming = true
		return nil
	case scale.RequestZero, scale.RequestTare:
		b.tenths = 0
		return b.frame()
	case scale.RequestWeight:
		return b.frame()
	case scale.RequestAbout, scale.RequestAboutNext:
		if b.silentAbout {
			return nil
		}
		if r == scale.RequestAbout {
			b.said = 0
		}
		if b.said++; b.said <= len(b.about) {
			return []byte("\n" + b.about[b.said-1] + "\r")
		}
	}
	return b.codec.Encode(nil, scale.Reading{Status: scale.StatusUnknownCommand})
}

// pipes is an Opener over net.Pipe with a bench scale at the far end of each.
func (b *benchScale) pipes() Opener {
	return func(context.Context) (io.ReadWriteCloser, error) {
		near, far := net.Pipe()
		go b.serve(far)
		return near, nil
	}
}

// event is one call of a Sink.
type event struct {
	what    string // "reading", "answer", "bad", "found", "lost"
	at      time.Time
	reading scale.Reading
	err     error
	text    string
}

// diary is a Sink that writes everything down, and fails when calls overlap.
type diary struct {
	t      testing.TB
	mu     sync.Mutex
	events []event
	news   chan struct{}
}

func newDiary(t testing.TB) *diary { return &diary{t: t, news: make(chan struct{}, 1)} }

func (d *diary) add(e event) {
	if !d.mu.TryLock() { // only readers of the diary hold it, and only shortly
		d.mu.Lock()
	}
	d.events = append(d.events, e)
	d.mu.Unlock()
	select {
	case d.news <- struct{}{}:
	default:
	}
}

func (d *diary) Reading(at time.Time, r scale.Reading) {
	d.add(event{what: "reading", at: at, reading: r})
}
func (d *diary) Answer(at time.Time, r scale.Reading) {
	d.add(event{what: "answer", at: at, reading: r})
}
func (d *diary) BadFrame(at time.Time, err error) { d.add(event{what: "bad", at: at, err: err}) }
func (d *diary) Found(at time.Time, identity string) {
	d.add(event{what: "found", at: at, text: identity})
}
func (d *diary) Lost(at time.Time, reason string) { d.add(event{what: "lost", at: at, text: reason}) }

// all is a copy of the events so far, of the given kinds or of every kind.
func (d *diary) all(kinds ...string) []event {
	d.mu.Lock()
	defer d.mu.Unlock()
	var list []event
	for _, e := range d.events {
		keep := len(kinds) == 0
		for _, k := range kinds {
			keep = keep || e.what == k
		}
		if keep {
			list = append(list, e)
		}
	}
	return list
}

// await waits until there are n events of a kind.
func (d *diary) await(what string, n int) {
	d.t.Helper()
	late := time.After(patience)
	for len(d.all(what)) < n {
		select {
		case <-d.news:
		case <-late:
			require.Fail(d.t, "waited in vain", "for %d × %s; got %d of it among %d events", n, what, len(d.all(what)), len(d.all()))
		}
	}
}

// start runs a Port and returns the function that stops it and waits.
func start(t testing.TB, cfg Config, sink Sink) (p *Port, stop func()) {
	t.Helper()
	p = New(cfg, sink)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- p.Run(ctx) }()
	var once sync.Once
	stop = func() {
		once.Do(func() {
			cancel()
			require.ErrorIs(t, <-done, context.Canceled)
		})
	}
	t.Cleanup(stop)
	return p, stop
}
