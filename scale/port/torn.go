package port

import (
	"fmt"
	"time"

	"gramcup/scale"
)

// Two torn frames that meet on the wire can look like one good frame from which
// a digit is gone: "ST,GS,+  41" and ".6 g" of 412.6 g are 41.6 g. No codec can
// know that; but the lines of one scale have few lengths. The rule, for every
// line with a number:
//
//  1. The lengths of the lines that were let through are counted, for each kind
//     of line apart (unit, motion, mode, sign): some scales leave the unit out
//     while the weight moves. A length seen three times is usual; and so is the
//     rest of a line, which is what is left of its length without the digits.
//     Until there is a usual length everything is let through. A kind that is
//     new is held against the lengths of all others.
//  2. A line of a usual length is let through where its kind has only that one,
//     or where the line before was as long.
//  3. Some scales honestly send longer lines for larger numbers. So a line is
//     also let through when its rest and its decimals are usual, and its number
//     has crossed the power of ten that lengthened it by less than half of it:
//     9.8 and then 10.1, 99 and then 104, but not 412 and then 41. A digit
//     that is lost in front of the point takes away far more. After a second
//     without any line the number is not compared: the scale sends rarely, and
//     anything may have happened.
//  4. Every other line is held back. When the next one is as long and its
//     number as near as in 3, both are let through, and the length is on its way
//     to being usual: a cup that was lifted, another format. Up to five lines
//     are held, so that a step through several lengths loses none of them: when
//     a line is let through, those held before it are too as far as they lie
//     between it and the one before them, or swing a tenth of the step beyond.
//     The others were torn.
//
// A kind that is new is not held up for ever by lines of other kinds in between:
// there the second of a length is enough.
//
// The limits: the first three lines ever are not compared. A loss that leaves the
// length as it was (as many bytes glued on as were lost) is not seen, nor is one
// that happens twice in the same way in a row, nor one in the middle of a step
// whose number lies within it. Where lines are of honest different lengths a loss
// that leaves the number within half a power of ten is not seen. On such a scale a
// display that really jumps over a power of ten is shown one line late, or a few
// where it rushes through several lengths; a blip of a single line is not shown,
// and neither is the last line of a scale that falls silent with such a jump.

const (
	usualCount  = 3  // sightings that make a length usual
	mostLengths = 8  // for each kind; no scale is known to have more than three
	mostKinds   = 24 // unit, motion, mode and sign in every use of one scale
	mostHeld    = 5
	rareLines   = time.Second
)

// lineKind is what lines of one length have in common.
type lineKind struct {
	unit     scale.Unit // as it was sent
	motion   scale.Motion
	mode     scale.Mode
	negative bool
	high     bool
}

// numberLine is a line with a number, as far as its length goes.
type numberLine struct {
	kind   lineKind
	size   int // bytes
	rest   int // of them no digits
	places int
	value  int64 // the digits as a whole number, with the sign
}

// measure takes the length of a piece. ok is false where there is no live
// weight to be wrong about.
//
// Frames that are found by counting their bytes have one length whatever was lost.
// There the zeros in front of the number tell it: a digit too many takes the place
// of one of them, so filled lines are measured without them. But what was too much
// is left over behind such a frame and refused at once: so a held one need not be
// confirmed by one like it, the next frame without anything between will do, and
// no honest line is lost.
func measure(piece []byte, r scale.Reading, filled bool) (l numberLine, ok bool) {
	if !r.HasNumber || r.Status > scale.StatusZero || r.Mode == scale.ModeTare {
		return numberLine{}, false
	}
	d := r.Number
	size := len(piece)
	if filled {
		digits := 1
		for n := d.Coefficient / 10; n > 0; n /= 10 {
			digits++
		}
		lead := uint8(max(1, digits-int(d.Places)))
		size, d.Lead = size-int(d.Lead)+int(lead), lead
	}
	l = numberLine{
		kind: lineKind{r.Unit, r.Motion, r.Mode, d.Negative, r.HighResolution},
		size: size, rest: size - int(d.Lead) - int(d.Places), places: int(d.Places), value: int64(d.Coefficient),
	}
	if d.Negative {
		l.value = -l.value
	}
	return l, true
}

// near reports whether one number can be the next one after the other although
// their lines differ in length: see 3. above.
func (l numberLine) near(o numberLine) bool {
	if l.places != o.places {
		return false
	}
	mine, others := l.magnitude(), o.magnitude()
	if mine == others && l.kind.negative == o.kind.negative {
		return true
	}
	distance := l.value - o.value
	return max(distance, -distance) <= max(mine, others)/2
}

// magnitude is the place value of the first digit, of at least the one in front
// of the point.
func (l numberLine) magnitude() int64 {
	m := int64(1)
	for i := 0; i < l.places || m <= max(l.value, -l.value)/10; i++ {
		m *= 10
	}
	return m
}

// tally counts sizes. When it is full the rarest one goes.
type tally [mostLengths]struct{ size, count int }

func (t *tally) add(size int) {
	rarest := 0
	for i := range t {
		if t[i].size == size && t[i].count > 0 {
			t[i].count++
			return
		}
		if t[i].count < t[rarest].count {
			rarest = i
		}
	}
	t[rarest].size, t[rarest].count = size, 1
}

// usual reports whether a size is usual, and how many sizes are.
func (t *tally) usual(size int) (is bool, sizes int) {
	for _, e := range t {
		if e.count >= usualCount {
			sizes++
			is = is || e.size == size
		}
	}
	return is, sizes
}

// lengths is what was learned about the lines of the scale on this port. It
// outlives a connection. It is guarded by sinkMu.
type lengths struct {
	kinds [mostKinds]struct {
		kind  lineKind
		sizes tally
		rests tally
	}
	used int
	all  struct{ sizes, rests tally } // of every kind
}

func (k *lengths) of(kind lineKind) (sizes, rests *tally) {
	for i := range k.used {
		if k.kinds[i].kind == kind {
			return &k.kinds[i].sizes, &k.kinds[i].rests
		}
	}
	return nil, nil
}

func (k *lengths) learn(l numberLine) {
	sizes, rests := k.of(l.kind)
	if sizes == nil && k.used < mostKinds {
		k.kinds[k.used].kind = l.kind
		sizes, rests = &k.kinds[k.used].sizes, &k.kinds[k.used].rests
		k.used++
	}
	if sizes != nil {
		sizes.add(l.size)
		rests.add(l.rest)
	}
	k.all.sizes.add(l.size)
	k.all.rests.add(l.rest)
}

// believes reports whether a line is let through by itself. before is the last
// one that was, nil for none; rare says that it came after a long silence.
func (k *lengths) believes(l numberLine, before *numberLine, rare bool) bool {
	if _, n := k.all.sizes.usual(l.size); n == 0 {
		return true
	}
	sizes, rests := k.of(l.kind)
	if sizes == nil {
		sizes, rests = &k.all.sizes, &k.all.rests
	} else if _, n := sizes.usual(l.size); n == 0 {
		sizes, rests = &k.all.sizes, &k.all.rests
	}
	usual, n := sizes.usual(l.size)
	if usual && (n == 1 || before == nil || before.size == l.size) {
		return true
	}
	explained, _ := rests.usual(l.rest)
	if !explained || before == nil {
		return false
	}
	return l.places == before.places && (rare || l.near(*before))
}

// heldLine waits for one that confirms it. One that is no live weight, such as
// the stored tare, only waits for its turn.
type heldLine struct {
	numberLine
	live    bool
	reading scale.Reading
	at      time.Time
	now     time.Duration
	bytes   [scale.MaxPiece]byte
	n       int
}

// torn holds back the lines of one connection that may be two torn ones.
type torn struct {
	off    bool       // for measuring what it is good for
	last   numberLine // that was let through
	any    bool       // last is set
	held   [2 * mostHeld]heldLine
	count  int        // of held
	live   int        // of them live weights
	odd    numberLine // the last one of a new kind that was refused
	lineAt time.Duration
}

// numbered takes a good frame and passes on what may be believed.
func (s *session) numbered(r scale.Reading) {
	rd := &s.read
	t := &rd.torn
	l, live := measure(rd.framer.Piece(), r, rd.filled)
	switch {
	case t.off:
		s.reading(r)
		return
	case !live && t.count > 0 && r.Mode == scale.ModeTare:
		s.hold(heldLine{reading: r})
		return
	case !live: // an overload is shown at once
		s.refuseHeld(t.count)
		s.reading(r)
		return
	}
	for rd.filled && t.count > 0 { // nothing was left over behind them
		h := t.held[0]
		t.dropFirst()
		s.late(h)
	}
	rare := rd.now-t.lineAt > rareLines
	t.lineAt = rd.now
	var before *numberLine
	if t.any {
		before = &t.last
	}
	switch {
	case s.p.lengths.believes(l, before, rare):
		s.release(l, false)
	case t.confirmedBy(l):
		s.release(l, true)
	case t.again(&s.p.lengths, l):
	default:
		if t.live == mostHeld {
			s.refuseHeld(1)
		}
		s.hold(heldLine{numberLine: l, live: true, reading: r})
		return
	}
	s.let(l, r)
}

// confirmedBy reports whether a line is like the last one that is held.
func (t *torn) confirmedBy(l numberLine) bool {
	for i := t.count - 1; i >= 0; i-- {
		if h := &t.held[i]; h.live {
			return h.size == l.size && h.rest == l.rest && h.near(l)
		}
	}
	return false
}

// again reports whether a line of a kind that was never let through has come
// as long before.
func (t *torn) again(k *lengths, l numberLine) bool {
	if sizes, _ := k.of(l.kind); sizes != nil {
		return false
	}
	seen := t.odd.kind == l.kind && t.odd.size == l.size && t.odd.rest == l.rest
	t.odd = l
	return seen
}

// let passes a line on and learns from it.
func (s *session) let(l numberLine, r scale.Reading) {
	s.p.lengths.learn(l)
	s.read.torn.last, s.read.torn.any = l, true
	s.reading(r)
}

func (s *session) hold(h heldLine) {
	t := &s.read.torn
	if t.count == len(t.held) {
		s.refuseHeld(1)
	}
	h.at, h.now = s.read.at, s.read.now
	h.n = copy(h.bytes[:], s.read.framer.Piece())
	t.held[t.count] = h
	t.count++
	if h.live {
		t.live++
	}
}

// release empties the queue in its order, before l is let through. The lines
// that lie on the way from the last one to l are let through; the last of them
// in any case when it is like l.
func (s *session) release(l numberLine, alike bool) {
	t := &s.read.torn
	// Where lines have one length, and not for want of other numbers, no honest
	// one is of another.
	_, sizes := s.p.lengths.all.sizes.usual(l.size)
	_, rests := s.p.lengths.all.rests.usual(l.rest)
	vary := sizes > 1 || rests <= 1
	swing := max(l.value-t.last.value, t.last.value-l.value) / 10
	for t.count > 0 {
		h := t.held[0]
		low, high := min(t.last.value, l.value)-swing, max(t.last.value, l.value)+swing
		onTheWay := vary && t.any && low <= h.value && h.value <= high || alike && t.live == 1
		if h.live && !onTheWay {
			s.refuseHeld(1)
			continue
		}
		t.dropFirst()
		s.late(h)
	}
}

// late passes a line on that was held, with the time at which it came.
func (s *session) late(h heldLine) {
	rd := &s.read
	at, now := rd.at, rd.now
	rd.at, rd.now = h.at, h.now
	if h.live {
		s.let(h.numberLine, h.reading)
	} else {
		s.reading(h.reading)
	}
	rd.at, rd.now = at, now
}

// refuseHeld gives up on the first n held lines.
func (s *session) refuseHeld(n int) {
	t := &s.read.torn
	for range n {
		h := t.held[0]
		t.dropFirst()
		if !h.live {
			s.late(h)
			continue
		}
		s.badFrame(&scale.FrameError{
			Piece: append([]byte(nil), h.bytes[:h.n]...),
			Reason: fmt.Sprintf("a line of %d bytes where this scale sends %d, with a number that does not follow: torn, or two in one; it was held back and no other like it came",
				h.size, t.last.size),
		})
	}
}

func (t *torn) dropFirst() {
	if t.held[0].live {
		t.live--
	}
	copy(t.held[:], t.held[1:t.count])
	t.count--
}
