package ui

import (
	"bytes"
	"context"
	"log/slog"
	"sync"
	"time"
)

// WalkBook keeps what guided walks have noted.
type WalkBook interface {
	// PutWalk returns only when the body is on disk, in place of the one before of
	// that kind; an empty one takes it away.
	PutWalk(kind string, body []byte, at time.Time) error
	// Walks are the bodies that were not taken away, by their kind.
	Walks() (map[string][]byte, error)
}

// keeper writes down what the walks note, beside them: a reading never waits for
// the disk, and an answer to a page does (see Walks.settled). Of each kind only
// the newest is written.
type keeper struct {
	book WalkBook
	log  *slog.Logger
	wake chan struct{} // of one: there is something to write

	writing sync.Mutex // one at a time writes, so that they keep their order

	mu     sync.Mutex
	due    map[string]keptBody
	last   map[string][]byte // what was asked for last of each kind
	asked  uint64            // how often something was
	done   uint64            // of these are on disk
	failed error             // why the last one is not
	turned chan struct{}     // closed, and made anew, when done or failed changes
}

type keptBody struct {
	body []byte
	at   time.Time
}

// Times of the keeper: when a disk that failed is tried again, and how long an
// answer waits for a slow one. A batch waits as long as it takes; a walk that was
// shown too soon would lose one weighing and not what is in a cup.
const (
	keepAgain = time.Second
	keepWait  = 3 * time.Second
)

func newKeeper(book WalkBook, log *slog.Logger) *keeper {
	return &keeper{book: book, log: log, wake: make(chan struct{}, 1), due: map[string]keptBody{}, last: map[string][]byte{}, turned: make(chan struct{})}
}

// put has a body written; the same again is not. A nil keeper keeps nothing.
func (k *keeper) put(kind string, body []byte, at time.Time) {
	if k == nil {
		return
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if before, ever := k.last[kind]; ever && bytes.Equal(before, body) {
		return
	}
	k.last[kind], k.due[kind] = body, keptBody{body, at}
	k.asked++
	select {
	case k.wake <- struct{}{}:
	default:
	}
}

// run writes until ctx ends.
func (k *keeper) run(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-k.wake:
		}
		for k.flush() != nil {
			select {
			case <-ctx.Done():
				return
			case <-time.After(keepAgain):
			}
		}
	}
}

// flush writes what is due. What could not be written stays due.
func (k *keeper) flush() error {
	k.writing.Lock()
	defer k.writing.Unlock()
	k.mu.Lock()
	due, asked := k.due, k.asked
	k.due = map[string]keptBody{}
	k.mu.Unlock()
	var failed error
	for kind, b := range due {
		err := k.book.PutWalk(kind, b.body, b.at)
		if err == nil {
			continue
		}
		failed = err
		k.log.Error("what was weighed could not be kept", "walk", kind, "err", err)
		k.mu.Lock()
		if _, newer := k.due[kind]; !newer {
			k.due[kind] = b
		}
		k.mu.Unlock()
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if failed == nil {
		k.done = asked
	}
	k.failed = failed
	close(k.turned)
	k.turned = make(chan struct{})
	return failed
}

// settled waits until everything that was asked for up to now is on disk, the
// disk has failed, or it has taken too long. The error says why it is not there.
func (k *keeper) settled() error {
	if k == nil {
		return nil
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	patience := time.NewTimer(keepWait)
	defer patience.Stop()
	for asked := k.asked; k.done < asked && k.failed == nil; {
		turned := k.turned
		k.mu.Unlock()
		select {
		case <-turned:
		case <-patience.C:
			k.mu.Lock()
			return errSlowDisk
		}
		k.mu.Lock()
	}
	return k.failed
}
