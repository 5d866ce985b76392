package ui

import (
	"encoding/json"
	"fmt"
	"time"

	"gramcup/mix"
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
	Book  CheckBook
	Stamp func(time.Time) mix.Stamp // turns a time of this run into a stamp
	Every checkup.Every             // between two checks
	Walks *Walks                    // where it takes its seat; nil is a desk of its own
}

// CheckDesk owns the check of the scale that is under way.
type CheckDesk struct {
	seat[*checkup.Walk]
	config CheckConfig

	finished mix.Stamp // of a walk that is done
	last     *checkup.Kept
	lastOf   string // the identity that last belongs to
	lastRead bool   // the book was asked about it
}

// NewCheckDesk makes a desk without a check.
func NewCheckDesk(c CheckConfig) *CheckDesk {
	d := &CheckDesk{config: c}
	d.take(c.Walks, d, walkWords{
		going: "the scale is being checked: finish or cancel that first, under Scale", needs: "a check needs the pan",
		none: "no check is under way: start one", already: "a check is under way already: finish or cancel it first",
		moved: "the check", ended: "the check was broken off",
		kind: "check", place: "scale", away: "The check that was broken off is put away.",
		unread: "A check that was broken off can not be read any more: begin again.",
		newer:  "A check was broken off under a newer version of gramcup, which this one can not read: it stays as it is until another check is begun here.", silent: mix.RefusedNoScale,
	})
	return d
}

func (d *CheckDesk) done() bool {
	_, ok := d.walk.Record()
	return ok
}

// mark is how many readings were taken.
func (d *CheckDesk) mark(at time.Duration) any { return len(d.walk.View(at).Taken) }

func (d *CheckDesk) moved(at time.Time) {
	if d.done() {
		d.finished = d.config.Stamp(at)
	}
}

// checkKept is a check as it is kept. The stamp of a finished one makes two keeps
// one, over a restart as well.
type checkKept struct {
	checkup.KeptWalk
	Boot   string `json:"finished_boot,omitempty"`
	MonoNS int64  `json:"finished_mono_ns,omitempty"`
	WallMS int64  `json:"finished_unix_ms,omitempty"`
}

func (d *CheckDesk) what() string { return "the check of the scale" }

func (d *CheckDesk) save(zero time.Time) any {
	k := checkKept{KeptWalk: d.walk.Keep(zero)}
	if d.done() {
		k.Boot, k.MonoNS, k.WallMS = d.finished.Boot, int64(d.finished.Mono), d.finished.WallMS
	}
	return k
}

func (d *CheckDesk) load(body []byte, zero time.Time) (*checkup.Walk, story, error) {
	var k checkKept
	if err := json.Unmarshal(body, &k); err != nil {
		return nil, story{}, err
	}
	walk, err := checkup.Restore(k.KeptWalk, zero)
	if err != nil {
		return nil, story{}, err
	}
	d.finished = mix.Stamp{Boot: k.Boot, Mono: time.Duration(k.MonoNS), WallMS: k.WallMS}
	return walk, story{what: d.what(), far: walk.Far(), next: walk.Next(), long: walk.Long(), none: len(k.Readings) == 0}, nil
}

func (d *CheckDesk) recalled(string, []byte) {}

// bound: the record of a check is that of one scale.
func (d *CheckDesk) bound(onScale string) string {
	if d.identity == "" || d.identity == onScale {
		return ""
	}
	return fmt.Sprintf("it is a check of the scale %s, and %s answers now: plug that one in again, or put the check away", onScale, d.identity)
}

func (d *CheckDesk) onOther() {}

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
	return d.command(c.Key, c.Version, func() error {
		switch c.Do {
		case checkStart:
			return d.start(now, setup)
		case walkGoOn, walkPutAway, walkUndo:
			return d.resting(now, c.Do, c.Confirm)
		}
		return d.during(now, func() error { return d.act(now, c.Do) })
	})
}

func (d *CheckDesk) act(now time.Time, do string) error {
	switch do {
	case checkBack:
		d.walk.Back()
	case checkAgain:
		d.walk.Again()
		d.began = now
	case checkCancel:
		d.end("")
	case checkThisIsIt:
		if !d.walk.ThisIsIt() {
			return refuseShelf(mix.RefusedMoving, "nothing that could be the weight stands still on the pan: put it on and wait until it stands")
		}
	case checkKeep:
		return d.keep()
	}
	return nil
}

func (d *CheckDesk) start(now time.Time, setup checkup.Setup) error {
	if err := d.free(); err != nil {
		return err
	}
	setup.Scale, setup.Division = d.identity, d.division()
	walk, err := checkup.New(setup)
	if err != nil {
		return &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}
	}
	d.begin(walk, now)
	return nil
}

// keep puts the finished check into the book; the stamp makes two presses one.
func (d *CheckDesk) keep() error {
	record, ok := d.walk.Record()
	if !ok {
		return refuseShelf(mix.RefusedNotNow, "the check is not finished, so there is nothing to keep yet")
	}
	at := d.finished
	return d.onDisk("The check is kept in the book.", func() error {
		kept, err := d.config.Book.KeepCheck(at, record)
		if err != nil {
			return err
		}
		d.mu.Lock()
		defer d.mu.Unlock()
		d.last, d.lastOf, d.lastRead = &kept, record.Scale, true
		return nil
	})
}
