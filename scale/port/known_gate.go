package port

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"gramcup/scale"
)

// Stranger is a scale that answers on the line and is not the one that is
// known.
type Stranger struct {
	Reason string // a sentence with the way on
	Seen   Known  // what Take would accept
}

// StrangerSink is a Sink that is also told of a scale that is kept out. Like
// Lost it may come when the scale is lost already, and it ends with the next
// Found or Lost. Nothing that such a scale says is passed on.
type StrangerSink interface {
	Sink
	// KeptOut gives the reason as a sentence with the way on. stranger is
	// false for the known scale in another unit, which is not to be taken but
	// set back.
	KeptOut(at time.Time, reason string, stranger bool)
}

// ErrNoStranger is the error of Take when no scale is kept out.
var ErrNoStranger = errors.New("no other scale answers on the line: there is nothing to take on")

// Pacing of the gate.
const (
	// gateWait is how long readings without a weight are held back: they tell
	// nothing about the scale, but an overload has to be seen.
	gateWait = 300 * time.Millisecond
	// swapTime is a silence in which somebody may have moved the plug to
	// another scale. Other decimals after it are looked at anew; without it
	// they are the coarser steps of a scale with two ranges.
	swapTime = time.Second
	// mostPlaces bounds what is learned: no scale has more ranges.
	mostPlaces = 4
)

// gate stands between a decoded frame and the Sink. It is guarded by sinkMu.
type gate struct {
	open   bool
	passed int // decimals of the last weight that passed
	places int // of the last one that had to be looked at, and
	unit   scale.Unit
	agreed int  // so many in a row were of that kind
	looked bool // since is set
	since  time.Duration
	about  []string
	kept   string // why the scale is kept out, "" while it is not
	unsaid unsaid // of the unit, where the lines do not say it
}

// admitted reports whether a good frame may go on to the Sink. It costs
// nothing once the scale is known.
func (s *session) admitted(r scale.Reading) bool {
	g := &s.read.gate
	m, weight := r.Weight()
	places := placesOf(r)
	switch {
	case s.listenOnly: // a recording is no scale
		return true
	case !s.read.talk.over && s.read.talk.sent != scale.RequestUnknown:
		return false // it may say at once that it is another one
	case g.open && (!weight || places == g.passed || r.Unit != s.read.unit):
		g.agreed = 0
		g.unsaid.note(m, weight)
		return true // another unit is refused elsewhere
	case !weight:
		return s.weightless()
	}
	if places != g.places || r.Unit != g.unit {
		g.places, g.unit, g.agreed = places, r.Unit, 0
	}
	g.agreed++
	pass := false
	if g.open {
		pass = s.otherStep(places, m)
	} else {
		pass = s.judge()
	}
	if pass {
		g.passed, g.agreed = places, 0
		g.unsaid.note(m, weight)
	}
	return pass
}

// placesOf are the decimals of the display; one more may be sent than it has.
func placesOf(r scale.Reading) int {
	n := int(r.Number.Places)
	if r.HighResolution && n > 0 {
		n--
	}
	return n
}

// weightless holds back what can not be compared, for a while. From a scale
// that is kept out nothing is passed.
func (s *session) weightless() bool {
	g := &s.read.gate
	if !g.looked {
		g.looked, g.since = true, s.read.now
	}
	return g.kept == "" && (s.p.known.IsZero() || s.found.Load() || s.read.now-g.since >= gateWait)
}

// otherStep is a weight with other decimals from a scale that had passed. The
// first one is held back: a frame torn in two can look like it.
func (s *session) otherStep(places int, m scale.Mass) bool {
	g := &s.read.gate
	before := slices.Contains(s.p.known.Places, places)
	quiet := s.read.now-time.Duration(s.p.count.lastFrame.Load()) >= swapTime
	doubt := !quiet && s.doubtful(places, m, before)
	switch {
	case before && !doubt:
		return true
	case quiet:
		g.open = false
		return s.judge()
	case g.agreed < 2:
		return false
	case doubt:
		s.doubtUnit()
		return false
	case len(s.p.known.Places) >= mostPlaces:
		return false
	}
	s.p.learn(func(k *Known) { k.Places = append(k.Places, places) })
	return true
}

// judge compares the scale with the one that is known. Two frames that agree
// are needed to keep one out, one is enough to let it in.
func (s *session) judge() bool {
	g, p := &s.read.gate, s.p
	seen := s.fingerprint()
	if p.known.IsZero() {
		g.open = true
		p.learn(func(k *Known) { *k = seen })
		return true
	}
	what, why := p.known.Compare(seen)
	switch {
	case s.stillDoubted():
		if g.agreed == 2 {
			s.doubtUnit()
		}
	case what == SameScale:
		s.letIn(seen)
		return true
	case g.agreed == 2 || g.agreed > 2 && g.kept == "":
		s.keepOut(what, why, seen)
	}
	s.read.unit = scale.UnitNone // what it shows next is looked at anew
	return false
}

func (s *session) fingerprint() Known {
	g := &s.read.gate
	places := g.places
	if g.open {
		places = g.passed
	}
	return Known{
		Identity: s.name, USB: s.usb, Shape: s.p.cfg.Codec.Name(), Unit: g.unit.String(),
		Places: []int{places}, About: g.about,
	}
}

// letIn opens the gate for the known scale and notes what is new about it.
func (s *session) letIn(seen Known) {
	s.read.gate.open, s.read.gate.kept = true, ""
	s.read.gate.unsaid.doubted = 0
	s.p.refusal = nil
	k := s.p.known
	more := k.unsaid(seen.About)
	if k.Identity == seen.Identity && k.USB == seen.USB && more == nil {
		return
	}
	s.p.learn(func(k *Known) {
		k.Identity, k.USB, k.About = seen.Identity, seen.USB, append(slices.Clone(k.About), more...)
	})
}

// keepOut keeps a scale out that is not as it was known.
func (s *session) keepOut(what Difference, why string, seen Known) {
	reason := "Another scale answers on this line: " + why + ". Put the old one back, or take this one on the Scale page."
	switch {
	case what == OtherUnit:
		reason = fmt.Sprintf("The scale shows %s, before it showed %s. Set it back to %s on the scale, or keep it in %s on the Scale page.", seen.Unit, s.p.known.Unit, s.p.known.Unit, seen.Unit)
	case s.read.unsaid && s.p.known.compareSteps(seen) != "":
		reason = fmt.Sprintf("Another scale answers on this line, or this one in another unit than %s, which its lines do not say: %s. Put the old one back, set its unit back, or take this one on the Scale page if it shows %s.",
			seen.Unit, why, seen.Unit)
	}
	s.shut(refusal{stranger: Stranger{Reason: reason, Seen: seen}, unitOnly: what == OtherUnit, session: s})
}

// shut shuts the gate and tells why. A scale that had been let in is lost.
func (s *session) shut(r refusal) {
	reason := r.stranger.Reason
	g := &s.read.gate
	g.open = false
	if g.kept == reason {
		return
	}
	g.kept = reason
	s.p.refusal = &r
	if s.found.Swap(false) {
		s.p.sink.Lost(s.read.at, reason)
	}
	if sink, ok := s.p.sink.(StrangerSink); ok {
		sink.KeptOut(s.read.at, reason, !r.unitOnly)
	}
	s.nudge()
}

// heardAbout takes the lines in which the scale has described itself. They may
// tell at once that it is another one. The caller holds sinkMu.
func (s *session) heardAbout(lines []string) {
	g := &s.read.gate
	if g.about = keepTelling(lines); g.about == nil || s.listenOnly || s.p.known.IsZero() || g.unit == scale.UnitNone {
		return // the first weight will be judged with them
	}
	seen := s.fingerprint()
	switch what, why := s.p.known.Compare(seen); {
	case what != SameScale:
		s.keepOut(what, why, seen)
	case g.open:
		s.letIn(seen)
	}
}

// noticeGate lets the owner say, once, that a scale is kept out.
func (s *session) noticeGate() {
	s.p.sinkMu.Lock()
	reason := s.read.gate.kept
	s.p.sinkMu.Unlock()
	if reason != "" {
		s.logged = false
		s.p.report(errors.New(reason))
	}
}

// endRefusal forgets the scale that was kept out on this connection, and
// reports whether there was one. The caller holds sinkMu.
func (s *session) endRefusal() bool {
	if r := s.p.refusal; r == nil || r.session != s {
		return false
	}
	s.p.refusal = nil
	return true
}

// keptOut reports whether a scale was kept out on this connection.
func (s *session) keptOut() bool {
	s.p.sinkMu.Lock()
	defer s.p.sinkMu.Unlock()
	return s.read.gate.kept != ""
}

// refusal is the scale that is kept out now.
type refusal struct {
	stranger Stranger
	unitOnly bool
	session  *session
}

// learn changes what is known and hands it on. The caller holds sinkMu.
func (p *Port) learn(change func(*Known)) {
	change(&p.known)
	slices.Sort(p.known.Places)
	if p.cfg.Remember != nil {
		p.cfg.Remember(p.known.clone())
	}
}

func (k Known) clone() Known {
	k.Places, k.About = slices.Clone(k.Places), slices.Clone(k.About)
	return k
}

// Known is the scale that this Port lets in; ok is false while there is none.
func (p *Port) Known() (k Known, ok bool) {
	p.sinkMu.Lock()
	defer p.sinkMu.Unlock()
	return p.known.clone(), !p.known.IsZero()
}

// Stranger is the scale that answers now and is kept out because it is not the
// one that is known; ok is false when there is none. A known scale that shows
// another unit is no stranger.
func (p *Port) Stranger() (who Stranger, ok bool) {
	p.sinkMu.Lock()
	defer p.sinkMu.Unlock()
	if p.refusal == nil || p.refusal.unitOnly {
		return Stranger{}, false
	}
	who = p.refusal.stranger
	who.Seen = who.Seen.clone()
	return who, true
}

// Take accepts the scale that is kept out as the known one from now on, also
// one that only shows another unit, and lets it in at once. It is for an
// explicit act of a person. ErrNoStranger if none is kept out.
func (p *Port) Take() error {
	p.sinkMu.Lock()
	defer p.sinkMu.Unlock()
	r := p.refusal
	if r == nil {
		return ErrNoStranger
	}
	p.refusal = nil
	p.learn(func(k *Known) { *k = r.stranger.Seen.clone() })
	s, g := r.session, &r.session.read.gate
	g.open, g.kept, g.passed, g.agreed, g.unsaid = true, "", g.places, 0, unsaid{}
	s.welcome(time.Now())
	return nil
}
