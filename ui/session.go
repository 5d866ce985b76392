package ui

import (
	"container/list"
	"crypto/rand"
	"net/http"
	"strconv"
	"sync"
	"time"
)

// Limits of sessions and of the commands in one. A hand taps a few times a
// second; a page that resends after a reconnect may have a burst.
const (
	maxSessions   = 256
	commandsPerS  = 20
	commandsBurst = 40
)

// sessions tells pages that were opened here from everything else that can
// send a request. They live in memory: after a restart a page gets a new one
// with its next GET of "/".
type sessions struct {
	mu      sync.Mutex
	byToken map[string]*list.Element
	used    *list.List // of *session, the latest in front
}

type session struct {
	token  string
	left   float64 // commands it may send at once
	filled time.Time
}

func newSessions() *sessions {
	return &sessions{byToken: map[string]*list.Element{}, used: list.New()}
}

// open makes a session. The one that was not used for longest makes room.
func (s *sessions) open(now time.Time) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.used.Len() >= maxSessions {
		oldest := s.used.Back()
		delete(s.byToken, oldest.Value.(*session).token)
		s.used.Remove(oldest)
	}
	one := &session{token: rand.Text(), left: commandsBurst, filled: now}
	s.byToken[one.token] = s.used.PushFront(one)
	return one.token
}

// known reports whether there is such a session, and marks it as used.
func (s *sessions) known(token string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	e, ok := s.byToken[token]
	if ok {
		s.used.MoveToFront(e)
	}
	return ok
}

// spend takes one command from what the session may send, and reports whether
// there was one left.
func (s *sessions) spend(token string, now time.Time) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	e, ok := s.byToken[token]
	if !ok {
		return false
	}
	one := e.Value.(*session)
	one.left = min(commandsBurst, one.left+now.Sub(one.filled).Seconds()*commandsPerS)
	one.filled = now
	if one.left < 1 {
		return false
	}
	one.left--
	return true
}

// cookieName carries the port, because a browser does not tell the cookies of
// two ports of one host apart.
func cookieName(r *http.Request) string {
	_, port, _ := splitHost(r.Host)
	return "gramcup_session_" + port
}

// token is the session that the request names, "" if none that is known.
func (s *sessions) token(r *http.Request) string {
	c, err := r.Cookie(cookieName(r))
	if err != nil || !s.known(c.Value) {
		return ""
	}
	return c.Value
}

// welcome gives a page that is being opened a session, unless it has one. A
// request that another site's page makes behind the user's back gets none, or
// it could drive out those that are in use.
func (s *sessions) welcome(w http.ResponseWriter, r *http.Request) {
	site, dest := r.Header.Get("Sec-Fetch-Site"), r.Header.Get("Sec-Fetch-Dest")
	if (site == "cross-site" || site == "same-site") && dest != "document" || s.token(r) != "" {
		return
	}
	http.SetCookie(w, &http.Cookie{
		Name: cookieName(r), Value: s.open(time.Now()), Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode,
	})
}

func retryAfter(w http.ResponseWriter, d time.Duration) {
	w.Header().Set("Retry-After", strconv.Itoa(int(max(d.Seconds(), 1))))
}
