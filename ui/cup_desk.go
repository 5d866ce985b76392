package ui

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"gramcup/mix"
	"gramcup/mix/coating"
	"gramcup/mix/measure"
	"gramcup/scale"
)

// CupBook keeps measured cups.
type CupBook interface {
	// Cups lists them by name.
	Cups() ([]mix.Cup, error)
	// PutCup returns only when the cup is on disk. The same cup twice is kept once.
	PutCup(c mix.Cup, at time.Time) error
	// TakeCup takes one off the list, BringCup brings it back; found is false
	// where there is nothing to do.
	TakeCup(id string, at time.Time) (found bool, err error)
	BringCup(id string, at time.Time) (found bool, err error)
}

// CupConfig is what a CupDesk works with. Book and NewID must be set.
type CupConfig struct {
	Book   CupBook
	NewID  func() string       // a name that no cup has
	Manner func() scale.Manner // how the scale behaves, nil is not known
	Walks  *Walks              // where it takes its seat; nil is a desk of its own
}

// CupDesk owns the cup that is being measured, and the list of those that were.
// Only a cup that was finished and named is in the list: one that was broken off
// rests until somebody goes on with it.
type CupDesk struct {
	seat[*measure.CupWalk]
	config CupConfig

	id    string // of the cup under way, drawn at its start so that two keeps are one
	setup measure.CupSetup
	calm  calmNote
	done0 time.Time
	kept  string
	taken *mix.Cup // the cup that was taken off the list last
}

// NewCupDesk makes a desk at which no cup is measured.
func NewCupDesk(c CupConfig) *CupDesk {
	d := &CupDesk{config: c}
	d.take(c.Walks, d, walkWords{
		going: "a cup is being measured with water: finish or cancel that first, under Shelf", needs: "measuring needs the pan",
		none: "no cup is being measured: start with an empty one", already: "a cup is being measured already: finish or cancel it first",
		moved: "the measurement", ended: "the measuring of the cup was broken off",
		kind: "cup", place: "shelf", away: "The cup whose measuring was broken off is put away.",
		unread: "The measuring of a cup was broken off and can not be read any more: begin again.",
		newer:  "The measuring of a cup was broken off under a newer version of gramcup, which this one can not read: it stays as it is until another cup is begun here.", silent: mix.RefusedNoScale,
	})
	return d
}

func (d *CupDesk) done() bool { return d.walk.Step() == measure.StepDone }

func (d *CupDesk) mark(at time.Duration) any {
	v := d.walk.View(at)
	return [4]any{v.Step, d.calm.of(v.Noted, d.division()), v.HeightMM, len(v.Levels)}
}

func (d *CupDesk) moved(at time.Time) {
	if d.done() {
		d.done0 = at
	}
}

// cupWalkKept is the measuring of a cup as it is kept.
type cupWalkKept struct {
	measure.KeptCup
	ID     string `json:"id"`
	DoneMS int64  `json:"done_unix_ms,omitempty"`
}

func (d *CupDesk) what() string { return "the measuring of a cup with water" }

func (d *CupDesk) save(zero time.Time) any {
	k := cupWalkKept{KeptCup: d.walk.Keep(zero), ID: d.id}
	if d.done() {
		k.DoneMS = d.done0.UnixMilli()
	}
	return k
}

func (d *CupDesk) load(body []byte, zero time.Time) (*measure.CupWalk, story, error) {
	var k cupWalkKept
	if err := json.Unmarshal(body, &k); err != nil {
		return nil, story{}, err
	}
	walk, err := measure.RestoreCup(k.KeptCup, zero)
	if err != nil {
		return nil, story{}, err
	}
	d.id, d.done0 = k.ID, time.UnixMilli(k.DoneMS)
	d.setup = walk.Setup()
	return walk, story{what: d.what(), far: k.Far(), next: k.Next(), long: k.Long(), none: k.Empty == nil}, nil
}

func (d *CupDesk) recalled(string, []byte) {}

func (d *CupDesk) bound(string) string { return "" }

// onOther has the cup reckoned with the coarser of the scales that count.
func (d *CupDesk) onOther() {
	d.walk.Other(d.division(), d.accuracy())
	d.setup = d.walk.Setup()
}

// accuracy is what one reading of the scale is worth now.
func (d *CupDesk) accuracy() coating.ScaleAccuracy { return accuracyNow(d.division(), d.config.Manner) }

// do carries out a command. A refusal has its code and sentence; an error is of
// the book.
func (d *CupDesk) do(now time.Time, b CupBody) (*mix.Refusal, error) {
	return d.command(b.Key, b.Version, func() error {
		switch b.Do {
		case cupStart:
			return d.start(now, *b.TempC)
		case cupTake, cupBring:
			return d.list(now, b.Do, b.ID)
		case walkGoOn, walkPutAway, walkUndo:
			return d.resting(now, b.Do, b.Confirm)
		}
		return d.during(now, func() error { return d.act(now, b) })
	})
}

func (d *CupDesk) start(now time.Time, tempC float64) error {
	if err := d.free(); err != nil {
		return err
	}
	setup := measure.CupSetup{TempC: tempC, Division: d.division(), Accuracy: d.accuracy()}
	walk, err := measure.NewCup(setup)
	if err != nil {
		return &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}
	}
	d.id, d.setup = d.config.NewID(), setup
	d.begin(walk, now)
	return nil
}

func (d *CupDesk) act(now time.Time, b CupBody) error {
	switch b.Do {
	case cupHeight:
		return refusedFill(d.walk.Height(*b.HeightMM))
	case cupNext:
		if b.HeightMM != nil {
			if err := d.walk.Height(*b.HeightMM); err != nil {
				return refusedFill(err)
			}
		}
		return refusedFill(d.walk.Next(b.Confirm))
	case cupEnough:
		if !d.walk.Enough() {
			return refuseShelf(mix.RefusedNotNow, "a cup is measured at %d heights or more: fill it further up", measure.LeastHeights)
		}
	case cupBack:
		d.walk.Back()
	case cupAgain:
		d.walk.Again()
	case cupCancel:
		d.end("")
	case cupKeep:
		return d.keep(now, b.Name)
	}
	return nil
}

// refusedFill is why a filling was not taken, as a refusal.
func refusedFill(err error) error {
	var refusal *coating.Refusal
	switch {
	case err == nil:
		return nil
	case errors.As(err, &refusal) && refusal.Ask:
		return refuseShelf(refusedAsk, "%s", refusal.Sentence)
	case errors.As(err, &refusal):
		return refuseShelf(mix.RefusedOrder, "%s", refusal.Sentence)
	}
	return refuseShelf(mix.RefusedMoving, "%s", err)
}

// keep puts the measured cup into the book.
func (d *CupDesk) keep(now time.Time, name string) error {
	c, ok := d.cup(strings.TrimSpace(name))
	if !ok {
		return refuseShelf(mix.RefusedNotNow, "the cup is not measured yet: take its heights first, and say when it is enough")
	}
	if err := c.Check(); err != nil {
		return &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}
	}
	return d.onDisk(fmt.Sprintf("The cup %s is kept.", c.Name), func() error {
		list, err := d.config.Book.Cups()
		if err != nil {
			return err
		}
		for _, other := range list {
			if other.ID != c.ID && strings.EqualFold(other.Name, c.Name) {
				return refuseShelf(mix.RefusedOrder, "there is a cup %s already: give this one another name", other.Name)
			}
		}
		if err := d.config.Book.PutCup(c, now); err != nil {
			return err
		}
		d.mu.Lock()
		defer d.mu.Unlock()
		d.kept = c.ID
		return nil
	})
}

// cup is the one under way under a name; ok is false before its end.
func (d *CupDesk) cup(name string) (c mix.Cup, ok bool) {
	empty, levels, ok := d.walk.Result()
	c = mix.Cup{
		ID: d.id, Name: name, AtMS: d.done0.UnixMilli(), WaterC: d.setup.TempC, EmptyG: empty.Grams(), Scale: d.onScale(),
		ReadingG: coating.ReadingUncertaintyG(d.setup.Accuracy.RepeatabilityG, d.setup.Accuracy.DivisionG),
	}
	for _, l := range levels {
		c.Fills = append(c.Fills, mix.CupFill{HeightMM: l.HeightMM, WaterG: l.Net.Grams()})
	}
	return c, ok
}

// list takes a cup off the list, or brings it back. The lock is let go
// meanwhile, so that readings do not wait for the disk.
func (d *CupDesk) list(now time.Time, do, id string) error {
	d.mu.Unlock()
	var taken *mix.Cup
	c, found, err := d.Known(id)
	switch {
	case err != nil:
	case do == cupTake && found:
		taken = &c
		found, err = d.config.Book.TakeCup(id, now)
	case do == cupBring:
		found, err = d.config.Book.BringCup(id, now)
	}
	d.mu.Lock()
	switch {
	case err != nil:
		return err
	case !found:
		return refuseShelf(mix.RefusedStale, "the list of cups was changed meanwhile, on another page perhaps: look at it again")
	}
	d.taken = taken
	return nil
}
