// Package measure leads a person through measuring a density at the bench: an
// empty cup with a mark, water to the mark, the cup dried, paint to the same
// mark. It is pure: readings and times go in, what to do next comes out, and
// nothing here waits, writes or knows a clock.
//
// Both hands are busy with a cup and a tin, so nothing has to be pressed: what
// stands still is noted, what is poured after that is noted instead, and lifting
// the cup says that the note counts.
package measure
