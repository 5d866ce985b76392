package scale

import "time"

// Manner is how a scale behaves, measured from its own readings. A field is 0
// while it is not known yet.
type Manner struct {
	Period time.Duration // usual time between two readings
	Noise  Mass          // standard deviation of readings of a load that stands still
	Stills int           // how many stretches of stillness Noise comes from
	Settle time.Duration // from the first sign of a new load until the reading stands still
	Lag    time.Duration // how far the display runs behind a steady pour
	Steps  int           // how many changes of load Settle and Lag come from
	// Jumps tells that the display follows a change of load at once. Such a
	// scale either averages hardly at all or stops averaging for a moment when
	// the change is big, so its Lag in a slow pour stays unknown.
	Jumps bool
	// Unmarked tells that the scale called itself moving while its load stood still
	// for so long that its mark says nothing: whoever listens judges stillness by
	// the noise.
	Unmarked bool
	// Repeats is no reading at rest but comes from the check of this scale that was
	// kept last.
	Repeats Repeats
}
