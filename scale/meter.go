package scale

import (
	"slices"
	"time"
)

// Meter measures how a scale behaves from the readings that come anyway. Its
// zero value is ready; it has a fixed size and knows no clock. A value of it
// can be copied and compared.
//
// What it can not see: the time that a frame takes on the wire and in an
// adaptor, because every reading is late by the same amount; and how fast the
// hand was that put a load on. See stepWatch for what follows from that.
type Meter struct {
	manner Manner
	at     time.Duration // of the last reading
	begun  bool
	gaps   recent
	noise  noiseWatch
	step   stepWatch
}

// Note takes one reading: when it came, what was shown, whether it stands
// still (by the scale's own mark, or as whoever calls works it out), and the
// step of the display. Readings that are no weight are a Break.
func (m *Meter) Note(at time.Duration, shown Mass, still bool, division Mass) {
	gap := at - m.at
	switch {
	case m.begun && gap <= 0:
		return // a moment twice, or back in time: nothing to learn
	case m.begun && gap >= longGap:
		m.Break()
	case m.begun:
		m.gaps.add(int64(gap))
		m.manner.Period = time.Duration(m.gaps.rank(1, 2))
	}
	m.at, m.begun = at, true
	if m.noise.note(at, shown, division, m.manner.Period) {
		m.manner.Noise, m.manner.Stills = m.noise.result(division)
	}
	if m.step.note(at, shown, still, division, &m.manner) {
		m.step.result(&m.manner)
	}
}

// Break says that the readings before and after do not belong together: the
// scale was tared, zeroed, silent, or showed no weight. What was measured
// stays.
func (m *Meter) Break() {
	m.begun = false
	m.Disturbed()
	m.step.active, m.step.rested = false, false
}

// Disturbed says that hands are at work at what stands on the scale: the last
// readings tell nothing of its noise. It comes before each Note as long as it
// lasts.
func (m *Meter) Disturbed() { m.noise.open, m.noise.chain = false, noiseChain{} }

// Manner is what is known by now.
func (m *Meter) Manner() Manner { return m.manner }

// Rested is how many stretches of rest were ever seen, whatever the scale said of
// itself meanwhile. It only rises.
func (m *Meter) Rested() int { return m.noise.n }

// longGap is a silence after which nothing is compared with what came before:
// slow scales send once a second.
const longGap = 2500 * time.Millisecond

// recent holds the last few values of something, oldest overwritten first.
type recent struct {
	values [recentKept]int64
	n      int // ever added
}

const recentKept = 7

func (r *recent) add(v int64) {
	r.values[r.n%recentKept] = v
	r.n++
}

func (r *recent) len() int { return min(r.n, recentKept) }

// rank is the value at the part num/den of the way from the smallest to the
// largest, rounded down: 1/2 is the median. 0 if there is none.
func (r *recent) rank(num, den int) int64 {
	n := r.len()
	if n == 0 {
		return 0
	}
	sorted := r.values // a copy
	slices.Sort(sorted[:n])
	return sorted[(n-1)*num/den]
}
