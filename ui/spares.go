package ui

import (
	"net"
	"net/http"
	"sync"
)

// spares are the connections on which nothing was asked yet: a browser opens some
// beforehand. Shutdown waits for those of the last seconds, longer than there is
// patience for, though nothing is under way on them.
type spares struct {
	mu     sync.Mutex
	closed bool
	conns  map[net.Conn]struct{}
}

// note follows a connection; it is the server's ConnState.
func (s *spares) note(conn net.Conn, state http.ConnState) {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case state != http.StateNew:
		delete(s.conns, conn)
	case s.closed:
		_ = conn.Close() // it came while the daemon stops
	default:
		if s.conns == nil {
			s.conns = map[net.Conn]struct{}{}
		}
		s.conns[conn] = struct{}{}
	}
}

// close ends them, and those that still come.
func (s *spares) close() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.closed = true
	for conn := range s.conns {
		_ = conn.Close() // nothing was asked on it
	}
}
