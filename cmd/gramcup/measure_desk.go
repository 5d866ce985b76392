package main

import (
	"errors"
	"time"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/ui"
)

// measureDesk makes the owner of a density that is measured.
func (s station) measureDesk(shelf *ui.ShelfDesk, hub *ui.Hub, check *ui.CheckDesk) *ui.MeasureDesk {
	return ui.NewMeasureDesk(ui.MeasureConfig{
		Shelf: shelf, Check: check, Manner: hub.Manner, Division: func() scale.Mass { return s.Division },
	})
}

// shelfBook reopens a book that the disk failed, and tries once more: while no
// batch runs nobody else would.
type shelfBook struct{ *book.Book }

// PutRecipe puts a recipe on the shelf, see ui.ShelfBook.
func (b shelfBook) PutRecipe(r mix.Recipe) error {
	err := b.Book.PutRecipe(r)
	if !errors.Is(err, book.ErrFrozen) {
		return err
	}
	if err := b.Reopen(); err != nil {
		return err
	}
	return b.Book.PutRecipe(r)
}

// TakeRecipe takes one off, see ui.ShelfBook.
func (b shelfBook) TakeRecipe(id string) (bool, error) {
	found, err := b.Book.TakeRecipe(id)
	if !errors.Is(err, book.ErrFrozen) {
		return found, err
	}
	if err := b.Reopen(); err != nil {
		return false, err
	}
	return b.Book.TakeRecipe(id)
}

// measuredSink hands what the port reads to the bench and the check, and then
// to whatever is measured.
type measuredSink struct {
	checkedSink
	measure *ui.MeasureDesk
}

func newMeasuredSink(b *bench.Bench, c *ui.CheckDesk, m *ui.MeasureDesk) measuredSink {
	return measuredSink{newCheckedSink(b, c), m}
}

// Reading is one frame, see port.Sink.
func (s measuredSink) Reading(at time.Time, r scale.Reading) {
	s.checkedSink.Reading(at, r)
	s.measure.Reading(at, r)
}

// Found, Lost and KeptOut say whether the scale is heard.
func (s measuredSink) Found(at time.Time, identity string) {
	s.checkedSink.Found(at, identity)
	s.measure.Found(identity)
}

// Lost says that the scale went away.
func (s measuredSink) Lost(at time.Time, reason string) {
	s.checkedSink.Lost(at, reason)
	s.measure.Lost()
}

// KeptOut says that what answers is not let in.
func (s measuredSink) KeptOut(at time.Time, reason string, stranger bool) {
	s.checkedSink.KeptOut(at, reason, stranger)
	s.measure.Lost()
}
