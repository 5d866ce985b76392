package ui

import (
	"slices"
	"sync"
	"time"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/scale"
	"gramcup/scale/checkup"
)

// CheckBook keeps finished checks of scales.
type CheckBook interface {
	// KeepCheck returns only when the check is on disk. The same check twice is
	// kept once.
	KeepCheck(at mix.Stamp, r checkup.Record) (checkup.Kept, error)
	// LastCheck is the newest check of a scale; found is false if there is none.
	LastCheck(identity string) (k checkup.Kept, found bool, err error)
}

// CheckConfig is what a CheckDesk works with. Book and Stamp must be set.
type CheckConfig struct {
	Book     CheckBook
	Stamp    func(time.Time) mix.Stamp // turns a time of this run into a stamp
	Division func() scale.Mass         // the scale's step as configured, 0 or nil takes that of its readings
	Every    checkup.Every             // between two checks
}

// CheckDesk owns the check of the scale that is under way, so that every page
// sees the same one and a page that reconnects finds it as it is. It is told of
// readings beside the bench, and of the batch as an audience of it; neither
// ever waits for the disk here.
//
// A batch goes before a check: none begins while a batch is in the cup, and the
// start of a batch ends a check that is not finished. The painter who walks up
// with a tin must never find the bench taken; what a check loses is two
// minutes. One that is finished needs the scale no more and waits to be kept.
type CheckDesk struct {
	config CheckConfig

	mu       sync.Mutex // never held while the disk is asked
	identity string
	step     scale.Mass // what the last reading suggests
	running  bool       // a batch is in the cup
	walk     *checkup.Walk
	began    time.Time
	finished mix.Stamp // of a walk that is done
	count    int       // readings taken, as last seen
	version  uint64    // what a command must name
	said     string    // how the last walk ended
	keys     []string  // of the last commands
	last     *checkup.Kept
	lastOf   string // the identity that last belongs to
	lastRead bool   // the book was asked about it
}

// keysKept bounds how many commands are known again when they come twice.
const keysKept = 32

// NewCheckDesk makes a desk without a check.
func NewCheckDesk(c CheckConfig) *CheckDesk { return &CheckDesk{config: c} }

// Reading gives a reading to the check, if one is under way. It costs a lock
// that nobody holds for longer than it takes to copy the state.
func (d *CheckDesk) Reading(at time.Time, r scale.Reading) {
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

// noticed raises the version with each reading that was taken.
func (d *CheckDesk) noticed(at time.Time) {
	v := d.walk.View(at.Sub(d.began))
	if len(v.Taken) == d.count {
		return
	}
	d.count = len(v.Taken)
	d.version++
	if v.Step == checkup.StepDone {
		d.finished = d.config.Stamp(at)
	}
}

// Found says which scale is heard. A walk that began on another one ends: its
// readings belong to that.
func (d *CheckDesk) Found(identity string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.walk != nil && identity != d.identity && !d.done() {
		d.end("Another scale answers now, so the check was ended and nothing of it was kept: begin again with this one.")
	}
	d.identity = identity
}

// Lost says that the scale is not heard.
func (d *CheckDesk) Lost() {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.walk != nil {
		d.walk.Lost()
	}
}

// Batch makes the desk an audience of the bench.
func (d *CheckDesk) Batch(b mix.Batch, _ []mix.Recorded) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.running = b.ID != "" && !b.State.Ended()
	if d.running && d.walk != nil && !d.done() {
		d.end("A batch was started, so the check was ended and nothing of it was kept.")
	}
}

// Live and Health of the bench are nothing to a check.
func (d *CheckDesk) Live(mix.Live) {}

// Health of the bench is nothing to a check.
func (d *CheckDesk) Health(bench.Health) {}

func (d *CheckDesk) done() bool {
	_, ok := d.walk.Record()
	return ok
}

func (d *CheckDesk) end(said string) {
	d.walk, d.count, d.said = nil, 0, said
	d.version++
}

func (d *CheckDesk) division() scale.Mass {
	if d.config.Division != nil {
		if m := d.config.Division(); m > 0 {
			return m
		}
	}
	return d.step
}

// latest is the newest check of the scale that is heard. The book is asked
// once for each scale, outside the lock.
func (d *CheckDesk) latest() (*checkup.Kept, error) {
	d.mu.Lock()
	identity, known, last := d.identity, d.lastRead && d.lastOf == d.identity, d.last
	d.mu.Unlock()
	if known || identity == "" {
		return last, nil
	}
	k, found, err := d.config.Book.LastCheck(identity)
	if err != nil {
		return nil, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if !d.lastRead || d.lastOf != identity { // else one was kept meanwhile
		d.last, d.lastOf, d.lastRead = nil, identity, true
		if found {
			d.last = &k
		}
	}
	return d.last, nil
}

// do carries out a command. A refusal has its code and sentence; an error is
// of the book.
func (d *CheckDesk) do(now time.Time, c CheckBody, setup checkup.Setup) (*mix.Refusal, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if slices.Contains(d.keys, c.Key) {
		return nil, nil // done already
	}
	if c.Version != d.version {
		return &mix.Refusal{Code: mix.RefusedStale, Sentence: "the check has moved on since that was pressed: look again and press what fits now"}, nil
	}
	refused, err := d.act(now, c, setup)
	if refused != nil || err != nil {
		return refused, err
	}
	d.keys = append(d.keys, c.Key)
	if len(d.keys) > keysKept {
		d.keys = slices.Delete(d.keys, 0, 1)
	}
	return nil, nil
}

func (d *CheckDesk) act(now time.Time, c CheckBody, setup checkup.Setup) (*mix.Refusal, error) {
	if c.Do == checkStart {
		return d.start(now, setup), nil
	}
	if d.walk == nil {
		return &mix.Refusal{Code: mix.RefusedNotNow, Sentence: "no check is under way: start one"}, nil
	}
	switch c.Do {
	case checkBack:
		d.walk.Back()
	case checkAgain:
		d.walk.Again()
		d.began = now
	case checkCancel:
		d.end("")
		return nil, nil
	case checkThisIsIt:
		if !d.walk.ThisIsIt() {
			return &mix.Refusal{Code: mix.RefusedMoving, Sentence: "nothing that could be the weight stands still on the pan: put it on and wait until it stands"}, nil
		}
		d.noticed(now)
	case checkKeep:
		return d.keep()
	}
	d.count = len(d.walk.View(now.Sub(d.began)).Taken)
	d.version++
	return nil, nil
}

func (d *CheckDesk) start(now time.Time, setup checkup.Setup) *mix.Refusal {
	switch {
	case d.running:
		return &mix.Refusal{Code: mix.RefusedNotNow, Sentence: batchFirst}
	case d.walk != nil:
		return &mix.Refusal{Code: mix.RefusedNotNow, Sentence: "a check is under way already: finish or cancel it first"}
	case d.identity == "":
		return &mix.Refusal{Code: mix.RefusedNoScale, Sentence: "no scale was heard yet: plug it in first"}
	}
	setup.Scale, setup.Division = d.identity, d.division()
	walk, err := checkup.New(setup)
	if err != nil {
		return &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}
	}
	d.walk, d.began, d.count, d.said = walk, now, 0, ""
	d.version++
	return nil
}

// batchFirst is why no check begins during a batch.
const batchFirst = "a batch is in the cup: finish it first, a check needs the pan"

// keep puts the finished check into the book. The lock is let go meanwhile, so
// that readings do not wait for the disk; the stamp makes two presses one.
func (d *CheckDesk) keep() (*mix.Refusal, error) {
	record, ok := d.walk.Record()
	if !ok {
		return &mix.Refusal{Code: mix.RefusedNotNow, Sentence: "the check is not finished, so there is nothing to keep yet"}, nil
	}
	walk, at := d.walk, d.finished
	d.mu.Unlock()
	kept, err := d.config.Book.KeepCheck(at, record)
	d.mu.Lock()
	if err != nil {
		return nil, err
	}
	d.last, d.lastOf, d.lastRead = &kept, record.Scale, true
	if d.walk == walk {
		d.end("The check is kept in the book.")
	}
	return nil, nil
}
