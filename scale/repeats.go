package scale

import "math"

// Repeats is what a check with a test weight has measured of the scatter of a
// scale: the same weight put on again and again. The zero value is no such check.
type Repeats struct {
	Scatter Mass  `json:"scatter_ug"` // standard deviation of the readings, see RepeatsOf
	N       int   `json:"n"`          // how many they were
	AtMS    int64 `json:"at_unix_ms"` // when the check was finished
}

// RepeatsOf is the experimental standard deviation of readings of one weight
// (JCGM 100, 4.2.2). It is the repeatability of OIML R 76-1, T.4.3: the scatter of
// one load put on several times in a practically identical way.
func RepeatsOf(readings []Mass, atMS int64) Repeats {
	n := len(readings)
	if n < 2 {
		return Repeats{}
	}
	// Differences from the first: sums of their squares do not lose the small ones.
	var sum, squares float64
	for _, r := range readings {
		d := (r - readings[0]).Grams()
		sum, squares = sum+d, squares+d*d
	}
	variance := max(squares-sum*sum/float64(n), 0) / float64(n-1)
	return Repeats{Scatter: MassFromGrams(math.Sqrt(variance)), N: n, AtMS: atMS}
}

// coverage95 is the factor for 95.45 % by degrees of freedom, from 1 on (JCGM 100,
// table G.2); for many it is 2.
var coverage95 = [...]float64{13.97, 4.53, 3.31, 2.87, 2.65, 2.52, 2.43, 2.37, 2.32, 2.28}

// Standard is the scatter as a standard uncertainty that may be multiplied by 2
// for 95 %, as all others are. Of three readings it can be told badly, and by luck
// they lie close together: what their degrees of freedom ask for instead of 2 is put
// in here (JCGM 100, G.3.2). Readings within one division are not widened. There the
// rounding is the likelier cause, which each reading carries as d²/12 in any case.
func (r Repeats) Standard(division Mass) Mass {
	if r.N < 2 || r.Scatter <= oneStep(division, r.N) {
		return r.Scatter
	}
	factor := coverage95[min(r.N-1, len(coverage95))-1] / 2
	return MassFromGrams(r.Scatter.Grams() * factor)
}

// oneStep is the largest scatter that n readings within one division can have: half
// of them on either side.
func oneStep(division Mass, n int) Mass {
	low := n / 2
	return MassFromGrams(division.Grams() * math.Sqrt(float64(low*(n-low))/float64(n*(n-1))))
}
