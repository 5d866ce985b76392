package mix

import "time"

// Stamp is a moment as data. Moments of one run of the daemon are told apart
// by Mono, the time since it started; across runs only the wall clock is left,
// and a small board without a battery may have it wrong, so order always comes
// from the sequence of events and never from here.
type Stamp struct {
	Boot   string        `json:"boot"`    // names one run of the daemon
	Mono   time.Duration `json:"mono_ns"` // since that run started
	WallMS int64         `json:"wall_ms"` // Unix time in milliseconds
}

// Since is the time from an earlier stamp to this one, never negative.
func (s Stamp) Since(earlier Stamp) time.Duration {
	d := time.Duration(s.WallMS-earlier.WallMS) * time.Millisecond
	if s.Boot == earlier.Boot {
		d = s.Mono - earlier.Mono
	}
	return max(d, 0)
}

// Add is the stamp d later in the same run.
func (s Stamp) Add(d time.Duration) Stamp {
	s.Mono += d
	s.WallMS += d.Milliseconds()
	return s
}

// IsZero reports whether the stamp was never set.
func (s Stamp) IsZero() bool { return s == Stamp{} }
