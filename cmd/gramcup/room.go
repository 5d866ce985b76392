package main

import (
	"context"
	"time"

	"gramcup/mix/bench"
	"gramcup/mix/book"
)

// roomEvery is how often it is looked whether the disk has room for the book: a
// full one must be known before a cup stands on the scale.
const roomEvery = 15 * time.Second

// roomWatch tells the bench whether the next entry will find its place.
type roomWatch struct {
	book  *book.Book
	bench *bench.Bench
}

// run looks at once and then at intervals, until ctx ends.
func (w roomWatch) run(ctx context.Context) error {
	tick := time.NewTicker(roomEvery)
	defer tick.Stop()
	for {
		err := w.book.Room()
		if err != nil {
			err = told{err}
		}
		w.bench.Room(err)
		select {
		case <-ctx.Done():
			return nil
		case <-tick.C:
		}
	}
}
