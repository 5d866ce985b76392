package port

import (
	"errors"
	"os"
	"time"

	"gramcup/scale"
)

// send hands a command to the writer. Only one is on its way at any time, so
// this never waits.
func (s *session) send(r scale.Request, now time.Duration) {
	frame, ok := s.p.cfg.Codec.Request(nil, r)
	if !ok {
		return
	}
	s.sent, s.sentAt, s.writing, s.writeAt = r, now, true, now
	s.asked.Store(uint32(r))
	s.out <- frame
}

// writer writes until out is closed. It may hang for as long as the wire lets
// it: nothing waits for it but the next command.
func (s *session) writer() {
	defer s.workers.Done()
	limited, _ := s.wire.(interface{ SetWriteDeadline(time.Time) error })
	for frame := range s.out {
		if limited != nil {
			// A wire that refuses a deadline is watched by the owner.
			_ = limited.SetWriteDeadline(time.Now().Add(writeLimit))
		}
		_, err := s.wire.Write(frame)
		s.wrote <- err
	}
}

// afterWrite books a finished write. One that nobody took is counted and the
// connection lives on, because a scale that does not listen may still talk.
func (s *session) afterWrite(err error) error {
	s.writing = false
	counted := s.stuck.Swap(false)
	if errors.Is(err, ErrStuck) || errors.Is(err, os.ErrDeadlineExceeded) {
		if !counted {
			s.p.count.abandoned.Add(1)
		}
		return nil
	}
	return err
}
