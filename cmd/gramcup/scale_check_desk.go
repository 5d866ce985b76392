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
func (s station) checkDesk(b *book.Book, p *parts, walks *ui.Walks) *ui.CheckDesk {
	return ui.NewCheckDesk(ui.CheckConfig{
		Book: checkBook{b, p.bench}, Every: s.CheckEvery, Walks: walks,
		Stamp: func(t time.Time) mix.Stamp { return p.bench.Stamp(t) },
	})
}

// again does something with the book, and if the disk had failed it before,
// reopens it and tries once more: while no batch runs nobody else would.
func again[T any](b *book.Book, do func() (T, error)) (T, error) {
	done, err := do()
	if !errors.Is(err, book.ErrFrozen) {
		return done, err
	}
	if err := b.Reopen(); err != nil {
		var none T
		return none, err
	}
	return do()
}

// checkBook is the book as the check wants it, see again. What a check that is
// kept says of the scatter of the scale counts from then on.
type checkBook struct {
	*book.Book
	bench *bench.Bench
}

// KeepCheck keeps a check, see ui.CheckBook.
func (c checkBook) KeepCheck(at mix.Stamp, r checkup.Record) (checkup.Kept, error) {
	kept, err := again(c.Book, func() (checkup.Kept, error) { return c.Book.KeepCheck(at, r) })
	if err == nil {
		c.bench.Checked(kept.Repeats())
	}
	return kept, err
}

// found looks up what the last check of this scale has measured of its scatter. A
// book that can not be read is said elsewhere; here it only means that nobody knows.
func (c checkBook) found(identity string) {
	k, _, err := c.LastCheck(identity)
	if err != nil {
		k = checkup.Kept{}
	}
	c.bench.Checked(k.Repeats())
}

// sharedSink hands what the port reads to the bench, and then to the desk of
// the guided walks: the live number has left by the time it looks at the reading.
type sharedSink struct {
	sink
	walks  *ui.Walks
	checks checkBook
}

// Reading is one frame, see port.Sink.
func (s sharedSink) Reading(at time.Time, r scale.Reading) {
	s.sink.Reading(at, r)
	s.walks.Reading(at, r)
}

// Found, Lost and KeptOut say whether the scale is heard.
func (s sharedSink) Found(at time.Time, identity string) {
	s.checks.found(identity)
	s.sink.Found(at, identity)
	s.walks.Found(identity)
}

// Lost says that the scale went away.
func (s sharedSink) Lost(at time.Time, reason string) {
	s.sink.Lost(at, reason)
	s.walks.Lost()
}

// KeptOut says that what answers is not let in.
func (s sharedSink) KeptOut(at time.Time, reason string, stranger bool) {
	s.sink.KeptOut(at, reason, stranger)
	s.walks.KeptOut(reason)
}
