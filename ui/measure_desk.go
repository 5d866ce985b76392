package ui

import (
	"fmt"
	"slices"
	"sync"
	"time"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/mix/measure"
	"gramcup/scale"
)

// MeasureConfig is what a MeasureDesk works with. Shelf must be set.
type MeasureConfig struct {
	Shelf    *ShelfDesk          // keeps the density in its component
	Division func() scale.Mass   // the scale's step as configured, 0 or nil takes that of its readings
	Manner   func() scale.Manner // how the scale behaves, nil is not known
	// Check is who else may need the pan; nil is nobody.
	Check *CheckDesk
}

// MeasureDesk owns the density that is being measured, so that every page sees
// the same one and a page that reconnects finds it as it is. It is told of
// readings beside the bench, and of the batch as an audience of it; neither ever
// waits for the disk here.
//
// A batch goes first, as it does before a check of the scale: none is measured
// while one is in the cup, and the start of one ends a measurement that is not
// finished. A finished one needs the scale no more and waits to be kept.
//
// Cups whose mark was measured are remembered while the daemon runs. They are
// not in the book: a cup is worn, lost or filled with dried paint sooner than
// anybody would take it out of a list.
type MeasureDesk struct {
	config MeasureConfig

	mu       sync.Mutex // never held while the disk is asked
	identity string
	step     scale.Mass // what the last reading suggests
	running  bool       // a batch is in the cup
	walk     *measure.Walk
	of       measureOf
	began    time.Time
	mark     [3]any // of the last view, to see that it moved on
	version  uint64
	said     string
	keys     []string
	cups     []knownCup // the newest first
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
	vessel measure.Vessel
}

// cupsKept bounds the cups that are remembered.
const cupsKept = 4

// NewMeasureDesk makes a desk at which nothing is measured.
func NewMeasureDesk(c MeasureConfig) *MeasureDesk { return &MeasureDesk{config: c} }

// Reading gives a reading to the walk, if one is under way.
func (d *MeasureDesk) Reading(at time.Time, r scale.Reading) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if r.HasNumber {
		d.step = r.Step()
	}
	if d.walk == nil {
		return
	}
	d.walk.Take(at.Sub(d.began), r)
	d.noticed(at)
}

// noticed raises the version when the walk goes on, so that a press that was
// meant for what was on screen before is refused.
func (d *MeasureDesk) noticed(at time.Time) {
	v := d.walk.View(at.Sub(d.began))
	mark := [3]any{v.Step, v.Noted, v.This}
	if mark == d.mark {
		return
	}
	d.mark = mark
	d.version++
	if v.Step == measure.StepPaint || v.Step == measure.StepDone {
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
	d.cups = slices.Insert(d.cups, 0, knownCup{fmt.Sprintf("cup-%d", d.cupsMade), at, v})
	d.cups = d.cups[:min(len(d.cups), cupsKept)]
}

// Found says which scale is heard. Readings of two scales are never mixed.
func (d *MeasureDesk) Found(identity string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if identity != d.identity && d.identity != "" {
		d.cups = nil
		if d.walk != nil && d.walk.Step() != measure.StepDone {
			d.end("Another scale answers now, so the measurement was ended: begin again with this one.")
		}
	}
	d.identity = identity
}

// Lost says that the scale is not heard.
func (d *MeasureDesk) Lost() {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.walk != nil {
		d.walk.Lost()
	}
}

// Batch makes the desk an audience of the bench.
func (d *MeasureDesk) Batch(b mix.Batch, _ []mix.Recorded) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.running = b.ID != "" && !b.State.Ended()
	if d.running && d.walk != nil && d.walk.Step() != measure.StepDone {
		d.end("A batch was started, so the measurement was ended: begin again when it is done.")
	}
}

// Live of the bench is nothing to a measurement.
func (d *MeasureDesk) Live(mix.Live) {}

// Health of the bench is nothing to a measurement.
func (d *MeasureDesk) Health(bench.Health) {}

func (d *MeasureDesk) end(said string) {
	d.walk, d.said = nil, said
	d.version++
}

func (d *MeasureDesk) division() scale.Mass {
	if d.config.Division != nil {
		if m := d.config.Division(); m > 0 {
			return m
		}
	}
	return d.step
}

// notNow is why nothing can be measured, "" if something can.
func (d *MeasureDesk) notNow() string {
	switch {
	case d.running:
		return "a batch is in the cup: finish it first, measuring needs the pan"
	case d.identity == "":
		return "no scale was heard yet: plug it in first"
	case d.config.Check != nil && d.config.Check.underWay():
		return "the scale is being checked: finish or cancel that first, both need the pan"
	}
	return ""
}

// underWay reports whether a check needs the scale.
func (d *CheckDesk) underWay() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.walk != nil && !d.done()
}

// do carries out a command; recipe is that of a start. A refusal is a
// *mix.Refusal; another error is of the book.
func (d *MeasureDesk) do(now time.Time, b MeasureBody, recipe mix.Recipe) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if slices.Contains(d.keys, b.Key) {
		return nil // done already
	}
	if b.Version != d.version {
		return refuseShelf(mix.RefusedStale, "the measurement has moved on since that was pressed: look again and press what fits now")
	}
	if err := d.act(now, b, recipe); err != nil {
		return err
	}
	d.keys = append(d.keys, b.Key)
	if len(d.keys) > keysKept {
		d.keys = slices.Delete(d.keys, 0, 1)
	}
	return nil
}

func (d *MeasureDesk) act(now time.Time, b MeasureBody, recipe mix.Recipe) error {
	if b.Do == measureStart {
		return d.start(now, *b.Start, recipe)
	}
	if d.walk == nil {
		return refuseShelf(mix.RefusedNotNow, "nothing is being measured: start with a component")
	}
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
		return nil
	case measureKeep:
		return d.keep(now, b.Confirm)
	}
	d.version++
	d.noticed(now)
	return nil
}
