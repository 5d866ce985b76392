package bench

import (
	"sync"
	"time"

	"gramcup/scale"
)

// box is the mailbox between the port and the bench: the newest reading and
// the newest word about the scale. A reading that was not fetched is replaced
// by the next, because an old weight is worth nothing; stillness is therefore
// judged by time and never by a number of readings.
type box struct {
	bell chan struct{} // of one: rung when something is in the box

	mu      sync.Mutex
	at      time.Time
	reading scale.Reading
	full    bool

	news     ScaleState // "" when there is none
	newsAt   time.Time
	identity string
	reason   string
	keptOut  bool // the reason is a whole sentence on a scale that is kept out
	stranger bool
	room     error // why the next entry may not be written, where roomTold
	roomTold bool
	trouble  string // why nothing is heard, newer than news; "" when there is nothing new
}

// Offer hands over a reading; it never blocks.
func (b *Bench) Offer(at time.Time, r scale.Reading) {
	b.box.mu.Lock()
	b.box.at, b.box.reading, b.box.full = at, r, true
	b.box.mu.Unlock()
	b.box.ring()
}

// Lost says that the scale can not be heard any more.
func (b *Bench) Lost(at time.Time, reason string) {
	b.lost(at, reason, false, false)
}

// KeptOut says that a scale answers and is not let in, with a sentence that
// says why: for the bench its own scale is lost. stranger tells that it is
// another one, which a person may take on.
func (b *Bench) KeptOut(at time.Time, reason string, stranger bool) {
	b.lost(at, reason, true, stranger)
}

func (b *Bench) lost(at time.Time, reason string, keptOut, stranger bool) {
	b.box.mu.Lock()
	b.box.news, b.box.newsAt, b.box.reason = ScaleLost, at, reason
	b.box.keptOut, b.box.stranger, b.box.trouble = keptOut, stranger, ""
	b.box.full = false // what it said last is not true any more
	b.box.mu.Unlock()
	b.box.ring()
}

// Trouble says why no scale is heard: before any was, or when the reason that
// Lost gave has become another. It is only told to people and changes no batch.
func (b *Bench) Trouble(_ time.Time, reason string) {
	b.box.mu.Lock()
	b.box.trouble = reason
	b.box.mu.Unlock()
	b.box.ring()
}

// Found says that it can be heard.
func (b *Bench) Found(at time.Time, identity string) {
	b.box.mu.Lock()
	b.box.news, b.box.newsAt, b.box.identity, b.box.trouble = ScaleFound, at, identity, ""
	b.box.mu.Unlock()
	b.box.ring()
}

func (x *box) ring() {
	select {
	case x.bell <- struct{}{}:
	default:
	}
}
