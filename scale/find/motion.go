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
	sum := 0.0
	for i, l := range lines {
		if l.reading.Status == scale.StatusZero && !l.reading.Number.Negative && l.reading.Number.Coefficient > 0 {
			sum++
		}
		if i == 0 {
			continue
		}
		switch l.reading.Motion {
		case scale.MotionStill:
			if runs(lines[i-1], l) {
				sum++
			}
		case scale.MotionMoving:
			sum += stays(lines[:i+1])
		}
	}
	return sum
}

// runs reports a number that changed by so much in less than a second that no
// scale calls it still: twelve of the last digit are at least two divisions,
// also where the scale counts by five. The band of motion is one division within
// a second (indicator manuals).
func runs(before, l line) bool {
	const soon, digits = time.Second, 12
	return l.when-before.when <= soon && difference(before.reading.Number, l.reading.Number) >= digits
}

// stays tells how clearly the number has stood still before the last line: 1 if
// it did not change at all, a quarter if by no more than one digit, which may be
// motion that the display rounds away.
func stays(lines []line) float64 {
	const long, unclear = 1500 * time.Millisecond, 0.25
	last := lines[len(lines)-1]
	worst := uint64(0)
	for i := len(lines) - 2; i >= 0; i-- {
		worst = max(worst, difference(lines[i].reading.Number, last.reading.Number))
		switch {
		case worst > 1:
			return 0
		case last.when-lines[i].when >= long && worst == 0:
			return 1
		case last.when-lines[i].when >= long:
			return unclear
		}
	}
	return 0
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
