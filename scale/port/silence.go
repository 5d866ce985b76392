package port

import (
	"errors"
	"fmt"
	"time"

	"gramcup/scale"
)

// errSilent ends a session in which nothing that can be read came for too
// long.
var errSilent = errors.New("nothing readable comes from the scale")

const (
	// pollPatience is how long a scale that was asked may take. Some answer only
	// when the weight stands still and is not zero; waits of up to seven seconds
	// are documented. Until then silence is no loss, and the wire stays open.
	pollPatience = 10 * time.Second
	// sleepAfter is how long a load must have stood still for a silence to be
	// the scale's own doing. Battery scales switch off after one to five
	// minutes (common practice, no source).
	sleepAfter = time.Minute
	// restSteps is the wander of a load that stands still, in display steps.
	restSteps = 3
)

// rest is since when the weight has stood still.
type rest struct {
	from  time.Duration
	known bool
	mass  scale.Mass
}

func (r *rest) note(now time.Duration, reading scale.Reading) {
	m, ok := reading.Weight()
	if !ok {
		r.known = false
		return
	}
	away := m - r.mass
	if !r.known || max(away, -away) > restSteps*reading.Step() {
		*r = rest{from: now, known: true, mass: m}
	}
}

// patience is how long nothing readable may come before the wire is opened
// anew; 0 or less for ever.
func (s *session) patience() time.Duration {
	limit := s.p.cfg.SilenceReopen
	if limit > 0 && s.polling.Load() && s.found.Load() {
		limit = max(limit, pollPatience)
	}
	return limit
}

// silence is the reason of a loss by silence: bytes that make no sense are
// another trouble than none at all, and a scale that went to sleep another than
// a cable that was pulled.
func (s *session) silence(limit time.Duration) error {
	if s.p.asleep == nil {
		s.p.asleep = s.fellAsleep()
	}
	switch {
	case s.rubbish.Load():
		return fmt.Errorf("%w: %s", errSilent, s.cause())
	case s.read.bad.Load() > 0 && !s.found.Load():
		return fmt.Errorf("%w: bytes come, but no whole line for %v: do speed, format and line shape fit?", errSilent, limit)
	case s.p.asleep != nil:
		return s.p.asleep
	case s.polling.Load() && s.found.Load():
		return fmt.Errorf("%w for %v although it is asked: it is switched off, its cable is out, or it waits for a weight that stands still and is not zero", errSilent, limit)
	}
	return fmt.Errorf("%w for %v: is it switched on, is its output on, is the cable in?", errSilent, limit)
}

// fellAsleep is the reason of a scale that was still until it fell silent, nil
// for any other. A port that is unplugged ends with an error of its own.
func (s *session) fellAsleep() error {
	if !s.found.Load() {
		return nil
	}
	s.p.sinkMu.Lock()
	defer s.p.sinkMu.Unlock()
	r := s.read.rest
	still := time.Duration(s.p.count.lastFrame.Load()) - r.from
	if !r.known || still < sleepAfter {
		return nil
	}
	return fmt.Errorf("%w: it fell silent after %d min of standing still, so the scale may have switched itself off: press its key", errSilent, int(still.Minutes()))
}
