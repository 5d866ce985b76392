package port

import (
	"io"
	"log/slog"
	"time"

	"gramcup/scale"
)

// recordQueue bounds what waits for a slow disk: at ten chunks a second a
// stall of half a minute.
const recordQueue = 256

// recorder writes what came into a capture, behind the reader's back: a disk
// that stalls must not delay a weight.
type recorder struct {
	w      io.Writer
	header []string
	count  *counters
	log    *slog.Logger
	queue  chan recorded

	out   *scale.CaptureWriter // nil until the header is written
	began time.Time            // when the first chunk came
	told  bool                 // that the capture has a hole
}

type recorded struct {
	at   time.Time
	data []byte
}

func newRecorder(w io.Writer, count *counters, log *slog.Logger, header ...string) *recorder {
	return &recorder{w: w, header: header, count: count, log: log, queue: make(chan recorded, recordQueue)}
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
		for {
			select {
			case c := <-r.queue:
				r.write(c)
			case <-quit:
				for len(r.queue) > 0 { // nothing is put in any more
					r.write(<-r.queue)
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

func (r *recorder) write(c recorded) {
	var err error
	if r.out == nil {
		r.began = c.at
		r.out, err = scale.NewCaptureWriter(r.w, r.header...)
	}
	if err == nil {
		err = r.out.Chunk(c.at.Sub(r.began), c.data)
	}
	if err != nil {
		r.count.unrecorded.Add(1)
		if !r.told { // once: on a full disk every chunk fails
			r.told = true
			r.log.Warn("the recording has a hole from here on", "error", err)
		}
	}
}
