package port

import (
	"bytes"
	"strings"
	"time"

	"gramcup/scale"
)

// What a scale says about itself is asked right after it was reset, before the
// stream is: any command ends a stream, so later it would cost weights. A scale
// that is met for the first time is given time for all of its lines. One that
// is known already is asked again only where its port does not tell it from
// others, and then only for a moment: a pour waits for it.
const (
	aboutFirst = 1500 * time.Millisecond
	aboutAgain = 300 * time.Millisecond
	mostAbout  = 16 // lines; the standard has eleven kinds
)

// interview is what is asked and what was said. It is guarded by sinkMu.
type interview struct {
	over  bool
	next  scale.Request // to be sent; RequestUnknown while an answer is awaited
	sent  scale.Request // the last one; RequestUnknown before the first
	until time.Duration
	lines []string
}

// interviewing drives the interview and reports whether it still goes on, and
// then when to look again.
func (s *session) interviewing(now time.Duration) (at time.Duration, on bool) {
	s.p.sinkMu.Lock()
	defer s.p.sinkMu.Unlock()
	v := &s.read.talk
	if v.over {
		return 0, false
	}
	if v.sent == scale.RequestUnknown && !s.beginInterview(now) {
		v.over = true
		return 0, false
	}
	if now >= v.until || len(v.lines) >= mostAbout || v.sent != scale.RequestUnknown && v.next == interviewDone {
		v.over = true
		s.sent = scale.RequestUnknown // nothing more is to be waited for
		s.heardAbout(v.lines)
		return 0, false
	}
	if v.next != scale.RequestUnknown {
		v.sent, v.next = v.next, scale.RequestUnknown
		s.send(v.sent, now)
	}
	return v.until, true
}

// interviewDone stands for "no further question".
const interviewDone = scale.RequestReset

// beginInterview decides whether there is anything to ask, and what comes
// first.
func (s *session) beginInterview(now time.Duration) bool {
	v, k := &s.read.talk, &s.p.known
	_, able := s.p.cfg.Codec.Request(nil, scale.RequestAbout)
	switch {
	case !able || s.mode != modeStream || s.p.cfg.Remember == nil || s.found.Load():
		return false
	case k.IsZero():
		v.until = now + aboutFirst
	case len(k.About) > 0 && s.usb == "" && !strings.Contains(s.name, "/by-id/"):
		v.until = now + aboutAgain
	default:
		return false
	}
	v.next = scale.RequestAbout
	return true
}

// said takes an answer, and reports whether the interview had asked for it.
// The caller holds sinkMu.
func (s *session) said(r scale.Reading) bool {
	v := &s.read.talk
	if v.over || v.sent == scale.RequestUnknown || v.next != scale.RequestUnknown {
		return false
	}
	line := string(bytes.Trim(s.read.framer.Piece(), "\r\n"))
	name, _, _ := strings.Cut(line, ":")
	about := v.sent == scale.RequestAbout || v.sent == scale.RequestAboutNext
	if r.Status == scale.StatusInfo {
		v.lines = append(v.lines, line)
	}
	switch ends := r.Status != scale.StatusInfo || strings.TrimSpace(name) == "END"; {
	case strings.TrimSpace(name) == "SN" && aboutLines(s.p.known.About, "SN") != "":
		v.next = interviewDone // its number says it all
	case ends && about:
		v.next = scale.RequestInfo
	case ends:
		v.next = interviewDone
	case about:
		v.next = scale.RequestAboutNext
	default:
		v.next = scale.RequestInfoNext
	}
	s.nudge()
	return true
}
