package checkup

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"gramcup/scale"
)

// KeptWalk is everything that a check has noted, so that one which was broken
// off can be gone on with.
type KeptWalk struct {
	Scale       string    `json:"scale"`
	Capacity    Grams     `json:"capacity_g"`
	Division    Grams     `json:"division_d_g"`
	Interval    Grams     `json:"interval_e_g"`
	Class       string    `json:"class"` // "" is guessed
	Nominal     Grams     `json:"weight_nominal_g"`
	WeightClass string    `json:"weight_class"`
	WeightID    string    `json:"weight_id"`
	Corners     bool      `json:"corners"`
	BeganMS     int64     `json:"began_unix_ms"` // the first reading
	Readings    []Reading `json:"readings"`
	Breaks      []Break   `json:"breaks"`
}

// Break is where a check was broken off and gone on with.
type Break struct {
	Readings int   `json:"readings"` // that were kept
	AtMS     int64 `json:"after_ms"` // since the check began
}

// Keep is what the walk has noted up to now. zero is the moment from which Take
// counts.
func (w *Walk) Keep(zero time.Time) KeptWalk {
	s := w.setup
	k := KeptWalk{
		Scale: s.Scale, Capacity: Grams(s.Capacity), Division: Grams(s.Division), Interval: Grams(s.Interval), Nominal: Grams(s.Nominal),
		WeightClass: s.WeightClass.String(), WeightID: s.WeightID, Corners: s.Corners,
		BeganMS: zero.Add(w.began).UnixMilli(), Readings: append([]Reading{}, w.taken...), Breaks: append([]Break{}, w.breaks...),
	}
	if s.Class != scale.ClassNone {
		k.Class = s.Class.String()
	}
	return k
}

// Restore makes a walk from what was kept of one, with the moment from which
// Take counts. One that is finished is as it was. Any other is held: it takes
// nothing until GoOn.
func Restore(k KeptWalk, zero time.Time) (*Walk, error) {
	class, err := scale.ParseClass(k.Class)
	if err != nil {
		return nil, err
	}
	weight, err := scale.ParseWeightClass(k.WeightClass)
	if err != nil {
		return nil, err
	}
	w, err := New(Setup{
		Scale: k.Scale, Capacity: k.Capacity.Mass(), Division: k.Division.Mass(), Interval: k.Interval.Mass(), Class: class,
		Nominal: k.Nominal.Mass(), WeightClass: weight, WeightID: k.WeightID, Corners: k.Corners,
	})
	if err != nil {
		return nil, err
	}
	if len(k.Readings) > len(w.plan) {
		return nil, errNotWhole
	}
	for i, r := range k.Readings {
		if r.Place != w.plan[i] {
			return nil, errNotWhole
		}
	}
	w.taken, w.breaks = slices.Clone(k.Readings), slices.Clone(k.Breaks)
	w.began, w.resumed = time.UnixMilli(k.BeganMS).Sub(zero), true
	if w.held = !w.done(); !w.held {
		w.record = w.judge()
	}
	return w, nil
}

// errNotWhole is for what was kept and can not be a check.
var errNotWhole = errors.New("what was kept of this check is not whole: begin again")

// PanTrouble is why a check that was broken off can not be gone on with at the
// moment, a sentence: it goes on from the empty pan. "" if nothing is in the way.
func (w *Walk) PanTrouble(at time.Duration) string {
	if obstacle := w.pan.Obstacle(at, "the check"); obstacle != "" {
		return obstacle
	}
	switch {
	case w.pan.Shown.Abs() > w.limits.Zero && w.pan.Shown.Abs() > w.nearZero():
		return fmt.Sprintf("It shows %v: take everything off the pan.", w.pan.Shown)
	case w.pan.Shown.Abs() > w.limits.Zero:
		return fmt.Sprintf("The empty pan shows %v: zero the scale with its own key.", w.pan.Shown)
	case w.pan.Stands() < w.patience():
		return "The pan does not stand still yet."
	}
	return ""
}

// GoOn goes on with a check that was broken off, from its last noted reading
// that still has a zero; the pan is empty. The error is PanTrouble.
func (w *Walk) GoOn(at time.Duration) error {
	if why := w.PanTrouble(at); why != "" {
		return errors.New(why)
	}
	n := w.lasting()
	if n > 0 {
		w.breaks = append(w.breaks, Break{Readings: n, AtMS: (at - w.began).Milliseconds()})
	} else {
		w.resumed, w.began = false, at
	}
	w.held, w.light = false, true
	w.taken = w.taken[:n]
	w.takeThis, w.needOff = false, false
	w.pan.Rest(at)
	return nil
}

// Loads counts the readings that were taken.
func (w *Walk) Loads() int { return len(w.taken) }

// lasting is how many readings hold after a break: how the scale comes back to
// zero after the last weight was not seen, so that weight is weighed again.
func (w *Walk) lasting() int {
	n := len(w.taken)
	if n > 0 && n < len(w.plan) && w.plan[n] == PlaceEmpty && w.plan[n-1] != PlaceEmpty {
		n--
	}
	return n
}

// Far says how far a check came that was broken off, and Next with what it goes on.
func (w *Walk) Far() string {
	if len(w.taken) == 0 {
		return "Nothing was weighed yet."
	}
	last := w.taken[len(w.taken)-1]
	return fmt.Sprintf("Noted: %d of %d readings, the last one %v %s.", len(w.taken), len(w.plan), last.Shown.Mass(), places[last.Place])
}

// places are where a reading was taken, in a sentence.
var places = map[Place]string{
	PlaceEmpty: "on the empty pan", PlaceMiddle: "in the middle", PlaceFront: "at the front", PlaceRight: "on the right",
	PlaceBack: "at the back", PlaceLeft: "on the left",
}

// Next says with what it goes on once the empty pan was seen, and what is
// weighed again.
func (w *Walk) Next() string {
	n := w.lasting()
	if n == len(w.taken) {
		return fmt.Sprintf("It goes on with reading %d of %d.", n+1, len(w.plan))
	}
	return fmt.Sprintf("It goes on with reading %d of %d: how the scale came back to zero after that weight was not seen, so it is weighed again.", n+1, len(w.plan))
}

// Long says what a long pause means for it.
func (w *Walk) Long() string {
	return "A scale drifts with the room and as it warms up, so readings so far apart say less about it. Beginning again is surer."
}

// breakNotes say in a record that it was not made in one go.
func (w *Walk) breakNotes() (notes []string) {
	for _, b := range w.breaks {
		notes = append(notes, fmt.Sprintf("It was broken off after reading %d, and went on %v after its beginning from the empty pan.", b.Readings, (time.Duration(b.AtMS)*time.Millisecond).Round(time.Second)))
	}
	return notes
}
