package ui

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"gramcup/mix"
	"gramcup/scale"
)

// guided is a pure walk through weighings.
type guided interface {
	comparable
	Take(at time.Duration, r scale.Reading)
	Lost()
	// PanTrouble is what the pan is to do before a walk that was broken off goes
	// on, a sentence or "". GoOn goes on with it, or gives that as an error.
	PanTrouble(at time.Duration) string
	GoOn(at time.Duration) error
	// Loads counts the weighings that count for the walk, in their order.
	Loads() int
}

// host is what only the desk of one kind of walk knows about it. All of it is
// called with the lock held; done, what, mark, moved, save and onOther only during a walk.
type host[W any] interface {
	// done tells that the walk needs the scale no more.
	done() bool
	// what names the walk in a sentence: "the measuring of a cup with water".
	what() string
	// mark is a comparable value. Another one means that the walk has moved on,
	// and that a press meant for what was on screen before is refused.
	mark(at time.Duration) any
	// moved follows each new mark.
	moved(at time.Time)
	// save is what the walk has noted, to be kept as JSON; zero is the moment from
	// which it counts. load makes a walk of it again, which rests until it is gone
	// on with, or is finished.
	save(zero time.Time) any
	load(body []byte, zero time.Time) (W, story, error)
	// recalled is told of everything that was kept, also of other kinds.
	recalled(kind string, body []byte)
	// bound is why a walk of this scale can not go on with the one that answers,
	// without a capital and a full stop; "" if it can. onOther says that it does.
	bound(onScale string) string
	onOther()
}

// walkWords are the sentences of one kind of walk, without a capital and a full
// stop.
type walkWords struct {
	kind    string // under which it is kept
	place   string // of the page
	unread  string // what was kept of it can not be read, a whole sentence
	newer   string // a newer version kept it, a whole sentence
	away    string // it was put away, a whole sentence
	going   string // what goes on, and how to end it
	needs   string // why no batch may be in the cup
	none    string // there is no walk
	already string // there is one
	moved   string // what has moved on
	ended   string // it was broken off, after "so"
	// silent is the code of the refusal before any scale was heard.
	silent mix.RefusalCode
}

// seat is the place of one kind of walk at the desk: the walk under way, the
// version that a command must name, the keys of the last commands, and how the
// last walk ended.
type seat[W guided] struct {
	*Walks
	host  host[W]
	words walkWords

	walk    W // the zero value while there is none
	began   time.Time
	marked  any // the last mark
	version uint64
	said    string
	keys    []string

	answers string   // the scale with whose readings it goes on
	loads   []string // on which scale each of its weighings was
	row     *walkRow // as it is kept; nil for none
	rest    W        // a walk that was broken off; there is no other then
	story   story    // of it
	back    bool     // the walk was put away and brought back
}

// keysKept bounds how many commands are known again when they come twice.
const keysKept = 32

// take makes the seat part of its desk; nil is a desk of its own.
func (s *seat[W]) take(w *Walks, h host[W], words walkWords) {
	if w == nil {
		w = NewWalks(nil)
	}
	s.Walks, s.host, s.words = w, h, words
	w.sit(s)
}

func (s *seat[W]) on() bool {
	var none W
	return s.walk != none
}

// busy tells that there is a walk and that it needs the scale.
func (s *seat[W]) busy() bool { return s.on() && !s.host.done() }

func (s *seat[W]) reading(at time.Time, r scale.Reading) {
	switch {
	case s.on():
		s.walk.Take(at.Sub(s.began), r)
		s.noticed(at)
	case s.rests():
		s.rest.Take(at.Sub(s.began), r)
	}
}

// noticed raises the version when the walk has moved on.
func (s *seat[W]) noticed(at time.Time) {
	mark := s.host.mark(at.Sub(s.began))
	if mark == s.marked {
		return
	}
	s.marked = mark
	s.weighed()
	s.version++
	s.host.moved(at)
	s.keep(at)
}

func (s *seat[W]) lost() {
	switch {
	case s.on():
		s.walk.Lost()
	case s.rests():
		s.rest.Lost()
	}
}

func (s *seat[W]) scaleGone(first bool) {
	switch {
	case s.busy() && !first:
		s.breakOff("Another scale answers now")
	case s.rests():
		s.hold(time.Now()) // what the other one showed is nothing to it
		s.version++        // what there is to decide may be something else
	}
}

func (s *seat[W]) batchBegan() {
	if s.busy() {
		s.breakOff("A batch was started")
	}
}

func (s *seat[W]) going() string {
	if s.busy() {
		return s.words.going
	}
	return ""
}

// begin seats a walk that was just made.
func (s *seat[W]) begin(walk W, now time.Time) {
	var none W
	s.walk, s.rest, s.began, s.said, s.row, s.back = walk, none, now, "", nil, false
	s.answers, s.loads = s.identity, nil
	s.marked = s.host.mark(0)
	s.version++
	s.keep(now)
}

// end takes the walk away; said is how it ended.
func (s *seat[W]) end(said string) {
	var none W
	s.walk, s.marked, s.said, s.row = none, nil, said, nil
	s.back = false
	s.version++
	s.put(time.Now())
}

// notNow is why no walk of this kind can begin, with its code; nil if one can.
// One of the same kind that is under way is for free to tell.
func (s *seat[W]) notNow() *mix.Refusal {
	switch {
	case s.running || s.starting > 0:
		return &mix.Refusal{Code: mix.RefusedNotNow, Sentence: "a batch is in the cup: finish it first, " + s.words.needs}
	case s.keptOut != "":
		return &mix.Refusal{Code: s.words.silent, Sentence: strings.TrimSuffix(s.keptOut, ".")}
	case s.identity == "":
		return &mix.Refusal{Code: s.words.silent, Sentence: "no scale was heard yet: plug it in first"}
	case s.busy():
		return nil
	}
	if why := s.Walks.going(); why != "" {
		return &mix.Refusal{Code: mix.RefusedNotNow, Sentence: why}
	}
	return nil
}

// notNowText is the same as a sentence for the page.
func (s *seat[W]) notNowText() string {
	if r := s.notNow(); r != nil {
		return sentence(r)
	}
	return ""
}

// free is why no walk can begin at this moment, nil if one can.
func (s *seat[W]) free() error {
	if r := s.notNow(); r != nil {
		return r
	}
	if s.on() {
		return refuseShelf(mix.RefusedNotNow, "%s", s.words.already)
	}
	return s.startsNot()
}

// command carries out what a page asks, once for each key and only on the
// version that it was decided on. A refusal has its code and sentence; an error
// is of the book.
func (s *seat[W]) command(key string, version uint64, act func() error) (*mix.Refusal, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if slices.Contains(s.keys, key) {
		return nil, nil // done already
	}
	if version != s.version {
		return &mix.Refusal{Code: mix.RefusedStale, Sentence: s.words.moved + " has moved on since that was pressed: look again and press what fits now"}, nil
	}
	err := act()
	var refusal *mix.Refusal
	switch {
	case errors.As(err, &refusal):
		return refusal, nil
	case err != nil:
		return nil, err
	}
	s.keys = append(s.keys, key)
	if len(s.keys) > keysKept {
		s.keys = slices.Delete(s.keys, 0, 1)
	}
	return nil, nil
}

// during runs a command that needs a walk, and notices where it led.
func (s *seat[W]) during(now time.Time, act func() error) error {
	if !s.on() {
		return refuseShelf(mix.RefusedNotNow, "%s", s.words.none)
	}
	if err := act(); err != nil || !s.on() {
		return err
	}
	s.version++
	s.noticed(now)
	s.keep(now)
	return nil
}

// onDisk keeps what a walk has found. The lock is let go meanwhile, so that
// readings do not wait for the disk; said ends the walk unless it went on.
func (s *seat[W]) onDisk(said string, keep func() error) error {
	walk := s.walk
	s.mu.Unlock()
	err := keep()
	s.mu.Lock()
	if err == nil && s.walk == walk {
		s.end(said)
	}
	return err
}

// refusedWalk answers a command that was not done, and reports whether it was
// such; what is what could not be kept.
func (s *Server) refusedWalk(w http.ResponseWriter, r *http.Request, what string, refusal *mix.Refusal, err error) bool {
	switch {
	case err != nil:
		s.log.Error("what was weighed could not be kept", "what", what, "err", err)
		s.refuse(w, r, http.StatusServiceUnavailable, "book", "The "+what+" could not be kept, it is still here: "+err.Error()+".")
	case refusal != nil:
		s.refuse(w, r, statusOf(refusal.Code), string(refusal.Code), sentence(refusal))
	}
	return err != nil || refusal != nil
}

// checkWalkCommand refuses a key that is none, and what is not among the
// commands of a walk.
func checkWalkCommand(key, do string, known ...string) error {
	switch {
	case key == "" || len(key) > maxKeyBytes || !printable(key):
		return fmt.Errorf("the command needs a key of 1 to %d printable characters, a new one for each decision", maxKeyBytes)
	case !slices.Contains(known, do):
		return fmt.Errorf("the command %q is not known: it is one of %v", do, known)
	}
	return nil
}
