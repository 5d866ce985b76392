package port

import (
	"sync/atomic"
	"time"
)

// Stats is what a Port has seen since New. All counts only rise.
type Stats struct {
	GoodFrames      uint64    // readings handed to the Sink
	BadFrames       uint64    // pieces refused
	Skipped         uint64    // first pieces after opening, not trusted to be whole
	Answers         uint64    // replies that are no weight
	Opens           uint64    // how often the wire was opened
	Found           uint64    // how often a scale was there; one less than that is how often it came back
	WritesAbandoned uint64    // writes that nobody took within a second
	CommandsDropped uint64    // commands that got too old, or whose scale was lost
	Unrecorded      uint64    // chunks that the recorder was too slow for, or failed to write
	Stranded        uint64    // connections that did not close within a second
	LastFrame       time.Time // of the last good frame, on the monotonic clock; zero before the first
	Connected       bool      // a scale is talking now
	Polling         bool      // the scale is asked for each weight, because it does not stream
	Absent          bool      // there is no scale because its port is not there
	Problem         string    // why there is no scale, a sentence; "" when there is one
}

// counters are the parts of Stats that several goroutines write.
type counters struct {
	good, bad, skipped, answers, opens, found atomic.Uint64
	abandoned, dropped, unrecorded, stranded  atomic.Uint64
	lastFrame                                 atomic.Int64 // ns on the Port's clock; 0 before the first
}

// Stats may be called at any time from any goroutine. The numbers are each
// right but not taken at one instant.
func (p *Port) Stats() Stats {
	c := &p.count
	st := Stats{
		GoodFrames: c.good.Load(), BadFrames: c.bad.Load(), Skipped: c.skipped.Load(),
		Answers: c.answers.Load(), Opens: c.opens.Load(), Found: c.found.Load(),
		WritesAbandoned: c.abandoned.Load(), CommandsDropped: c.dropped.Load(),
		Unrecorded: c.unrecorded.Load(), Stranded: c.stranded.Load(),
	}
	if ns := c.lastFrame.Load(); ns != 0 {
		st.LastFrame = p.started.Add(time.Duration(ns))
	}
	if s := p.current.Load(); s != nil {
		st.Connected = s.found.Load()
		st.Polling = s.polling.Load()
	}
	if why := p.problem.Load(); why != nil && !st.Connected {
		st.Problem, st.Absent = *why, p.absent.Load()
	}
	return st
}
