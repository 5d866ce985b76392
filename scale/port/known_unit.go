package port

import (
	"fmt"
	"slices"

	"gramcup/scale"
)

// Some shapes do not say their unit: the bare number, the reversed digits, the
// short frames. There a press of the unit key on the scale shows only in the
// number: 412.6 g become 14.554 oz, and the next line would be believed as 14.554
// g. What gives it away is the count of decimals, for it nearly always changes
// with the unit. But a scale with two ranges also changes it, to coarser steps
// above some weight. What tells the two apart:
//
//   - A range only ever takes decimals away, and one of them: the division of the
//     next range is 2, 5 or 10 times as large (R 76-1 has 1, 2 and 5 times a power
//     of ten; that ranges follow each other so closely is this program's own
//     choice). A unit that is larger than the one before brings decimals.
//   - A coarser range lies above every weight that the finer one has shown. A unit
//     that is pressed at an empty pan shows zero again.
//   - A unit multiplies the number by a factor that is known exactly; a load that
//     is put on or a pour does so by chance only.
//
// So coarser steps are learned as a range where all of it holds, and everything
// else is a unit that a person has to settle: never silently as the unit before.
// The price is paid where a scale with two ranges is met for the first time with a
// load that lies in its coarse one: it is asked about once, when it becomes finer.
// A unit that has as many decimals as the one before can not be told at all.

const (
	// factorSlack is how far a pour may carry the number during a press of the
	// key: 40 g a second, the widest pour, is 1 % of 400 g in a tenth of one.
	factorSlack = 0.02
	// factorSteps is the least number, in steps, that can show a factor.
	factorSteps = 5
	// driftSteps is what the load may have changed by where the decimals are
	// known: there the slack of a pour would doubt one change of load in twenty.
	driftSteps = 2
)

// unsaid is what is remembered of a scale whose lines do not say their unit.
type unsaid struct {
	last    scale.Mass // the last weight that passed, in the unit that was set
	top     scale.Mass // the highest one
	doubted int        // decimals that may be those of another unit, and one; 0 for none
}

func (u *unsaid) note(m scale.Mass, weight bool) {
	if weight {
		u.last, u.top = m, max(u.top, m)
	}
}

// doubtful reports whether a weight with other decimals than the one before may be
// in another unit. known says that the scale has had these decimals before.
func (s *session) doubtful(places int, m scale.Mass, known bool) bool {
	if !s.read.unsaid {
		return false
	}
	g := &s.read.gate
	if factorOf(g.unit, g.unsaid.last, m, g.passed, places, known) {
		return true
	}
	return !known && (places != g.passed-1 || m <= g.unsaid.top)
}

// factorOf reports whether one number is the other one in another unit.
func factorOf(unit scale.Unit, before, after scale.Mass, placesBefore, placesAfter int, known bool) bool {
	stepBefore, stepAfter := stepOf(placesBefore, unit), stepOf(placesAfter, unit)
	x, y := before.Abs().Grams(), after.Abs().Grams()
	if x < factorSteps*stepBefore || y < factorSteps*stepAfter || (before < 0) != (after < 0) {
		return false
	}
	own := sizeOf(unit)
	for u := scale.UnitGram; u.IsMass(); u++ {
		factor := own / sizeOf(u)
		slack := stepBefore*factor/2 + stepAfter/2
		if known {
			slack += driftSteps * stepBefore * factor
		} else {
			slack += factorSlack * x * factor
		}
		if u != unit && y-x*factor <= slack && x*factor-y <= slack {
			return true
		}
	}
	return false
}

// stepOf is the step of so many decimals in grams.
func stepOf(places int, u scale.Unit) float64 {
	m, err := scale.Decimal{Coefficient: 1, Places: uint8(places)}.Mass(u)
	if err != nil {
		return 0
	}
	return m.Grams()
}

// sizeOf is one of a unit in grams.
func sizeOf(u scale.Unit) float64 { return stepOf(0, u) }

// stillDoubted reports whether what a scale shows that is kept out for its unit
// does not settle it: only decimals that it had before the doubt do.
func (s *session) stillDoubted() bool {
	g := &s.read.gate
	return g.unsaid.doubted != 0 && (g.unsaid.doubted == g.places+1 || !slices.Contains(s.p.known.Places, g.places))
}

// doubtUnit keeps the scale out until its decimals are those from before or a
// person has looked at its display. Whoever takes it on says that it is the same
// scale in the same unit, so what was known of it stays.
func (s *session) doubtUnit() {
	g, k := &s.read.gate, s.p.known.clone()
	g.unsaid.doubted = g.places + 1
	if !slices.Contains(k.Places, g.places) {
		k.Places = append(k.Places, g.places)
	}
	reason := fmt.Sprintf("The scale shows %s steps, before it showed %s steps, and its lines do not say their unit, so it may show another one than %s. Set it back to %s on the scale, or say on the Scale page that it shows %s.",
		bareStep(g.places), step(g.passed, k.Unit), k.Unit, k.Unit, k.Unit)
	s.shut(refusal{stranger: Stranger{Reason: reason, Seen: k}, unitOnly: true, session: s})
}

// bareStep is the step of so many decimals in nobody knows what.
func bareStep(places int) string {
	return scale.Decimal{Coefficient: 1, Places: uint8(places), Lead: 1}.String()
}
