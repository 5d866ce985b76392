package measure

import (
	"errors"
	"fmt"

	"gramcup/mix/coating"
	"gramcup/scale"
)

// Result is a density that was measured.
type Result struct {
	coating.Measured
	Water Weighing // of the mark
	Paint Weighing
	Note  string // why it is unusual for its kind, "" if it is not
}

// Weighing is one net weight.
type Weighing struct {
	Net scale.Mass
	C   float64
}

// AsGiven says what was read, in a few words.
func (r Result) AsGiven() string {
	return fmt.Sprintf("%.4g g where water has %.4g g, at %.4g °C", r.Paint.Net.Grams(), r.Water.Net.Grams(), r.Paint.C)
}

// Result is the density; ok is false while it is not there.
func (w *Walk) Result() (r Result, ok bool) { return w.result, w.step == StepDone }

// Vessel is the cup with its mark, for the next component; ok is false before
// the water was weighed.
func (w *Walk) Vessel() (v Vessel, ok bool) {
	if w.setup.Known != nil {
		return *w.setup.Known, true
	}
	if w.step != StepPaint && w.step != StepDone {
		return Vessel{}, false
	}
	v = Vessel{Empty: w.cup - w.pan, Water: w.net(w.water - w.cup), WaterC: w.setup.TempC, HeightMM: w.setup.HeightMM}
	rho, err := coating.WaterDensityGML(v.WaterC)
	v.ML = v.Water.Grams / rho
	return v, err == nil
}

func (w *Walk) net(m scale.Mass) coating.Weighed {
	return coating.NetOf(m.Grams(), w.setup.Accuracy.RepeatabilityG, w.setup.Accuracy.DivisionG)
}

// densityOf is the density if this is the paint at the mark.
func (w *Walk) densityOf(shown scale.Mass) (Result, error) {
	v, ok := w.Vessel()
	if !ok {
		return Result{}, errors.New("the mark is not known yet: weigh water first")
	}
	net := shown - w.dried
	m, err := coating.AgainstWater(v.Water, v.WaterC, w.net(net), w.setup.TempC, coating.CupMark(v.HeightMM))
	if err != nil {
		return Result{}, err
	}
	r := Result{Measured: m, Water: Weighing{scale.MassFromGrams(v.Water.Grams), v.WaterC}, Paint: Weighing{net, w.setup.TempC}}
	err = coating.Plausible(w.setup.Kind, m.GML)
	var asks *coating.Refusal
	if errors.As(err, &asks) && asks.Ask {
		r.Note, err = asks.Sentence, nil
	}
	return r, err
}
