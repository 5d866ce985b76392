package measure

import (
	"gramcup/mix/coating"
	"gramcup/scale"
)

// Worth is what one reading of a scale was worth when a mass was noted on it.
type Worth struct {
	Division       scale.Mass `json:"division_ug,omitempty"`
	RepeatabilityG float64    `json:"repeatability_g,omitempty"`
	DivisionG      float64    `json:"reading_step_g,omitempty"`
}

func worthOf(s Setup) Worth {
	return Worth{s.Division, s.Accuracy.RepeatabilityG, s.Accuracy.DivisionG}
}

func (o Worth) accuracy() coating.ScaleAccuracy {
	return coating.ScaleAccuracy{RepeatabilityG: o.RepeatabilityG, DivisionG: o.DivisionG}
}

// or is another one where this one is not known.
func (o Worth) or(other Worth) Worth {
	if o.Division <= 0 {
		return other
	}
	return o
}

// with is the worse of two: what is compared was weighed on both.
func (o Worth) with(other Worth) Worth {
	return Worth{max(o.Division, other.Division), max(o.RepeatabilityG, other.RepeatabilityG), max(o.DivisionG, other.DivisionG)}
}

// kept is nil where the setup says the same.
func (o Worth) kept(s Setup) *Worth {
	if o == worthOf(s) {
		return nil
	}
	return &o
}

// step is the step in which a mass is written that was noted on one scale after
// another was; a mark without one has the step of the whole walk.
func (m *Mark) step(usual scale.Mass, more ...*Mark) scale.Mass {
	step := m.or(Worth{Division: usual}).Division
	for _, other := range more {
		step = max(step, other.step(usual))
	}
	return step
}

// Loads counts the weighings that count for the walk, in their order. A cup
// whose mark is known is the first: it was weighed before.
func (w *Walk) Loads() int {
	if w.setup.Known == nil {
		return w.past()
	}
	return 1 + max(0, w.past()-2)
}

// Other has the walk go on with another scale. It reckons with the worst of that
// one and of those on which something that counts was weighed: one on which
// nothing was makes it no less sure.
func (w *Walk) Other(division scale.Mass, a coating.ScaleAccuracy) { w.other(division, a) }

func (w *Walk) other(division scale.Mass, a coating.ScaleAccuracy, more ...note) {
	w.scale = Worth{division, a.RepeatabilityG, a.DivisionG}
	all := w.scale
	counts := append([]note{w.times.cup, w.times.water, w.times.dried, w.times.noted}[:w.past()], more...)
	for _, n := range counts {
		all = all.with(n.by)
	}
	w.setup.Division = all.Division
	w.setup.Accuracy = all.accuracy()
}
