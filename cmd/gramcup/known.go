package main

import (
	"context"
	"encoding/json"
	"log/slog"
	"time"

	"gramcup/mix/book"
	"gramcup/scale/port"
)

// scaleMemory keeps the known scale in the book. The port hands it over while
// bytes wait, so the disk is the business of a goroutine of its own; of several
// that wait the newest is enough.
type scaleMemory struct {
	book *book.Book
	log  *slog.Logger
	box  chan port.Known // of one
}

func newScaleMemory(b *book.Book, log *slog.Logger) *scaleMemory {
	return &scaleMemory{book: b, log: log, box: make(chan port.Known, 1)}
}

// recall is the scale that the book knows. One that can not be read is none: a
// bench that does not start helps nobody, and the scale that answers first is
// then remembered anew.
func (m *scaleMemory) recall() (k port.Known) {
	body, _, ok, err := m.book.KnownScale()
	if ok && err == nil {
		err = json.Unmarshal(body, &k)
	}
	if err != nil {
		m.log.Error("the known scale could not be read from the book, the next one that answers is taken for it", "error", err)
		return port.Known{}
	}
	return k
}

// remember never waits. It is called by one goroutine at a time.
func (m *scaleMemory) remember(k port.Known) {
	select {
	case <-m.box: // an older one
	default:
	}
	m.box <- k
}

// run writes until ctx ends, and then what is still in the box.
func (m *scaleMemory) run(ctx context.Context) error {
	for {
		select {
		case k := <-m.box:
			m.write(k)
			continue
		case <-ctx.Done():
		}
		select {
		case k := <-m.box:
			m.write(k)
		default:
		}
		return nil
	}
}

func (m *scaleMemory) write(k port.Known) {
	body, err := json.Marshal(k)
	if err == nil {
		err = m.book.PutKnownScale(body, time.Now())
	}
	if err != nil {
		m.log.Error("the known scale could not be written into the book", "error", err)
	}
}
