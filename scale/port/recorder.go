package port

import (
	"io"
	"time"
)

// recordQueue bounds what waits for a slow disk: at ten chunks a second a
// stall of half a minute.
const recordQueue = 256

// recorder writes what came into a capture, behind the reader's back: a disk
// that stalls must not delay a weight.
type recorder struct {
	w     io.Writer
	count *counters
	queue chan recorded
}

type recorded struct {
	at   time.Time
	data []byte
}

func newRecorder(w io.Writer, count *counters) *recorder {
	return &recorder{w: w, count: count, queue: make(chan recorded, recordQueue)}
}

// chunk copies the bytes into the queue. When that is full they are dropped
// and counted.
func (r *recorder) chunk(at time.Time, data []byte) {
	select {
	case r.queue <- recorded{at: at, data: append([]byte(nil), data...)}:
	default:
		r.count.unrecorded.Add(1)
	}
}

// start begins to write. stop writes what waits and returns when it is done,
// or after a second.
func (r *recorder) start() (stop func()) {
	quit, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		out := newRecording(r.w)
		for {
			select {
			case c := <-r.queue:
				r.write(out, c)
			case <-quit:
				for len(r.queue) > 0 { // nothing is put in any more
					r.write(out, <-r.queue)
				}
				return
			}
		}
	}()
	return func() {
		close(quit)
		_ = within(closeLimit, func() error { <-done; return nil })
	}
}

func (r *recorder) write(out *recording, c recorded) {
	if err := out.chunk(c.at, c.data); err != nil {
		r.count.unrecorded.Add(1)
	}
}
