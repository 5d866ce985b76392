package scale

import "time"

// Mark finds out whether the mark of motion in the lines of a scale is worth
// anything. A scale whose noise is wider than its own band of motion calls itself
// moving for ever, and whoever waits for it waits for ever. The zero value
// believes the mark.
type Mark struct {
	// Doubted tells that stillness has to be judged without the mark.
	Doubted bool

	moving bool // the scale has not been still for long since rested was set
	rested int  // stretches of rest when it began to move
	still  bool
	since  time.Duration // of being called still
}

const (
	// restsDoubted is how many stretches of rest, of two seconds each and with
	// neighbours that agree, speak against a scale that calls itself moving all the
	// while: some ten seconds. A pour has none, unless it is so slow that indicators
	// call it still, see noiseWatch.
	restsDoubted = 5
	// stillTrusted is how long it must call itself still to be believed again: the
	// second that indicators watch for themselves. A noisy one has a lucky moment.
	stillTrusted = time.Second
)

// Note takes the mark of one reading, and how many stretches of rest a Meter has
// seen up to then.
func (m *Mark) Note(at time.Duration, motion Motion, rested int) {
	switch motion {
	case MotionMoving:
		m.still = false
		if !m.moving {
			m.moving, m.rested = true, rested
		}
		m.Doubted = m.Doubted || rested-m.rested >= restsDoubted
	case MotionStill:
		if !m.still {
			m.still, m.since = true, at
		}
		if at-m.since >= stillTrusted {
			m.moving, m.Doubted = false, false
		}
	case MotionUnknown:
		*m = Mark{}
	}
}
