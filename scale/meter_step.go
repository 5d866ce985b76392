package scale

import "time"

// stepWatch learns from changes of load that are quick and big: a cup put on or
// lifted off, between one rest and the next.
//
// Settle is the time from the first reading that differs to the first one that
// stands still.
//
// Lag comes from the same readings. For any scale that only averages, the area
// between the final weight and the reading, divided by the height of the step,
// is the mean delay of the average (N/2f for N conversions at rate f), and a
// steady pour is shown just that much late. The moment of the step is not
// known: it lies anywhere in the interval before the first reading that
// differs. Summing from that reading on, each held until the next, gives the
// delay of the average without bias, to an interval/√12 for one step; the
// display, which holds a reading until the next comes, is on average half an
// interval older, and that is added. What can not be seen is time that passes
// before anything changes: frames on the wire, and half an interval of the
// converter, which is 50 ms at ten conversions a second and nothing at eighty.
//
// A hand takes a tenth to half a second to put a cup on and less to lift it,
// and half of that time is counted in: always too much, never too little. So
// Lag is not the median of the last steps but the one a third of the way from
// the smallest. Changes slower than a hand with a cup, or that overshoot, a hand
// that presses on the cup, are no steps.
//
// A scale whose average is suspended on big changes follows at once and gives
// itself away by a delay below one interval. It is the same picture as that of a
// scale without an average. Then Lag stays 0 and Jumps says why.
type stepWatch struct {
	rested bool
	level  Mass // of the last rest
	active bool
	moved  bool // the scale called it motion, or it was seen to take its time
	from   time.Duration
	at     time.Duration // of the last reading
	shown  Mass
	n      int
	area   float64 // grams times seconds, of the readings less the level before
	least  Mass    // extremes after the first sign
	most   Mass

	settles, lags recent
}

const (
	stepD       = 40               // divisions that a step must have, so that rounding is nothing
	stepLeast   = 10 * Gram        // lighter is a tip of the jug
	stepLongest = 10 * time.Second // until it stands still
	lagMost     = time.Second      // mean delay beyond which it was no step
	// stepGS is the height by the delay, in grams a second. A wide pour of 25 g
	// a second from rest to rest makes 50.
	stepGS = 60.0
	// overshoot is the part of the step by which it may go beyond its end.
	overshoot = 0.1
	signNoise = 4 // times the noise: less is no sign of a new load
	// zeroPart of the step away from zero is still the tare key, pressed while
	// the load was swinging.
	zeroPart = 50
	// missedGaps is the gap, in usual ones, at which frames were lost.
	missedGaps = 3
)

// note takes a reading and reports whether a good step ended with it.
func (s *stepWatch) note(at time.Duration, shown Mass, still bool, division Mass, m *Manner) bool {
	if !s.active {
		if s.rested && (shown-s.level).Abs() > max(division, signNoise*m.Noise) {
			s.active, s.moved, s.from, s.n, s.area = true, !still, at, 1, 0
			s.at, s.shown = at, shown
			return false
		}
		if still {
			s.rested, s.level = true, shown
		}
		return false
	}
	gap := at - s.at
	s.area += (s.shown - s.level).Grams() * gap.Seconds()
	if s.n == 1 { // the very first may still ring: a pan is a spring
		s.least, s.most = shown, shown
	}
	s.at, s.shown, s.n = at, shown, s.n+1
	s.least, s.most = min(s.least, shown), max(s.most, shown)
	s.moved = s.moved || !still
	lost := m.Period > 0 && gap > missedGaps*m.Period
	if lost || at-s.from > stepLongest {
		s.active, s.rested = false, false
		return false
	}
	if !still {
		return false
	}
	good := s.moved && s.judge(shown, division, m.Period)
	s.active, s.level = false, shown
	return good
}

// judge books the step that ended at a rest, if it was one.
func (s *stepWatch) judge(end, division Mass, period time.Duration) bool {
	height := end - s.level
	if height.Abs() < max(stepD*division, stepLeast) {
		return false
	}
	beyond := s.most - end
	if height < 0 {
		beyond = end - s.least
	}
	h := height.Grams()
	took := s.at - s.from
	delayS := took.Seconds() - s.area/h
	if beyond.Grams() > overshoot*height.Abs().Grams() || delayS > lagMost.Seconds() || height.Abs().Grams() < stepGS*delayS {
		return false
	}
	delay := max(time.Duration(delayS*float64(time.Second)), 0)
	if delay < period && end.Abs() <= max(division, height.Abs()/zeroPart) {
		return false // to zero at once: the tare key does that too
	}
	s.settles.add(int64(took))
	s.lags.add(int64(delay + period/2))
	return true
}

// result writes what the steps say.
func (s *stepWatch) result(m *Manner) {
	m.Steps = s.settles.len()
	m.Settle = time.Duration(s.settles.rank(1, 2))
	m.Lag = time.Duration(s.lags.rank(1, 3))
	m.Jumps = m.Lag-m.Period/2 < m.Period
	if m.Jumps {
		m.Lag = 0
	}
}
