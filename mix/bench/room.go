package bench

import "errors"

// Room says whether the next entry will find its place on the disk: err is why
// not, nil that it will. It never blocks. Nothing is refused for it: whether an
// entry can be written only the entry itself shows.
func (b *Bench) Room(err error) {
	b.box.mu.Lock()
	b.box.room, b.box.roomTold = err, true
	b.box.mu.Unlock()
	b.box.ring()
}

// tellRoom shows what was said of the disk, unless an entry that was not written
// is the better reason.
func (b *Bench) tellRoom(err error) {
	room := ""
	if err != nil {
		room = "The book may not take its next entry: " + shortOf(err)
	}
	if room == b.room {
		return
	}
	if b.room = room; err != nil {
		b.cfg.Log.Error("the next entry of the book may not be written", "error", err)
	} else {
		b.cfg.Log.Info("there is room for the book again")
	}
	if b.doubt == "" {
		b.health.Book = room
		b.cfg.Audience.Health(b.health)
	}
}

// shortOf is the few words that an error has for a page, or else all of it.
func shortOf(err error) string {
	if s, ok := errors.AsType[interface {
		error
		Short() string
	}](err); ok && s.Short() != "" {
		return s.Short()
	}
	return err.Error()
}
