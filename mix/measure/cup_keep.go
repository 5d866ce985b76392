package measure

import (
	"time"

	"gramcup/mix/coating"
	"gramcup/scale"
)

// KeptLevel is a height that was taken, with its water.
type KeptLevel struct {
	HeightMM float64 `json:"height_mm"`
	Mark
}

// KeptCup is everything that the measuring of a cup has noted. Water is without
// the cup.
type KeptCup struct {
	Step           Step        `json:"step"`
	TempC          float64     `json:"temp_c"`
	Division       scale.Mass  `json:"division_ug"`
	RepeatabilityG float64     `json:"repeatability_g"`
	DivisionG      float64     `json:"reading_step_g"`
	Scale          *Worth      `json:"scale,omitempty"` // on which it was being weighed; nil is the one above
	Pan            scale.Mass  `json:"pan_ug"`
	Empty          *Mark       `json:"empty,omitempty"`
	Levels         []KeptLevel `json:"levels"`
	HeightMM       float64     `json:"height_mm"`
	Noted          *Mark       `json:"noted,omitempty"` // stood there, and was not taken yet
}

// Keep is what the walk has noted up to now. zero is the moment from which Take
// counts.
func (w *CupWalk) Keep(zero time.Time) KeptCup {
	in := &w.in
	k := KeptCup{
		Step: w.Step(), TempC: in.setup.TempC, Division: in.setup.Division, RepeatabilityG: in.setup.Accuracy.RepeatabilityG,
		DivisionG: in.setup.Accuracy.DivisionG, Scale: in.scale.kept(in.setup), Pan: in.pan, HeightMM: w.height, Levels: []KeptLevel{},
	}
	if in.step != StepCup {
		k.Empty = mark{in.cup, in.times.cup}.keep(in.pan, zero)
	}
	for _, l := range w.levels {
		k.Levels = append(k.Levels, KeptLevel{l.HeightMM, *mark{l.Net, l.note}.keep(0, zero)})
	}
	if w.has {
		k.Noted = mark{w.noted, w.notedAt}.keep(0, zero)
	}
	return k
}

// RestoreCup makes a walk from what was kept of one, see Restore.
func RestoreCup(k KeptCup, zero time.Time) (*CupWalk, error) {
	w, err := NewCup(CupSetup{TempC: k.TempC, Division: k.Division, Accuracy: coating.ScaleAccuracy{RepeatabilityG: k.RepeatabilityG, DivisionG: k.DivisionG}})
	if err != nil {
		return nil, err
	}
	w.done = k.Step == StepDone
	in := &w.in
	usual := in.scale
	if k.Scale != nil {
		in.scale = k.Scale.or(usual)
	}
	in.panBefore, in.adrift, in.held = k.Pan, true, !w.done
	if k.Step == StepCup {
		return w, nil
	}
	if k.Empty == nil || k.Step != StepFill && !w.done || w.done && len(k.Levels) < LeastHeights {
		return nil, errNotWhole
	}
	cup := k.Empty.back(zero, usual)
	in.step, in.cup, in.times.cup = StepWater, cup.mass, cup.note
	for _, l := range k.Levels {
		next := Level{HeightMM: l.HeightMM, Net: l.Mass, ML: l.Mass.Grams() / w.rho, note: l.back(zero, usual).note}
		if next.HeightMM <= w.last().HeightMM || next.Net <= w.last().Net {
			return nil, errNotWhole
		}
		w.levels = append(w.levels, next)
	}
	if err := w.Height(k.HeightMM); err != nil {
		return nil, errNotWhole
	}
	return w, nil
}

// PanTrouble is why it can not be gone on with at the moment, see Walk.PanTrouble.
func (w *CupWalk) PanTrouble(at time.Duration) string { return w.in.PanTrouble(at) }

// GoOn goes on with a cup that was broken off, see Walk.GoOn.
func (w *CupWalk) GoOn(at time.Duration) error {
	if err := w.in.GoOn(at); err != nil {
		return err
	}
	w.has, w.sure = false, len(w.levels)
	return nil
}

// Other has the walk go on with another scale, see Walk.Other.
func (w *CupWalk) Other(division scale.Mass, a coating.ScaleAccuracy) {
	var taken []note
	for _, l := range w.levels {
		taken = append(taken, l.note)
	}
	w.in.other(division, a, taken...)
}

// Loads counts the weighings that count for the walk, in their order.
func (w *CupWalk) Loads() int { return w.in.Loads() + len(w.levels) }

// Setup is what the walk reckons with.
func (w *CupWalk) Setup() CupSetup {
	s := w.in.setup
	return CupSetup{TempC: s.TempC, Division: s.Division, Accuracy: s.Accuracy}
}

// adrift waits for the empty pan, and finds out one that was not empty when that
// was said. It reports whether nothing else is to be looked at.
func (w *CupWalk) adrift(stands bool) bool {
	in := &w.in
	switch {
	case in.held:
		return true
	case in.adrift:
		if stands && in.emptyPan() {
			in.goOn()
			w.sure = len(w.levels)
		}
		return true
	case in.unsure && stands && in.watch.Shown < in.pan-in.setup.leastCup():
		in.refer(in.watch.Shown)
		in.misled = true
		w.levels, w.has = w.levels[:min(w.sure, len(w.levels))], false
		return true
	}
	return false
}
