package port

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"sync"
	"time"

	"gramcup/scale"
)

// ErrOver is the end of a recording that does not begin again.
var ErrOver = errors.New("the recording is over")

// loopPause parts the end of a recording from its beginning when it is played
// again and again, in recorded time.
const loopPause = 100 * time.Millisecond

// replayOpener plays one recording. Like a scale it does not wait: what falls
// into the time between a Close and the next open is not heard. So a silence
// in the recording that makes a Port reopen does not send it back to the
// beginning.
type replayOpener struct {
	address Address

	mu      sync.Mutex
	chunks  []scale.Chunk // read at the first opening
	next    int           // the chunk that comes next
	started time.Time     // when this round was first read from; zero before
}

// open reads the file the first time. At the end of a recording that is not
// played in a loop every opening fails, until the program is started again.
func (o *replayOpener) open(context.Context) (io.ReadWriteCloser, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.chunks == nil {
		chunks, err := loadRecording(o.address.Path)
		if err != nil {
			return nil, err
		}
		o.chunks = chunks
	}
	if !o.started.IsZero() && o.address.Speed > 0 {
		now := time.Now()
		for o.next < len(o.chunks) && o.due(o.next).Before(now) {
			o.next++
		}
	}
	if o.next >= len(o.chunks) && !o.address.Loop {
		return nil, fmt.Errorf("%w: %s", ErrOver, o.address.Path)
	}
	return &replayWire{o: o, closed: make(chan struct{})}, nil
}

// loadRecording reads a whole recording; hours of a scale are a few megabytes.
func loadRecording(path string) ([]scale.Chunk, error) {
	f, err := os.Open(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("no such recording %s: check the path (%w)", path, fs.ErrNotExist)
	case err != nil:
		return nil, fmt.Errorf("the recording can not be opened: %w", err)
	}
	defer f.Close()
	capture, err := scale.ReadCapture(f)
	if err != nil {
		return nil, fmt.Errorf("%s is no recording that can be played: %w", path, err)
	}
	if len(capture.Chunks) == 0 {
		return nil, fmt.Errorf("%s holds nothing that came from a scale", path)
	}
	return capture.Chunks, nil
}

// due is when a chunk is to be handed out. The caller holds mu.
func (o *replayOpener) due(i int) time.Time {
	if o.address.Speed == 0 {
		return time.Time{}
	}
	return o.started.Add(time.Duration(float64(o.chunks[i].At) / o.address.Speed))
}

// peek is when the next chunk is due. It stays the next one until it is taken,
// so a wire that is closed while it waits loses nothing.
func (o *replayOpener) peek() (due time.Time, err error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.started.IsZero() {
		o.started = time.Now() // a trial opening does not set the clock going
	}
	if o.next == len(o.chunks) {
		if !o.address.Loop {
			return time.Time{}, ErrOver
		}
		if end := o.due(o.next - 1); !end.IsZero() {
			o.started = end.Add(time.Duration(float64(loopPause) / o.address.Speed))
		}
		// A round that was missed as a whole is not made up for.
		if now := time.Now(); o.started.Before(now) {
			o.started = now
		}
		o.next = 0
	}
	return o.due(o.next), nil
}

// take hands out the chunk that peek saw, or nothing when another opening of
// the same recording was quicker.
func (o *replayOpener) take() []byte {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.next == len(o.chunks) {
		return nil
	}
	o.next++
	return o.chunks[o.next-1].Data
}

// replayWire is one opening of a recording.
type replayWire struct {
	o     *replayOpener
	rest  []byte // of the chunk at hand; used by the one reader only
	close sync.Once

	closed chan struct{}
}

// ListenOnly is true: nobody is there to be asked.
func (w *replayWire) ListenOnly() bool { return true }

// Read waits until the next bytes are due.
func (w *replayWire) Read(p []byte) (int, error) {
	select {
	case <-w.closed:
		return 0, os.ErrClosed
	default:
	}
	if len(w.rest) == 0 {
		due, err := w.o.peek()
		if err != nil {
			return 0, err
		}
		if wait := time.Until(due); wait > 0 && !w.sleep(wait) {
			return 0, os.ErrClosed
		}
		w.rest = w.o.take()
	}
	n := copy(p, w.rest)
	w.rest = w.rest[n:]
	return n, nil
}

func (w *replayWire) sleep(d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return true
	case <-w.closed:
		return false
	}
}

// Write takes the bytes and forgets them.
func (w *replayWire) Write(p []byte) (int, error) {
	select {
	case <-w.closed:
		return 0, os.ErrClosed
	default:
		return len(p), nil
	}
}

// Close wakes Read.
func (w *replayWire) Close() error {
	w.close.Do(func() { close(w.closed) })
	return nil
}
