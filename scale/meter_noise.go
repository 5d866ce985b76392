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
// A stretch in which the mean clearly went somewhere is a pour and not counted.
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
}

type partSum struct{ n, sum, square float64 }

const (
	noiseKept = 31
	// noiseThird is longer than the averages of bench scales (0.4 to 0.64 s).
	noiseThird = 700 * time.Millisecond
	thirdLeast = 3   // readings
	wildD      = 10  // divisions: more is a knock or a pour, not noise
	driftD     = 2.0 // divisions from the first third to the last: less may be creep
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
	*w = noiseWatch{open: true, base: shown, from: at, third: max(noiseThird, (thirdLeast+1)*period), seen: w.seen, n: w.n}
	w.add(0, shown)
	return ended
}

func (w *noiseWatch) add(i int, shown Mass) {
	g, p := (shown - w.base).Grams(), &w.part[i]
	p.n, p.sum, p.square = p.n+1, p.sum+g, p.square+g*g
}

// close judges the stretch that has just ended.
func (w *noiseWatch) close(divisionG float64) bool {
	var mean, variance [3]float64
	for i, p := range w.part {
		if p.n < thirdLeast {
			return false
		}
		mean[i] = p.sum / p.n
		variance[i] = max(p.square/p.n-mean[i]*mean[i], 0)
	}
	bend := mean[0] - 2*mean[1] + mean[2]
	v := (variance[0] + 4*variance[1] + variance[2] + bend*bend) / 6
	went := math.Abs(mean[2] - mean[0])
	if v > wildD*wildD*divisionG*divisionG || went > max(driftD*divisionG, driftNoise*math.Sqrt(v)) {
		return false
	}
	w.seen[w.n%noiseKept] = v
	w.n++
	return true
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
