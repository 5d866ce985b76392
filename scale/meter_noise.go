package scale

import (
	"math"
	"slices"
	"time"
)

// noiseWatch measures the scatter of the display at rest.
//
// Readings follow each other faster than a scale averages, so neighbours look
// alike, and the usual difference of neighbours would find too little. It
// compares thirds of a stretch of two seconds instead, which lie further apart
// than an average is long: for any reading a, b, c of the first, second and last
// third, (a - 2b + c)²/6 has the variance of a single reading as its mean, and a
// steady drift, creep or evaporation, drops out of it. Summed over all such
// triples that needs only the mean and the variance of each third.
//
// A stretch in which the mean clearly went somewhere is a pour and not counted,
// and neither is one whose neighbours on both sides differ by more: a hand that
// adds drops moves little in two seconds, but it moves on.
// Each stretch counts in the mean of the last ones, but with no more than
// rounding alone can make of it (a flicker between two steps: a quarter of a
// division squared) or six times the usual one: a drop that fell in does not
// speak louder.
//
// The result is the scatter of what is displayed. A reading that never changes
// gives 0, though the load is known only to division/√12: who needs the
// uncertainty of a weight adds division²/12 to the square. A weight that lies
// between two steps flickers, and with true noise of s below a third of a
// division the square is on average s·division/√π, more than s².
type noiseWatch struct {
	open  bool
	base  Mass // the first reading, so that sums stay small
	from  time.Duration
	third time.Duration
	part  [3]partSum
	seen  [noiseKept]float64 // variances in square grams
	n     int                // ever seen
	chain noiseChain
}

// noiseChain is the stretch that waits for its right neighbour, and the mean of
// its left one, in grams.
type noiseChain struct {
	length    int // stretches without a gap, at most 2
	left, mid float64
	variance  float64
	waits     bool // the middle one is good in itself
}

type partSum struct{ n, sum, square float64 }

const (
	noiseKept = 31
	// noiseThird is longer than the averages of bench scales (0.4 to 0.64 s).
	noiseThird = 700 * time.Millisecond
	thirdLeast = 3   // readings
	wildD      = 10  // divisions: more is a knock or a pour, not noise
	driftD     = 1.5 // divisions: less may be creep
	driftNoise = 3.0 // or times the noise; an even pour makes 7
	capTimes   = 6
)

// note takes a reading and reports whether a stretch ended with it.
func (w *noiseWatch) note(at time.Duration, shown, division Mass, period time.Duration) (ended bool) {
	if w.open {
		if i := int((at - w.from) / w.third); i < 3 {
			w.add(i, shown)
			return false
		}
		ended = w.close(division.Grams())
	}
	*w = noiseWatch{open: true, base: shown, from: at, third: max(noiseThird, (thirdLeast+1)*period), seen: w.seen, n: w.n, chain: w.chain}
	w.add(0, shown)
	return ended
}

func (w *noiseWatch) add(i int, shown Mass) {
	g, p := (shown - w.base).Grams(), &w.part[i]
	p.n, p.sum, p.square = p.n+1, p.sum+g, p.square+g*g
}

// close judges the stretch that has just ended and books the one before it.
func (w *noiseWatch) close(divisionG float64) (booked bool) {
	var mean, variance [3]float64
	for i, p := range w.part {
		if p.n < thirdLeast {
			w.chain = noiseChain{}
			return false
		}
		mean[i] = p.sum / p.n
		variance[i] = max(p.square/p.n-mean[i]*mean[i], 0)
	}
	bend := mean[0] - 2*mean[1] + mean[2]
	v := (variance[0] + 4*variance[1] + variance[2] + bend*bend) / 6
	level := w.base.Grams() + (mean[0]+mean[1]+mean[2])/3
	c := &w.chain
	if c.length == 2 && c.waits && math.Abs(level-c.left) <= drift(divisionG, c.variance) {
		w.seen[w.n%noiseKept] = c.variance
		w.n++
		booked = true
	}
	good := v <= wildD*wildD*divisionG*divisionG && math.Abs(mean[2]-mean[0]) <= drift(divisionG, v)
	w.chain = noiseChain{length: min(c.length+1, 2), left: c.mid, mid: level, variance: v, waits: good}
	return booked
}

// drift is how far a mean may go, in grams, and still be at rest.
func drift(divisionG, variance float64) float64 {
	return max(driftD*divisionG, driftNoise*math.Sqrt(variance))
}

// result is the noise, and from how many stretches.
func (w *noiseWatch) result(division Mass) (Mass, int) {
	n := min(w.n, noiseKept)
	sorted := w.seen
	slices.Sort(sorted[:n])
	d := division.Grams()
	most := max(d*d/4, capTimes*sorted[n/2])
	sum := 0.0
	for _, v := range sorted[:n] {
		sum += min(v, most)
	}
	return MassFromGrams(math.Sqrt(sum / float64(n))), n
}
