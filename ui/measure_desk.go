package ui

import (
	"fmt"
	"slices"
	"time"

	"gramcup/mix"
	"gramcup/mix/measure"
	"gramcup/scale"
)

// MeasureConfig is what a MeasureDesk works with. Shelf must be set.
type MeasureConfig struct {
	Shelf  *ShelfDesk          // keeps the density in its component
	Manner func() scale.Manner // how the scale behaves, nil is not known
	Walks  *Walks              // where it takes its seat; nil is a desk of its own
}

// MeasureDesk owns the density that is being measured.
//
// The last few cups whose mark was measured on the way are kept for the next
// density. They are in no list: a cup is worn, lost or filled with dried paint
// sooner than anybody would take it out of one.
type MeasureDesk struct {
	seat[*measure.Walk]
	config MeasureConfig

	of       measureOf
	calm     calmNote
	cups     []knownCup // the newest first, of any scale
	cupsMade int
}

// measureOf is what is measured.
type measureOf struct {
	recipeID, recipe, component string
	index                       int
	role                        string
	setup                       measure.Setup
}

type knownCup struct {
	id     string
	at     time.Time
	scale  string // on which it was weighed: weights of two scales are not mixed
	vessel measure.Vessel
}

// cupsKept bounds the cups that are remembered.
const cupsKept = 4

// NewMeasureDesk makes a desk at which nothing is measured.
func NewMeasureDesk(c MeasureConfig) *MeasureDesk {
	d := &MeasureDesk{config: c}
	d.take(c.Walks, d, walkWords{
		going: "a density is being measured: finish or cancel that first, under Shelf", needs: "measuring needs the pan",
		none: "nothing is being measured: start with a component", already: "something is being measured already: finish or cancel it first",
		moved: "the measurement", ended: "the measurement was broken off",
		kind: "density", place: "shelf", away: "The density whose measuring was broken off is put away.",
		unread: "The measuring of a density was broken off and can not be read any more: begin again.",
		newer:  "The measuring of a density was broken off under a newer version of gramcup, which this one can not read: it stays as it is until another density is begun here.", silent: mix.RefusedNotNow,
	})
	return d
}

func (d *MeasureDesk) done() bool { return d.walk.Step() == measure.StepDone }

func (d *MeasureDesk) mark(at time.Duration) any {
	v := d.walk.View(at)
	return [3]any{v.Step, d.calm.of(v.Noted, d.division()), v.This}
}

func (d *MeasureDesk) moved(at time.Time) {
	if s := d.walk.Step(); s == measure.StepPaint || s == measure.StepDone {
		d.remember(at)
	}
}

// remember keeps the cup for the next component.
func (d *MeasureDesk) remember(at time.Time) {
	v, ok := d.walk.Vessel()
	if !ok || d.of.setup.Known != nil || slices.ContainsFunc(d.cups, func(c knownCup) bool { return c.vessel == v }) {
		return
	}
	d.cupsMade++
	d.cups = slices.Insert(d.cups, 0, knownCup{fmt.Sprintf("cup-%d", d.cupsMade), at, d.onScale(), v})
	d.cups = d.cups[:min(len(d.cups), cupsKept)]
	d.keepCups(at)
}

// do carries out a command; recipe is that of a start. A refusal has its code
// and sentence; an error is of the book.
func (d *MeasureDesk) do(now time.Time, b MeasureBody, recipe mix.Recipe) (*mix.Refusal, error) {
	return d.command(b.Key, b.Version, func() error {
		switch b.Do {
		case measureStart:
			return d.start(now, *b.Start, recipe)
		case walkGoOn, walkPutAway, walkUndo:
			return d.resting(now, b.Do, b.Confirm)
		}
		return d.during(now, func() error { return d.act(now, b) })
	})
}

func (d *MeasureDesk) act(now time.Time, b MeasureBody) error {
	switch b.Do {
	case measureBack:
		d.walk.Back()
	case measureAgain:
		d.walk.Again()
	case measureThis:
		if !d.walk.This() {
			return refuseShelf(mix.RefusedMoving, "nothing that could be it stands still on the pan: let it stand for two seconds")
		}
	case measureCancel:
		d.end("")
	case measureKeep:
		return d.keep(now, b.Confirm)
	}
	return nil
}
