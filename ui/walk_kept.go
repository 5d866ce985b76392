package ui

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"time"

	"gramcup/mix"
	"gramcup/mix/coating"
	"gramcup/scale"
)

// What a guided walk notes is on disk before a page shows it. A walk that was
// broken off, by a power cut, an end of the daemon, another scale or a batch,
// rests: it needs the pan no more and keeps nothing else from beginning but a
// walk of its own kind, until somebody goes on with it or puts it away.

// errSlowDisk is for a disk that has not answered yet.
var errSlowDisk = errors.New("the disk is slow")

const (
	// longPause is the rest after which a person is told what it means for the
	// weights, and asked before it goes on. Own choice: within an hour a room and
	// what stands in it change little.
	longPause = time.Hour
	// awayShown is how long a walk that was put away is offered back. It is kept
	// until another of its kind begins.
	awayShown = 10 * time.Minute
)

// The commands around a walk that rests.
const (
	walkGoOn    = "go-on"
	walkPutAway = "put-away"
	walkUndo    = "undo-put-away"
)

// walkRow is a walk as it is kept.
type walkRow struct {
	Format  int             `json:"format"`
	Scale   string          `json:"scale"`             // on which it was weighed, in words
	Answers string          `json:"answers,omitempty"` // with whose readings it goes on; "" is the same
	Loads   []string        `json:"loads,omitempty"`   // on which each weighing was; those that miss were on the same
	NotedMS int64           `json:"noted_unix_ms"`     // when it noted something last
	AwayMS  int64           `json:"put_away_unix_ms,omitempty"`
	Walk    json.RawMessage `json:"walk"`
}

// walkFormat is the version of walkRow. Fields are only ever added.
const walkFormat = 1

// story tells a walk that rests to a person, in sentences.
type story struct {
	what string // "the measuring of a cup with water", in a sentence
	far  string // how far it came
	next string // with what it goes on, and what is weighed again
	long string // what a long pause means for it
	none bool   // it had noted nothing: another one may take its place
}

// BrokenWalk is a walk that was broken off and rests.
type BrokenWalk struct {
	What    string `json:"what"`
	Said    string `json:"said"`          // that it was broken off
	Far     string `json:"far"`           // how far it came
	Next    string `json:"next"`          // with what it goes on, and what is weighed again
	NotedMS int64  `json:"noted_unix_ms"` // when it noted something last
	AgoText string `json:"ago_text"`      // how long ago that was
	Asks    string `json:"asks"`          // what to decide before it goes on, "" for nothing: go-on then has to be confirmed
	NotNow  string `json:"not_now"`       // why it can not be gone on with, a sentence or ""
	Waits   string `json:"waits"`         // what the pan is to do first, a sentence or ""
}

// Keep has the walks kept in a book from now on, and brings back what was broken
// off there. Run must run; it is called before the first reading.
func (w *Walks) Keep(book WalkBook, log *slog.Logger) error {
	bodies, err := book.Walks()
	if err != nil {
		return fmt.Errorf("read the walks that were broken off: %w", err)
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.keeper = newKeeper(book, log)
	now := time.Now()
	for _, s := range w.seats {
		for kind, body := range bodies {
			s.recall(kind, body, now)
		}
	}
	return nil
}

// Run writes down what the walks note, until ctx ends.
func (w *Walks) Run(ctx context.Context) error {
	if w.keeper != nil {
		w.keeper.run(ctx)
	}
	return nil
}

// Flush writes down what is left, once nothing is noted any more.
func (w *Walks) Flush() error {
	if w.keeper == nil {
		return nil
	}
	return w.keeper.flush()
}

// settled waits until what was noted is on disk: only then it is shown.
func (w *Walks) settled() { _ = w.keeper.settled() }

// keep has the walk that is under way written down as it is now.
func (s *seat[W]) keep(at time.Time) {
	s.weighed()
	body, err := json.Marshal(s.host.save(s.began))
	if err != nil { // made of numbers and names, so it can not happen
		return
	}
	if s.row != nil && s.row.AwayMS == 0 && bytes.Equal(s.row.Walk, body) {
		return
	}
	s.row = &walkRow{Format: walkFormat, Scale: s.onScale(), Answers: s.answers, Loads: s.loads, NotedMS: at.UnixMilli(), Walk: body}
	s.put(at)
}

// put has the row written down, or taken away where there is none.
func (s *seat[W]) put(at time.Time) {
	if s.row == nil {
		s.keeper.put(s.words.kind, nil, at)
		return
	}
	if body, err := json.Marshal(s.row); err == nil {
		s.keeper.put(s.words.kind, body, at)
	}
}

// recall brings back what was kept of this kind of walk; the seat is empty. What
// can not be read is left on disk until another walk begins.
func (s *seat[W]) recall(kind string, body []byte, now time.Time) {
	s.host.recalled(kind, body)
	if kind != s.words.kind {
		return
	}
	s.version = uint64(now.UnixMilli()) // above what a page saw before the restart
	var version struct{ Format int }
	if json.Unmarshal(body, &version) == nil && version.Format > walkFormat {
		s.said = s.words.newer
		return
	}
	var row walkRow
	if err := json.Unmarshal(body, &row); err != nil {
		s.said = s.words.unread
		return
	}
	s.row = &row
	if row.AwayMS == 0 {
		s.hold(now)
	}
}

// hold lets the walk of the row rest. One that is finished comes back as it was.
func (s *seat[W]) hold(now time.Time) {
	walk, told, err := s.host.load(s.row.Walk, now)
	if err != nil {
		s.said, s.row = s.words.unread, nil
		return
	}
	s.walk, s.began, s.story = walk, now, told
	s.answers, s.loads = cmp.Or(s.row.Answers, s.row.Scale), allOn(s.row.Loads, walk.Loads(), s.row.Scale)
	if s.host.done() {
		s.marked = s.host.mark(0)
		return
	}
	var none W
	s.rest, s.walk = walk, none
}

func (s *seat[W]) rests() bool {
	var none W
	return s.rest != none
}

// breakOff lets the walk under way rest; said is why, before "so".
func (s *seat[W]) breakOff(why string) {
	now := time.Now()
	s.keep(now)
	var none W
	s.walk, s.marked = none, nil
	s.version++
	s.hold(now)
	s.said = why + ", so " + s.words.ended + ": what it had noted is kept, and it can be gone on with."
}

// resting carries out a command around a walk that rests.
func (s *seat[W]) resting(now time.Time, do string, confirm bool) error {
	switch {
	case do == walkUndo:
		if why := s.undoNot(); why != "" {
			return refuseShelf(mix.RefusedNotNow, "%s", why)
		}
		s.row.AwayMS, s.said, s.back = 0, "", true
		s.version++
		s.hold(now)
		s.put(now)
		return nil
	case !s.rests():
		return refuseShelf(mix.RefusedNotNow, "nothing that was broken off rests here: look again")
	case do == walkPutAway:
		var none W
		s.rest, s.said, s.back, s.row.AwayMS = none, "", false, now.UnixMilli()
		s.version++
		s.put(now)
		return nil
	}
	return s.goOn(now, confirm)
}

// undoNot is why nothing that was put away can come back, "" if it can.
func (s *seat[W]) undoNot() string {
	switch {
	case s.back && s.rests():
		return "it is back already: go on with it, or put it away again"
	case s.back && s.on():
		return "it is back already, and was gone on with"
	case s.rests():
		return "nothing is put away here: what rests here was broken off after that"
	case s.on():
		return "what was put away is not there any more: another one was begun"
	case s.row == nil || s.row.AwayMS == 0:
		return "nothing is put away here any more: look again"
	}
	return ""
}

func (s *seat[W]) goOn(now time.Time, confirm bool) error {
	if r := s.notNow(); r != nil {
		return r
	}
	if why := s.host.bound(s.onScale()); why != "" {
		return refuseShelf(mix.RefusedNotNow, "%s", why)
	}
	if asks := s.asks(now); asks != "" && !confirm {
		return &mix.Refusal{Code: refusedAsk, Sentence: strings.TrimSuffix(asks, ".")}
	}
	if err := s.rest.GoOn(now.Sub(s.began)); err != nil {
		return refuseShelf(mix.RefusedMoving, "%s", strings.TrimSuffix(err.Error(), "."))
	}
	var none W
	s.walk, s.rest, s.said = s.rest, none, ""
	if s.identity != s.answers {
		s.host.onOther()
		s.answers = s.identity
	}
	s.version++
	s.marked = s.host.mark(now.Sub(s.began))
	s.row = nil // it is written anew, with the scale
	s.keep(now)
	return nil
}

// asks is what a person decides before a walk goes on: another scale, a long time.
func (s *seat[W]) asks(now time.Time) string {
	var list []string
	if why := s.asksScale(); why != "" {
		list = append(list, why)
	}
	switch pause := s.pause(now); {
	case pause < -time.Minute:
		list = append(list, "The clock was set back meanwhile, so nobody knows how long it has rested. "+s.story.long)
	case pause > longPause:
		list = append(list, fmt.Sprintf("That was %s. %s", agoText(pause), s.story.long))
	}
	return strings.Join(list, " ")
}

// pause is how long the walk has rested, by the clock on the wall.
func (s *seat[W]) pause(now time.Time) time.Duration {
	return time.Duration(now.UnixMilli()-s.row.NotedMS) * time.Millisecond
}

// agoText says how long ago something was.
func agoText(d time.Duration) string {
	count := func(n int, unit string) string {
		if n == 1 {
			return fmt.Sprintf("%d %s ago", n, unit)
		}
		return fmt.Sprintf("%d %ss ago", n, unit)
	}
	switch {
	case d < -time.Minute:
		return ""
	case d < time.Minute:
		return "less than a minute ago"
	case d < time.Hour:
		return count(int(d/time.Minute), "minute")
	case d < 48*time.Hour:
		return count(int(d/time.Hour), "hour")
	}
	return count(int(d/(24*time.Hour)), "day")
}

// broken is the walk that rests, for a page; nil if none does. The lock is held.
func (s *seat[W]) broken(now time.Time) *BrokenWalk {
	if !s.rests() {
		return nil
	}
	b := &BrokenWalk{
		What: s.story.what, Said: s.brokenText(), Far: s.story.far, Next: s.story.next, NotedMS: s.row.NotedMS,
		AgoText: agoText(s.pause(now)), Asks: s.asks(now), NotNow: s.notNowText(), Waits: s.waits(s.rest.PanTrouble(now.Sub(s.began))),
	}
	if why := s.host.bound(s.onScale()); why != "" && b.NotNow == "" {
		b.NotNow = sentence(errors.New(why))
	}
	return b
}

func (s *seat[W]) brokenText() string { return upperFirst(s.story.what) + " was broken off." }

// putAway is what was put away a moment ago and can come back, a sentence or "".
func (s *seat[W]) putAway(now time.Time) string {
	if s.row == nil || s.row.AwayMS == 0 || now.UnixMilli()-s.row.AwayMS > awayShown.Milliseconds() {
		return ""
	}
	return s.words.away
}

// startsNot is why no walk of this kind begins: one of it rests.
func (s *seat[W]) startsNot() error {
	if s.rests() && !s.story.none {
		return refuseShelf(mix.RefusedNotNow, "%s was broken off: go on with that first, or put it away", s.story.what)
	}
	return nil
}

// startNotText is why none can begin at this moment, for the page; one that is
// under way is for the page to show.
func (s *seat[W]) startNotText() string {
	if text := s.notNowText(); text != "" {
		return text
	}
	if err := s.startsNot(); err != nil {
		return sentence(err)
	}
	return ""
}

// accuracyNow is what one reading of the scale is worth; manner may be nil.
func accuracyNow(division scale.Mass, manner func() scale.Manner) coating.ScaleAccuracy {
	behaves := scale.Manner{}
	if manner != nil {
		behaves = manner()
	}
	return mix.AccuracyOf(division, behaves).ScaleAccuracy
}
