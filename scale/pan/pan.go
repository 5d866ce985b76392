// Package pan is what a guided walk hears of the pan: the last weight, how long
// it has stood, and why there is none. The check with a test weight and the
// measuring of a density both listen through it. It has no clock: every reading
// comes with its time since any fixed moment, which never goes back.
package pan

import (
	"fmt"
	"time"

	"gramcup/scale"
)

const (
	// StillFor is how long a reading must stand within one division before it is
	// taken, whether or not the line carries a mark of stillness: a second is
	// what indicators use for theirs, half of one more is this program's own
	// choice. It takes at least two readings, so one torn line proves nothing.
	StillFor = 1500 * time.Millisecond
	// gapMost is the longest silence within a stillness, and after it the scale
	// counts as not heard.
	gapMost = 3 * time.Second
)

// trouble is why nothing can be taken from what the scale says.
type trouble uint8

const (
	troubleSilent trouble = iota
	troubleNone
	troubleLost
	troubleOver
	troubleUnder
	troubleNoWeight
	troubleUnit
	troubleMode
)

// Watch is the memory of one walk. The zero value has heard nothing.
type Watch struct {
	Shown scale.Mass // the last usable weight
	Unit  scale.Unit // of the first one; a change is a trouble
	Mode  scale.Mode // of the first one

	began    bool
	heard    time.Duration
	restless time.Duration // when it last stood still, or something else began
	trouble  trouble

	meter scale.Meter
	mark  scale.Mark // what the scale's mark of motion is worth

	since, last time.Duration // of the stillness
	low, high   scale.Mass
	standing    bool
}

// Began reports whether a reading has come since the walk began.
func (w *Watch) Began() bool { return w.began }

// Heard is when the last reading came.
func (w *Watch) Heard() time.Duration { return w.heard }

// Usable reports whether the last reading was a weight that belongs to this
// walk.
func (w *Watch) Usable() bool { return w.trouble == troubleNone }

// Take notes a reading and reports whether it is usable. division is the step of
// the scale.
func (w *Watch) Take(at time.Duration, r scale.Reading, division scale.Mass) bool {
	if !w.began || at-w.heard > gapMost {
		w.restless, w.began = at, true
	}
	w.heard = at
	m, ok := r.Weight()
	if w.trouble = w.troubleOf(r, ok); w.trouble != troubleNone {
		w.standing, w.restless = false, at
		return false
	}
	w.Shown = m
	w.mark.Note(at, r.Motion, w.meter.Rested())
	w.stand(at, m, r.Motion == scale.MotionMoving && !w.mark.Doubted, division)
	w.meter.Note(at, m, w.standing, division)
	if w.Stands() >= StillFor {
		w.restless = at
	}
	return true
}

func (w *Watch) troubleOf(r scale.Reading, ok bool) trouble {
	switch {
	case r.Status == scale.StatusOver:
		return troubleOver
	case r.Status == scale.StatusUnder:
		return troubleUnder
	case !ok:
		return troubleNoWeight
	case w.Unit == scale.UnitNone:
		w.Unit, w.Mode = r.Unit, r.Mode
	case r.Unit != w.Unit:
		return troubleUnit
	case r.Mode != w.Mode: // with a new tare a loaded pan would pass for an empty one
		return troubleMode
	}
	return troubleNone
}

func (w *Watch) stand(at time.Duration, m scale.Mass, moving bool, division scale.Mass) {
	low, high := min(w.low, m), max(w.high, m)
	if !w.standing || moving || high-low > division || at-w.last > gapMost {
		w.since, w.standing = at, !moving
		low, high = m, m
	}
	w.low, w.high, w.last = low, high, at
}

// Stands is how long the weight has stood, 0 while it moves.
func (w *Watch) Stands() time.Duration {
	if !w.standing {
		return 0
	}
	return w.last - w.since
}

// Restless reports that the weight has not come to rest for longer than most.
func (w *Watch) Restless(at, most time.Duration) bool { return at-w.restless > most }

// RestlessSaid is the sentence for it.
func (w *Watch) RestlessSaid() string {
	const said = "It does not come to rest: look for a draught, a hand or something that touches the pan."
	if w.mark.Doubted {
		return said + " The scale calls itself moving all the time, so its display is watched instead."
	}
	return said
}

// Rest begins a new stretch: what stood until now does not count for the next
// step.
func (w *Watch) Rest(at time.Duration) { w.standing, w.restless = false, at }

// Anew begins a walk anew on the same scale: its unit and mode stay, what it
// showed does not.
func (w *Watch) Anew() {
	*w = Watch{Unit: w.Unit, Mode: w.Mode, heard: w.heard, trouble: w.trouble, meter: w.meter, mark: w.mark}
}

// Restart waits for the first reading again, in whatever unit it comes.
func (w *Watch) Restart() { w.began, w.Unit = false, scale.UnitNone }

// Lost says that the scale can not be heard any more; the next Take ends it.
func (w *Watch) Lost() { w.trouble, w.standing = troubleLost, false }

// Obstacle is the sentence of what stands in the way of any reading at all, ""
// if nothing does. walk names what goes on when the scale is back: "the check".
func (w *Watch) Obstacle(at time.Duration, walk string) string {
	switch w.trouble {
	case troubleLost:
		return "The scale is lost: look at its plug; " + walk + " goes on when it is back."
	case troubleOver:
		return "The scale says overload: take the load off."
	case troubleUnder:
		return "The scale says that it is below its range: put its pan on, or switch it off and on with the pan empty."
	case troubleNoWeight:
		return "The scale shows no weight now: look at its display."
	case troubleUnit:
		return fmt.Sprintf("The scale changed its unit: switch it back to %s.", w.Unit)
	case troubleMode:
		return "The scale changed between gross and net: was a tare set or cleared? Put it back as it was, or begin again."
	}
	if at-w.heard > gapMost { // a walk that has just begun waits for its first reading
		return "The scale is not heard: is it on and plugged in?"
	}
	return ""
}
