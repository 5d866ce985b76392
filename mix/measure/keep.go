package measure

import (
	"errors"
	"fmt"
	"time"

	"gramcup/mix/coating"
	"gramcup/scale"
	"gramcup/scale/pan"
)

// What a walk has noted is kept as values of this file, so that one which was
// broken off can be gone on with. Every mass counts from the empty pan: what the
// pan itself shows may be another afterwards, so it is looked at anew.

// Mark is a mass that was noted, when by the clock on the wall, and what its
// reading was worth; that was not always kept.
type Mark struct {
	Mass scale.Mass `json:"ug"`
	AtMS int64      `json:"at_unix_ms"`
	Worth
}

// mark is a Mark with its time since a fixed moment, as Take counts it.
type mark struct {
	mass scale.Mass
	note
}

// note is when a mass was noted, as Take counts, and what its reading was worth.
type note struct {
	at time.Duration
	by Worth
}

func (m mark) keep(from scale.Mass, zero time.Time) *Mark {
	return &Mark{m.mass - from, zero.Add(m.at).UnixMilli(), m.by}
}

// back is the same to reckon with; usual is what its reading was worth where
// that was not kept.
func (m *Mark) back(zero time.Time, usual Worth) mark {
	if m == nil {
		return mark{}
	}
	return mark{m.Mass, note{time.UnixMilli(m.AtMS).Sub(zero), m.Worth.or(usual)}}
}

// KeptVessel is a Vessel as it is kept.
type KeptVessel struct {
	Empty            scale.Mass `json:"empty_ug"`
	WaterG           float64    `json:"water_g"`
	WaterUncertainty float64    `json:"water_standard_u_g"`
	WaterC           float64    `json:"water_c"`
	HeightMM         float64    `json:"height_mm"`
	VolumeML         float64    `json:"ml"`
}

// KeptOf is a vessel as it is kept.
func KeptOf(v Vessel) KeptVessel {
	return KeptVessel{Empty: v.Empty, WaterG: v.Water.Grams, WaterUncertainty: v.Water.UncertaintyG, WaterC: v.WaterC, HeightMM: v.HeightMM, VolumeML: v.ML}
}

// Vessel is the same as a value to measure with.
func (k KeptVessel) Vessel() Vessel {
	return Vessel{Empty: k.Empty, Water: coating.Weighed{Grams: k.WaterG, UncertaintyG: k.WaterUncertainty}, WaterC: k.WaterC, HeightMM: k.HeightMM, ML: k.VolumeML}
}

// Kept is everything that a walk has noted.
type Kept struct {
	Step           Step        `json:"step"`
	Name           string      `json:"name"`
	Kind           string      `json:"kind"`
	HeightMM       float64     `json:"height_mm"`
	TempC          float64     `json:"temp_c"`
	Division       scale.Mass  `json:"division_ug"`
	RepeatabilityG float64     `json:"repeatability_g"`
	DivisionG      float64     `json:"reading_step_g"`
	Known          *KeptVessel `json:"known_cup,omitempty"`
	Scale          *Worth      `json:"scale,omitempty"` // on which it was being weighed; nil is the one above
	Pan            scale.Mass  `json:"pan_ug"`          // what the empty pan showed
	Cup            *Mark       `json:"cup,omitempty"`
	Water          *Mark       `json:"water,omitempty"` // with the cup
	Dried          *Mark       `json:"dried,omitempty"`
	Paint          *Mark       `json:"paint,omitempty"` // with the cup
	Noted          *Mark       `json:"noted,omitempty"` // with the cup: stood there, and was not taken yet
}

// Keep is what the walk has noted up to now. zero is the moment from which Take
// counts.
func (w *Walk) Keep(zero time.Time) Kept {
	s := w.setup
	k := Kept{
		Step: w.step, Name: s.Name, Kind: string(s.Kind), HeightMM: s.HeightMM, TempC: s.TempC, Division: s.Division,
		RepeatabilityG: s.Accuracy.RepeatabilityG, DivisionG: s.Accuracy.DivisionG, Scale: w.scale.kept(s), Pan: w.pan,
	}
	if s.Known != nil {
		v := KeptOf(*s.Known)
		k.Known = &v
	}
	past := w.past()
	if past >= 1 {
		k.Cup = mark{w.cup, w.times.cup}.keep(w.pan, zero)
	}
	if past >= 2 && s.Known == nil {
		k.Water = mark{w.water, w.times.water}.keep(w.pan, zero)
	}
	if past >= 3 {
		k.Dried = mark{w.dried, w.times.dried}.keep(w.pan, zero)
	}
	switch {
	case w.step == StepDone:
		k.Paint = mark{w.noted, w.times.noted}.keep(w.pan, zero)
	case w.has:
		k.Noted = mark{w.noted, w.times.noted}.keep(w.pan, zero)
	}
	return k
}

// times are when the masses of a walk were noted.
type times struct{ cup, water, dried, noted note }

// past counts the steps that are behind the walk.
func (w *Walk) past() int {
	return map[Step]int{StepCup: 0, StepWater: 1, StepDry: 2, StepPaint: 3, StepDone: 4}[w.step]
}

// errNotWhole is for what was kept and can not be a walk.
var errNotWhole = errors.New("what was kept of this measurement is not whole: begin again")

// Restore makes a walk from what was kept of one, with the moment from which
// Take counts. One that is finished is as it was. Any other is held: it takes
// nothing until GoOn.
func Restore(k Kept, zero time.Time) (*Walk, error) {
	s := Setup{
		Name: k.Name, Kind: coating.Kind(k.Kind), HeightMM: k.HeightMM, TempC: k.TempC, Division: k.Division,
		Accuracy: coating.ScaleAccuracy{RepeatabilityG: k.RepeatabilityG, DivisionG: k.DivisionG},
	}
	if k.Known != nil {
		v := k.Known.Vessel()
		s.Known = &v
	}
	w, err := New(s)
	if err != nil {
		return nil, err
	}
	usual := worthOf(s)
	cup, water, dried, noted := k.Cup.back(zero, usual), k.Water.back(zero, usual), k.Dried.back(zero, usual), k.Noted.back(zero, usual)
	if k.Paint != nil {
		noted = k.Paint.back(zero, usual)
	}
	if k.Scale != nil {
		w.scale = k.Scale.or(usual)
	}
	w.step, w.cup, w.water, w.dried, w.noted = k.Step, cup.mass, water.mass, dried.mass, noted.mass
	w.times = times{cup.note, water.note, dried.note, noted.note}
	w.panBefore, w.adrift, w.held = k.Pan, true, k.Step != StepDone
	w.stood = k.Noted
	switch known := s.Known != nil; k.Step {
	case StepCup:
	case StepWater, StepDry:
		if known || k.Cup == nil || k.Step == StepDry && k.Water == nil {
			return nil, errNotWhole
		}
	case StepPaint, StepDone:
		if k.Cup == nil || k.Dried == nil || !known && k.Water == nil || k.Step == StepDone && k.Paint == nil {
			return nil, errNotWhole
		}
	default:
		return nil, errNotWhole
	}
	if k.Step == StepDone {
		if w.result, err = w.densityOf(w.noted); err != nil {
			return nil, fmt.Errorf("%w: %w", errNotWhole, err)
		}
	}
	return w, nil
}

// Setup is what the walk reckons with.
func (w *Walk) Setup() Setup { return w.setup }

// PanTrouble is why a walk that was broken off can not be gone on with at the
// moment, a sentence: the empty pan has to be seen first. "" if nothing is in the way.
func (w *Walk) PanTrouble(at time.Duration) string {
	if obstacle := w.watch.Obstacle(at, "the measurement"); obstacle != "" {
		return obstacle
	}
	switch {
	case !w.emptyPan():
		return fmt.Sprintf("It shows %s g: take everything off the pan, or zero the scale if it is empty.", w.grams(w.watch.Shown))
	case w.watch.Stands() < pan.StillFor:
		return "The pan does not stand still yet."
	}
	return ""
}

// emptyPan is whether the scale shows what an empty pan can show. A tared one
// shows what it did before; one that took its zero with the cup on it shows less
// than nothing, and serves as well.
func (w *Walk) emptyPan() bool {
	return w.watch.Shown < w.setup.leastCup() || (w.watch.Shown-w.panBefore).Abs() < w.setup.leastCup()
}

// GoOn goes on with a walk that was broken off, from its last noted step: a
// person says that the pan is empty. What stood on it and was not taken yet is
// weighed again. The error is PanTrouble.
func (w *Walk) GoOn(at time.Duration) error {
	if why := w.PanTrouble(at); why != "" {
		return errors.New(why)
	}
	w.goOn()
	w.enter(w.step)
	return nil
}

func (w *Walk) goOn() {
	w.held, w.adrift, w.panned = false, false, true
	w.unsure = w.step != StepCup
	w.refer(w.watch.Shown)
}

// refer moves everything that was noted to another reading of the empty pan.
func (w *Walk) refer(shown scale.Mass) {
	by := shown - w.pan
	w.pan, w.cup, w.water, w.dried, w.noted = shown, w.cup+by, w.water+by, w.dried+by, w.noted+by
}

// off follows a cup that is off the pan after the walk was gone on with: only an
// empty pan that is what it was said to be proves that what stood on it was
// weighed right. A scale that took its zero with the cup on it shows less.
func (w *Walk) off(at time.Duration, stands bool) {
	if w.offs == 2 {
		w.offSince = at
	}
	switch {
	case !stands:
	case w.watch.Shown < w.pan-w.setup.leastCup():
		w.misled = w.has
		w.has, w.strays = false, false
		w.refer(w.watch.Shown)
	case w.has:
		w.unsure = false
		w.lifted(w.offSince)
	default:
		w.needs = false
	}
}
