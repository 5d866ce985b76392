package find

import (
	"bytes"
	"time"

	"gramcup/scale"
)

// How many lines make a shape believable. Five in all and three of them in
// succession; with a checksum three, because chance does not make three.
const (
	linesSure   = 5
	linesLikely = 3
	runNeeded   = 3
)

// line is a whole line that a codec read.
type line struct {
	piece   []byte
	reading scale.Reading
	when    time.Duration // when its end came, to the length of a slice
}

// score is what one codec made of what was heard.
type score struct {
	codec   scale.Codec
	lines   []line // those with a number that is a weight, in a unit or in none
	others  int    // whole lines without one
	refused int    // pieces that it refused, between its first line and its last
	run     int    // most lines in succession
	kind    kind
	trips   int  // lines that it would write just so
	units   int  // lines that it reads a unit in
	says    bool // the unit is on the line, not a setting
	against float64
}

// full is enough to be a candidate.
func (s *score) full() bool { return len(s.lines) >= linesLikely && s.run >= runNeeded }

// whole counts the lines that were read, and what they are worth together: a run
// shows that nothing was left out.
func (s *score) worth() int { return len(s.lines) + s.run }

// verdict is what was made of everything heard at one setting.
type verdict struct {
	setting Setting
	view    view
	best    *score
	rest    []*score // other full candidates
	open    []*score // those of rest that read it differently and can not be ruled out
	similar []*score // those that read all of it alike, but would not always
	choice  []*score // those that read another weight of the same print
	sure    Certainty
	text    int  // the longest run of text
	asked   bool // the lines came only when they were asked for
	before  int  // lines that were read before the framing was set
}

// judgeView lets every codec read the bytes and picks the best.
func judgeView(data []byte, when func(int) time.Duration, codecs []scale.Codec, before int) verdict {
	v := verdict{sure: NotSure, text: textRun(data)}
	var all []*score
	for _, c := range codecs {
		if s := read(c, data, when); len(s.lines) > 0 {
			all = append(all, s)
		}
	}
	full := all[:0:0]
	for _, s := range all {
		if s.full() {
			s.weigh()
			full = append(full, s)
		}
	}
	if len(full) == 0 {
		for _, s := range all {
			if v.best == nil || s.worth() > v.best.worth() {
				v.best = s
			}
		}
		if v.best != nil {
			v.best.weigh()
		}
		return v
	}
	v.pick(full)
	for _, s := range all {
		if !s.full() && otherWeight(v.best, s) {
			v.choice = append(v.choice, s)
		}
	}
	v.settle(before)
	return v
}

// read lets one codec read.
func read(c scale.Codec, data []byte, when func(int) time.Duration) *score {
	s := &score{codec: c}
	run, waiting := 0, 0
	for used := 0; used < len(data); {
		advance, piece, _ := c.Split(data[used:], false)
		if advance == 0 {
			break
		}
		used += advance
		if piece == nil {
			continue
		}
		r, err := c.Decode(piece)
		switch {
		case err != nil:
			run = 0
			if len(s.lines) > 0 {
				waiting++
			}
		case !isWeight(r):
			s.others++
		default:
			run++
			s.run = max(s.run, run)
			s.refused, waiting = s.refused+waiting, 0
			s.lines = append(s.lines, line{piece: piece, reading: r, when: when(used)})
		}
	}
	return s
}

// isWeight reports a number of a live weight, whether or not its unit is known.
func isWeight(r scale.Reading) bool {
	return r.HasNumber && r.Status <= scale.StatusZero && r.Mode != scale.ModeTare
}

// weigh finds out what else can be said about a candidate.
func (s *score) weigh() {
	s.kind = kindOf(s.codec, s.lines[len(s.lines)-1].piece)
	s.says = saysUnit(s.codec)
	s.against = against(s.lines)
	var buf [2 * scale.MaxPiece]byte
	for _, l := range s.lines {
		if bytes.Equal(s.codec.Encode(buf[:0], l.reading), l.piece) || sameBody(s.codec.Encode(buf[:0], l.reading), l.piece) {
			s.trips++
		}
		if l.reading.Unit != scale.UnitNone {
			s.units++
		}
	}
}

// sameBody compares without line ends, because Split may leave a part of them.
func sameBody(a, b []byte) bool {
	return bytes.Equal(bytes.TrimRight(a, "\r\n"), bytes.TrimRight(b, "\r\n"))
}

// pick chooses the best of the candidates.
func (v *verdict) pick(full []*score) {
	v.best = full[0]
	for _, s := range full[1:] {
		if s.beats(v.best) {
			v.best = s
		}
	}
	for _, s := range full {
		if s != v.best {
			v.rest = append(v.rest, s)
		}
	}
}

// beats compares by what is hardest to come by chance, then by what says most,
// then by who would write just these bytes.
func (s *score) beats(o *score) bool {
	switch {
	case s.rulesOut(o) != o.rulesOut(s):
		return s.rulesOut(o)
	case s.kind != o.kind:
		return s.kind > o.kind
	case max(len(s.lines), len(o.lines))-min(len(s.lines), len(o.lines)) > 1: // one may just wait for its end
		return len(s.lines) > len(o.lines)
	case max(s.trips, o.trips)-min(s.trips, o.trips) > 1:
		return s.trips > o.trips
	case max(s.units, o.units)-min(s.units, o.units) > 1:
		return s.units > o.units
	}
	return s.says && !o.says
}

// rulesOut reports that o can not be what the scale speaks, if s can.
func (s *score) rulesOut(o *score) bool {
	const clearly = 1.6 // times the lines
	switch {
	case s.kind == kindChecksum && o.kind != kindChecksum:
		return true
	case o.kind == kindNumber && s.kind != kindNumber:
		return true
	case o.against >= 2 && o.against >= 4*s.against:
		return true
	case s.against >= 2 && s.against >= 4*o.against:
		return false
	}
	return float64(len(s.lines)) >= clearly*float64(len(o.lines))
}

// settle says how sure the best is.
func (v *verdict) settle(before int) {
	v.before = before
	b := v.best
	for _, o := range v.rest {
		switch {
		case b.rulesOut(o):
		case otherWeight(b, o):
			v.choice = append(v.choice, o)
		case !readsAlike(b, o):
			v.open = append(v.open, o)
		case o.trips >= b.trips && misses(o.codec, b.lines) < 2 && !readsAll(o.codec, b.codec) && !readsAll(b.codec, o.codec):
			v.similar = append(v.similar, o)
		}
	}
	n := len(b.lines) + before
	enough := n >= linesSure || b.kind == kindChecksum
	clean := b.refused <= len(b.lines)/2
	switch {
	case len(v.open) > 0:
		v.sure = NotSure
	case b.kind == kindNumber && !b.tellsMuch():
		v.sure = NotSure
	case enough && clean && len(v.similar) == 0 && len(v.choice) == 0 && b.kind != kindNumber && b.against < 2:
		v.sure = Sure
	default:
		v.sure = Likely
	}
}

// tellsMuch asks more of lines that hold a number and nothing else: half a line
// of another shape is one, and so may be a line of a modem or a bar code.
func (s *score) tellsMuch() bool {
	const long, two = 1500 * time.Millisecond, 2
	last := s.lines[len(s.lines)-1]
	longest, changes, alike := 0, false, 0
	for _, l := range s.lines {
		longest = max(longest, len(bytes.TrimRight(l.piece, "\r\n\x03")))
		changes = changes || l.reading.Number != s.lines[0].reading.Number
		if l.reading.Number.Places == last.reading.Number.Places {
			alike++
		}
	}
	n := len(s.lines)
	return s.run >= linesSure && alike >= n-n/4 && s.refused <= n/2 && last.when-s.lines[0].when >= long &&
		(longest > two || longest == two && (changes || n >= mostLines))
}
