package ui

import (
	"encoding/json"
	"time"

	"gramcup/mix/coating"
	"gramcup/mix/measure"
)

// measureKept is a density being measured as it is kept.
type measureKept struct {
	measure.Kept
	RecipeID  string `json:"recipe_id"`
	Recipe    string `json:"recipe"`
	Component string `json:"component"`
	Index     int    `json:"index"`
	Role      string `json:"role"`
}

func (d *MeasureDesk) what() string { return "the measuring of the density of " + d.of.component }

func (d *MeasureDesk) save(zero time.Time) any {
	return measureKept{d.walk.Keep(zero), d.of.recipeID, d.of.recipe, d.of.component, d.of.index, d.of.role}
}

func (d *MeasureDesk) load(body []byte, zero time.Time) (*measure.Walk, story, error) {
	var k measureKept
	if err := json.Unmarshal(body, &k); err != nil {
		return nil, story{}, err
	}
	walk, err := measure.Restore(k.Kept, zero)
	if err != nil {
		return nil, story{}, err
	}
	d.of = measureOf{recipeID: k.RecipeID, recipe: k.Recipe, component: k.Component, index: k.Index, role: k.Role, setup: walk.Setup()}
	return walk, story{what: d.what(), far: k.Far(), next: k.Next(), long: k.Long(), none: k.Cup == nil}, nil
}

func (d *MeasureDesk) bound(string) string { return "" }

// onOther has the density reckoned with the coarser of the scales that count.
func (d *MeasureDesk) onOther() {
	d.walk.Other(d.division(), d.accuracy())
	d.of.setup = d.walk.Setup()
}

// marksKind is under which the cups with a known mark are kept.
const marksKind = "marks"

// markKept is one of them.
type markKept struct {
	ID     string             `json:"id"`
	AtMS   int64              `json:"at_unix_ms"`
	Scale  string             `json:"scale"`
	Vessel measure.KeptVessel `json:"cup"`
}

type marksKept struct {
	Made int        `json:"made"`
	Cups []markKept `json:"cups"`
}

func (d *MeasureDesk) keepCups(at time.Time) {
	k := marksKept{Made: d.cupsMade, Cups: []markKept{}}
	for _, c := range d.cups {
		k.Cups = append(k.Cups, markKept{c.id, c.at.UnixMilli(), c.scale, measure.KeptOf(c.vessel)})
	}
	if body, err := json.Marshal(k); err == nil {
		d.keeper.put(marksKind, body, at)
	}
}

// recalled brings back the cups with a known mark. Such that can not be read are
// no cups: water measures them anew.
func (d *MeasureDesk) recalled(kind string, body []byte) {
	var k marksKept
	if kind != marksKind || json.Unmarshal(body, &k) != nil {
		return
	}
	d.cupsMade = k.Made
	for _, c := range k.Cups {
		d.cups = append(d.cups, knownCup{c.ID, time.UnixMilli(c.AtMS), c.Scale, c.Vessel.Vessel()})
	}
}

// here are the cups that were weighed on the scale that is heard.
func (d *MeasureDesk) here() (list []knownCup) {
	for _, c := range d.cups {
		if c.scale == d.identity {
			list = append(list, c)
		}
	}
	return list
}

// accuracy is what one reading of the scale is worth now.
func (d *MeasureDesk) accuracy() coating.ScaleAccuracy {
	return accuracyNow(d.division(), d.config.Manner)
}
