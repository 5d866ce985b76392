package find

import (
	"time"

	"gramcup/scale"
)

// against counts what speaks against a reading of the lines: marks that the
// numbers themselves deny. Two shapes that differ in nothing but the sense of a
// mark can be told apart by it.
//
//   - still, while the number runs
//   - moving, while the number stays for longer than any scale takes to see it
//   - at the centre of zero, with a weight above zero (tared or not)
func against(lines []line) float64 {
	sum, step := 0.0, stepOf(lines)
	for i, l := range lines {
		if l.reading.Status == scale.StatusZero && !l.reading.Number.Negative && l.reading.Number.Coefficient > 0 {
			sum++
		}
		switch l.reading.Motion {
		case scale.MotionStill:
			if runs(lines[:i+1], step) {
				sum++
			}
		case scale.MotionMoving:
			if stays(lines[:i+1]) {
				sum++
			}
		}
	}
	return sum
}

// stepOf is the greatest step in the last digit that all changes are made of: at
// least a division. 0 if nothing changed.
func stepOf(lines []line) uint64 {
	step := uint64(0)
	for i := 1; i < len(lines); i++ {
		a, b := difference(lines[i-1].reading.Number, lines[i].reading.Number), step
		for b != 0 {
			a, b = b, a%b
		}
		step = a
	}
	return step
}

// runs reports a number that changed by two steps or more within less than a
// second before the last line: no scale calls that still. The band of motion is
// one division within a second (indicator manuals).
func runs(lines []line, step uint64) bool {
	const soon = 850 * time.Millisecond
	last := lines[len(lines)-1]
	for i := len(lines) - 2; i >= 0 && last.when-lines[i].when <= soon; i-- {
		if step > 0 && difference(lines[i].reading.Number, last.reading.Number) >= 2*step {
			return true
		}
	}
	return false
}

// stays reports a number that was the same for longer than the memory of any
// scale's sense of motion.
func stays(lines []line) bool {
	const long, fewest = 1500 * time.Millisecond, 3
	last := lines[len(lines)-1]
	for i := len(lines) - 2; i >= 0 && lines[i].reading.Number == last.reading.Number; i-- {
		if last.when-lines[i].when >= long && len(lines)-i >= fewest {
			return true
		}
	}
	return false
}

// difference is in the last digit; numbers with other decimals differ by much.
func difference(a, b scale.Decimal) uint64 {
	if a.Places != b.Places {
		return 1 << 32
	}
	x, y := int64(a.Coefficient), int64(b.Coefficient)
	if a.Negative {
		x = -x
	}
	if b.Negative {
		y = -y
	}
	return uint64(max(x-y, y-x))
}
