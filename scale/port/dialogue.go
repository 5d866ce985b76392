package port

import (
	"time"

	"gramcup/scale"
)

// dialogue reports whether a piece is a step of a scale's dialogue, and hands
// what has to follow it to the owner. Only the newest step can be waiting: a
// scale that asks again has given up what it asked before.
func (s *session) dialogue(piece []byte) bool {
	if s.replier == nil {
		return false
	}
	reply := s.replier.Reply(piece)
	if reply == nil {
		return false
	}
	s.read.row = 0
	s.alive.Store(int64(s.read.now))
	select {
	case <-s.replies:
	default:
	}
	s.replies <- reply // only the reader puts any in
	return true
}

// sendReply writes the next step of the dialogue, if the scale was asked for
// its weight and has not sent it, so that noise on the line makes the port say
// nothing. A step that comes while the question is still being written waits
// for that. Whether it arrives is not looked at: where no weight follows within
// the limit of a reply, the question is asked again.
func (s *session) sendReply(now time.Duration) {
	reply := s.reply
	s.reply = nil
	open := s.sent == scale.RequestWeight && now < s.sentAt+replyLimit && time.Duration(s.replied.Load()) < s.sentAt
	if reply == nil || !open {
		return
	}
	s.writing, s.writeAt = true, now
	s.out <- reply
}
