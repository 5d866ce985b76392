package measure

import (
	"time"

	"gramcup/scale"
)

const (
	// stillFor is how long a reading must stand within one division before it
	// is noted: longer than indicators take for theirs, this program's choice.
	stillFor = 1500 * time.Millisecond
	// gapMost is the longest silence within a stillness, and after it the scale
	// counts as not heard.
	gapMost = 3 * time.Second
	// slowAfter is how long it may move before somebody says so: filling a cup
	// to a mark with a dropper takes a while.
	slowAfter = 20 * time.Second
)

// still watches whether the weight stands.
type still struct {
	since, last time.Duration
	low, high   scale.Mass
	standing    bool
}

func (s *still) take(at time.Duration, m scale.Mass, motion scale.Motion, division scale.Mass) {
	low, high := min(s.low, m), max(s.high, m)
	moving := motion == scale.MotionMoving
	if !s.standing || moving || high-low > division || at-s.last > gapMost {
		*s = still{since: at, low: m, high: m, standing: !moving}
		low, high = m, m
	}
	s.low, s.high, s.last = low, high, at
}

// length is how long it has stood, 0 while it moves.
func (s *still) length() time.Duration {
	if !s.standing {
		return 0
	}
	return s.last - s.since
}

func (s *still) forget() { *s = still{} }
