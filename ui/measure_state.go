package ui

import (
	"time"

	"gramcup/mix"
	"gramcup/mix/coating"
	"gramcup/mix/measure"
)

// What a start offers where nothing is known: common practice, no source.
const (
	usualMarkMM = 60
	usualTempC  = 20
)

// start begins to measure a component.
func (d *MeasureDesk) start(now time.Time, b MeasureStart, recipe mix.Recipe) error {
	if err := d.free(); err != nil {
		return err
	}
	c := recipe.Components[b.Component]
	setup := measure.Setup{
		Name: c.Name, Kind: componentKind(c), HeightMM: b.HeightMM, TempC: b.TempC, Division: d.division(),
		Accuracy: d.accuracy(),
	}
	if b.Vessel != "" {
		for _, cup := range d.here() {
			if cup.id == b.Vessel {
				v := cup.vessel
				setup.Known, setup.HeightMM = &v, v.HeightMM
			}
		}
		if setup.Known == nil {
			return refuseShelf(mix.RefusedOrder, "that cup is not known any more: begin with water")
		}
	}
	walk, err := measure.New(setup)
	if err != nil {
		return &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}
	}
	d.of = measureOf{recipeID: recipe.ID, recipe: recipe.Name, component: c.Name, index: b.Component, role: string(c.Role), setup: setup}
	d.begin(walk, now)
	return nil
}

// keep puts the density into its component.
func (d *MeasureDesk) keep(now time.Time, confirm bool) error {
	r, ok := d.walk.Result()
	switch {
	case !ok:
		return refuseShelf(mix.RefusedNotNow, "nothing is measured yet, so there is nothing to keep")
	case r.Note != "" && !confirm:
		return refuseShelf(refusedAsk, "%s", r.Note)
	}
	of := d.of
	density := mix.Density{
		GPerML: r.GML, ReferenceC: r.TemperatureC, AsGiven: r.AsGiven(), Source: sourceWeighed,
		UncertaintyGML: r.Uncertainty, SinceMS: now.UnixMilli(),
	}
	return d.onDisk("The density is kept with "+of.component+".", func() error {
		return d.config.Shelf.setDensity(of.recipeID, of.component, of.index, density)
	})
}

// state is everything a page shows of it.
func (d *MeasureDesk) state(now time.Time) MeasureState {
	defer d.settled()
	d.mu.Lock()
	defer d.mu.Unlock()
	out := MeasureState{
		Broken: d.broken(now), PutAway: d.putAway(now), Version: d.version, Said: d.said, NotNow: d.startNotText(), Vessels: []MeasureCup{}, Kinds: []MeasureKind{},
		Usual: MeasureUsual{HeightMM: usualMarkMM, TempC: usualTempC},
	}
	here := d.here()
	for _, c := range here {
		out.Vessels = append(out.Vessels, MeasureCup{
			ID: c.id, EmptyG: c.vessel.Empty.Grams(), ML: micro(c.vessel.ML), HeightMM: c.vessel.HeightMM, AtMS: c.at.UnixMilli(),
		})
	}
	if len(here) > 0 {
		out.Usual.HeightMM = here[0].vessel.HeightMM
	}
	for _, k := range coating.Rows() {
		out.Kinds = append(out.Kinds, MeasureKind{string(k.Kind), k.LowGML, k.HighGML})
	}
	if d.on() {
		out.Walk = d.walkNow(now)
	}
	return out
}

func (d *MeasureDesk) walkNow(now time.Time) *MeasureWalk {
	v := d.walk.View(now.Sub(d.began))
	w := &MeasureWalk{
		RecipeID: d.of.recipeID, Recipe: d.of.recipe, Component: d.of.index, Name: d.of.component, Role: d.of.role,
		Kind: string(d.of.setup.Kind), Step: string(v.Step), At: v.At, Of: v.Of, Sentence: v.Sentence, Detail: v.Detail,
		Waits: d.waits(v.Waits), NotedG: v.Noted.Grams(), Still: v.Still, This: v.This, DivisionG: d.of.setup.Division.Grams(),
		HeightMM: d.of.setup.HeightMM, TempC: d.of.setup.TempC, CupKnown: d.of.setup.Known != nil,
	}
	if r, ok := d.walk.Result(); ok {
		w.Result = &MeasureResult{
			GML: micro(r.GML), ExpandedU: micro(coating.Coverage * r.Uncertainty), LbGal: micro(coating.LbPerGallon(1000 * r.GML)),
			ML: micro(r.VolumeML), WaterG: micro(r.Water.Net.Grams()), PaintG: micro(r.Paint.Net.Grams()), Asks: r.Note, Surer: surer(d.of.setup),
		}
	}
	return w
}

// surer says what most of the uncertainty comes from: with a cup it is nearly
// always the eye at the mark.
func surer(s measure.Setup) string {
	const tall = 120
	if s.HeightMM < tall {
		return "Most of that is how well the mark is read, half a millimetre each time: a narrower cup with a higher mark is surer."
	}
	return ""
}
