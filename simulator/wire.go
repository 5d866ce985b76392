package simulator

import (
	"errors"
	"io"
	"time"
)

// Errors of the line.
var (
	ErrUnplugged = errors.New("the simulated scale is unplugged: try again when it is back")
	ErrInUse     = errors.New("the line of the simulated scale is in use: close it first")
	ErrClosed    = errors.New("the line to the simulated scale was closed")
)

// Send is the host speaking, without a Wire: the bytes are looked at with the
// next step of Tick. At most 256 bytes wait; more are lost.
func (b *Bench) Send(p []byte) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.line.hear(p)
}

// Drain appends everything that the scale has sent since the last call and
// never waits. While unplugged that is nothing.
func (b *Bench) Drain(dst []byte) []byte {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, p := range b.line.out.pieces {
		dst = append(dst, p.bytes...)
	}
	b.line.out.clear()
	return dst
}

// Next appends the next piece as it would arrive: a frame, or a single byte
// while the line is chopped. ok is false when there is none.
func (b *Bench) Next(dst []byte) (out []byte, ok bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.line.out.pieces) == 0 {
		return dst, false
	}
	var buf [maxRequest]byte
	n := b.line.out.read(buf[:])
	return append(dst, buf[:n]...), true
}

// Dropped counts the frames that nobody took in time.
func (b *Bench) Dropped() int {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.line.out.dropped
}

// Wire is the host's end of the line, an io.ReadWriteCloser. Read waits for
// the next piece, so something else has to Tick: Run, or a test.
type Wire struct {
	bench *Bench
	err   error         // why it ended, nil while it is good; guarded by bench.mu
	gone  chan struct{} // closed when it ends

	cut    bool          // CutAfter is armed, and
	left   int           // so many bytes still pass
	cutFor time.Duration // before the line is unplugged for so long
}

// Dial connects the host and returns its end, a *Wire. There is one line: ErrInUse while another Wire is
// open, ErrUnplugged while it is unplugged. What was sent before is gone.
func (b *Bench) Dial() (io.ReadWriteCloser, error) {
	w, err := b.dial()
	if err != nil {
		return nil, err // and not a Wire that is nil inside
	}
	return w, nil
}

func (b *Bench) dial() (*Wire, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.faults.on(FaultUnplugged, b.now) {
		return nil, ErrUnplugged
	}
	if b.wire != nil {
		return nil, ErrInUse
	}
	b.line.out.clear()
	b.line.in = b.line.in[:0]
	b.wire = &Wire{bench: b, gone: make(chan struct{})}
	return b.wire, nil
}

// Read waits for the next piece: at most one frame, and a single byte of it
// while the line is chopped. It fails with ErrUnplugged, ErrClosed after
// Close, and io.EOF when the bench has stopped.
func (w *Wire) Read(p []byte) (int, error) {
	b := w.bench
	b.mu.Lock()
	defer b.mu.Unlock()
	for {
		if w.err != nil {
			return 0, w.err
		}
		if n := w.pass(p); n > 0 || len(p) == 0 {
			return n, nil
		}
		b.news.Wait()
	}
}

// pass takes the next piece, or what a cut lets through of it. The lock is held.
func (w *Wire) pass(p []byte) int {
	if !w.cut {
		return w.bench.line.out.read(p)
	}
	n := w.bench.line.out.read(p[:min(len(p), w.left)])
	if w.left -= n; w.left == 0 {
		w.cut = false
		w.bench.inject(FaultUnplugged, w.cutFor)
	}
	return n
}

// CutAfter unplugs the line for some time (0 for as long as is usual) once the
// Wire that is connected now has read exactly n more bytes, be it in the middle
// of a frame; with 0 at once. It reports whether there is such a Wire.
func (b *Bench) CutAfter(n int, length time.Duration) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.wire == nil {
		return false
	}
	if n <= 0 {
		b.inject(FaultUnplugged, length)
		return true
	}
	b.wire.cut, b.wire.left, b.wire.cutFor = true, n, length
	return true
}

// Write is the host speaking; it never waits. It fails like Read.
func (w *Wire) Write(p []byte) (int, error) {
	w.bench.mu.Lock()
	defer w.bench.mu.Unlock()
	if w.err != nil {
		return 0, w.err
	}
	w.bench.line.hear(p)
	return len(p), nil
}

// Close disconnects the host; a Read that waits returns. Closing twice is no
// error.
func (w *Wire) Close() error {
	w.bench.mu.Lock()
	defer w.bench.mu.Unlock()
	if w.err == nil {
		w.bench.hangUp(ErrClosed)
	}
	return nil
}

// Unplugged reports whether Dial fails now because of FaultUnplugged.
func (b *Bench) Unplugged() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.faults.on(FaultUnplugged, b.now)
}

// hangUp ends the host's connection for a reason. The lock is held.
func (b *Bench) hangUp(why error) {
	b.line.out.clear()
	if b.wire == nil {
		return
	}
	b.wire.err = why
	close(b.wire.gone)
	b.wire = nil
	b.news.Broadcast()
}

// stopped is what the host reads when nothing moves the bench any more.
func (b *Bench) stopped() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.hangUp(io.EOF)
}
