package ui

import "gramcup/scale"

// calmNote is what a walk has noted of a filling that stands there, without the flicker
// of a display between two steps. Each new note makes what was pressed before it stale:
// for a flicker no press on a slow line would ever be in time, and what stands there is
// the same.
type calmNote struct{ noted scale.Mass }

// of is the note as it counts, of what is noted now.
func (c *calmNote) of(noted, division scale.Mass) scale.Mass {
	if noted == 0 || c.noted == 0 || (noted-c.noted).Abs() > division {
		c.noted = noted
	}
	return c.noted
}
