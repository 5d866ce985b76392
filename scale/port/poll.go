package port

import (
	"time"

	"gramcup/scale"
)

// Which scale is asked. A shape with a command for the stream is asked for it
// once. One that only knows the command for a weight is listened to first:
// scales of such shapes can often be set to send by themselves, and one that
// does is not disturbed. One that does not is asked again and again. A shape
// without either, and every scale where Config.Stream is not set, is listened to
// and nothing else.
const (
	// streamGap is the longest pause in what streams by itself: two frames a
	// second, and some room for a line that delivers unevenly. After it the
	// scale is asked.
	streamGap = 600 * time.Millisecond
	// surplusSpan and surplus: so many frames more than were asked for, in a
	// second, make it worth while to stop asking and to see whether they go on.
	// That costs a pause of streamGap when they do not, so it is not done again
	// at once.
	surplusSpan  = time.Second
	surplus      = 2
	surplusAgain = 20 * time.Second
)

// poll is what the owner knows about a scale that may have to be asked.
type poll struct {
	by     bool          // it sends by itself: nothing is asked
	quiet  time.Duration // frames or not, it is not asked for streamGap from here
	spanAt time.Duration // when counting began
	frames uint64        // good ones, then
	asked  uint64        // since then
	again  time.Duration // not to be tried before
}

// startPolling begins with listening, for as long as is waited after a reset.
func (s *session) startPolling() {
	now := s.p.since()
	s.mode, s.resume = modePoll, false
	s.poll = poll{by: true, quiet: now + s.p.cfg.ResetWait - streamGap}
}

// choosePoll says whether the weight is asked for now, or when to look again.
func (s *session) choosePoll(now time.Duration) (scale.Request, time.Duration) {
	p := &s.poll
	if p.by {
		if at := max(p.quiet, time.Duration(s.frameAt.Load())) + streamGap; now < at {
			return scale.RequestUnknown, at
		}
		p.by = false
		p.count(now, s.frames.Load())
		s.polling.Store(true)
	}
	if at := s.sentAt + s.p.cfg.PollEvery; s.sent != scale.RequestUnknown && now < at {
		return scale.RequestUnknown, at
	}
	if now-p.spanAt >= surplusSpan {
		itself := s.frames.Load()-p.frames >= p.asked+surplus
		p.count(now, s.frames.Load())
		if itself && now >= p.again {
			p.by, p.quiet, p.again = true, now, now+surplusAgain
			s.polling.Store(false)
			return scale.RequestUnknown, now + streamGap
		}
	}
	return scale.RequestWeight, 0
}

// count begins to count frames and questions anew.
func (p *poll) count(now time.Duration, frames uint64) {
	p.spanAt, p.frames, p.asked = now, frames, 0
}
