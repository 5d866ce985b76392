package mix

import "gramcup/scale"

// Unlearn makes the pan forget what it measured, so that only the first values
// are left: the bench as it would be if it learned nothing.
func (p *Pan) Unlearn() { p.meter, p.hand = scale.Meter{}, hand{} }

// Reaction is what the pan has learned of the hand, in seconds, and from how
// many pours.
func (p *Pan) Reaction() (seconds float64, pours int) { return p.hand.reaction().Seconds(), p.hand.n }
