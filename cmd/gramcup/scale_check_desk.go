package main

import (
	"errors"
	"time"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/scale/checkup"
	"gramcup/ui"
)

// checkDesk makes the owner of the check with a test weight.
func (s station) checkDesk(b *book.Book, p *parts) *ui.CheckDesk {
	return ui.NewCheckDesk(ui.CheckConfig{
		Book: checkBook{b}, Every: s.CheckEvery,
		Stamp:    func(t time.Time) mix.Stamp { return p.bench.Stamp(t) },
		Division: func() scale.Mass { return s.Division },
	})
}

// checkBook reopens a book that the disk failed, and tries once more: while no
// batch runs nobody else would.
type checkBook struct{ *book.Book }

// KeepCheck keeps a check, see ui.CheckBook.
func (c checkBook) KeepCheck(at mix.Stamp, r checkup.Record) (checkup.Kept, error) {
	kept, err := c.Book.KeepCheck(at, r)
	if !errors.Is(err, book.ErrFrozen) {
		return kept, err
	}
	if err := c.Reopen(); err != nil {
		return checkup.Kept{}, err
	}
	return c.Book.KeepCheck(at, r)
}

// checkedSink hands what the port reads to the bench, and then to the check:
// the live number has left by the time the check looks at the reading.
type checkedSink struct {
	sink
	check *ui.CheckDesk
}

func newCheckedSink(b *bench.Bench, c *ui.CheckDesk) checkedSink { return checkedSink{sink{b}, c} }

// Reading is one frame, see port.Sink.
func (s checkedSink) Reading(at time.Time, r scale.Reading) {
	s.sink.Reading(at, r)
	s.check.Reading(at, r)
}

// Found, Lost and KeptOut say whether the scale is heard.
func (s checkedSink) Found(at time.Time, identity string) {
	s.sink.Found(at, identity)
	s.check.Found(identity)
}

// Lost says that the scale went away.
func (s checkedSink) Lost(at time.Time, reason string) {
	s.sink.Lost(at, reason)
	s.check.Lost()
}

// KeptOut says that what answers is not let in.
func (s checkedSink) KeptOut(at time.Time, reason string, stranger bool) {
	s.sink.KeptOut(at, reason, stranger)
	s.check.Lost()
}
