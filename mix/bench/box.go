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
	b.box.mu.Lock()
	b.box.news, b.box.newsAt, b.box.reason = ScaleLost, at, reason
	b.box.full = false // what it said last is not true any more
	b.box.mu.Unlock()
	b.box.ring()
}

// Found says that it can be heard.
func (b *Bench) Found(at time.Time, identity string) {
	b.box.mu.Lock()
	b.box.news, b.box.newsAt, b.box.identity = ScaleFound, at, identity
	b.box.mu.Unlock()
	b.box.ring()
}

func (x *box) ring() {
	select {
	case x.bell <- struct{}{}:
	default:
	}
}
