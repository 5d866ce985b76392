package simulator

import "math"

// average is the moving average of the last conversions.
type average struct {
	values []float64
	next   int
	filled int
	jumps  int // conversions in a row far from the average
}

func (a *average) size(n int) { a.values = make([]float64, max(1, n)) }

// push takes a conversion. Two in a row farther than cutOutG from the average
// restart it, so that a big step shows at once; 0 switches that off.
func (a *average) push(g, cutOutG float64) {
	if cutOutG > 0 && a.filled > 0 && math.Abs(g-a.value()) > cutOutG {
		a.jumps++
	} else {
		a.jumps = 0
	}
	if a.jumps >= cutOutInARow {
		a.empty()
	}
	a.values[a.next] = g
	a.next = (a.next + 1) % len(a.values)
	a.filled = min(a.filled+1, len(a.values))
}

// value is the mean of what is there, summed anew each time so that rounding
// does not build up over a long day.
func (a *average) value() float64 {
	if a.filled == 0 {
		return 0
	}
	sum := 0.0
	for _, g := range a.values[:a.filled] {
		sum += g
	}
	return sum / float64(a.filled)
}

func (a *average) fill(g float64) {
	for i := range a.values {
		a.values[i] = g
	}
	a.next, a.filled, a.jumps = 0, len(a.values), 0
}

func (a *average) empty() { a.next, a.filled, a.jumps = 0, 0, 0 }
