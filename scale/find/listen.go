package find

import (
	"fmt"
	"slices"
	"time"

	"gramcup/scale"
)

// Times of listening. None is shorter than 50 ms, because adaptors for USB hold
// bytes back for up to 16 ms.
const (
	slice     = 50 * time.Millisecond
	patience  = 1500 * time.Millisecond // for a first byte: a scale may send as seldom as once a second
	hop       = 800 * time.Millisecond  // the same where something is known to send
	think     = 500 * time.Millisecond  // from the first byte until it can be called senseless
	textStays = 2 * time.Second         // for text that no shape reads
	lineStays = 3 * time.Second         // from the last line: scales pause
)

// How many bytes are enough to be judged, and of those heard last how many are.
const (
	fewBytes  = 3
	enough    = 24
	sense     = 10 // bytes of text in succession: chance makes that once in ten thousand
	mostBytes = 1536
	mostLines = 8 // more make no answer better that is not sure by then
)

// search is one run of Find.
type search struct {
	wire    Wire
	options Options
	codecs  []scale.Codec

	spent   time.Duration
	setting Setting
	since   time.Duration // when it was set
	heard   []byte        // since then, the last mostBytes
	marks   []mark
	total   int // bytes since it was set
	first   time.Duration
	before  int // lines of the same shape that were read in another view of this setting

	now     verdict // of this setting
	top     verdict // the best of all
	asking  bool
	think   time.Duration
	rounds  int // of asking at all settings
	all     int // bytes at all settings
	binary  bool
	talk    Setting // text ran longest here
	longest int
}

// mark says when heard was as long.
type mark struct {
	end  int
	when time.Duration
}

func (s *search) over() bool { return s.spent >= s.options.Most }

// set sets the line and forgets what was heard.
func (s *search) set(to Setting) error {
	s.setting, s.since, s.now, s.before = to, s.spent, verdict{setting: to, sure: NotSure}, 0
	s.heard, s.marks, s.total, s.first = nil, nil, 0, 0 // lines that were read keep their bytes
	s.tell()
	return s.wire.Set(to)
}

// tell says what is being done.
func (s *search) tell() {
	if s.options.Progress == nil {
		return
	}
	what := "listening at "
	if s.asking {
		what = "asking at "
	}
	text := what + s.setting.String()
	if n := s.lines(); n > 0 {
		text += fmt.Sprintf(": lines of the shape %s, %d so far", s.now.best.codec.Name(), n)
	}
	s.options.Progress(Step{Setting: s.setting, Asking: s.asking, Heard: s.total,
		Spent: s.spent, Most: s.options.Most, Text: text})
}

// listen waits, as far as there is time, and judges what came.
func (s *search) listen(d time.Duration) error {
	d = min(d, s.options.Most-s.spent)
	if d <= 0 {
		return nil
	}
	got, err := s.wire.Listen(d)
	if err != nil {
		return err
	}
	s.spent += d
	if len(got) == 0 {
		return nil
	}
	if s.total == 0 {
		s.first = s.spent
	}
	s.total += len(got)
	s.all += len(got)
	s.heard = append(s.heard, got...)
	s.marks = append(s.marks, mark{len(s.heard), s.spent})
	s.shorten()
	s.judge()
	s.tell()
	return nil
}

// shorten forgets the oldest bytes, a half at a time.
func (s *search) shorten() {
	drop := len(s.heard) - mostBytes
	if drop <= 0 {
		return
	}
	drop += mostBytes / 2
	s.heard = slices.Clone(s.heard[drop:])
	var kept []mark
	for _, m := range s.marks {
		if m.end > drop {
			kept = append(kept, mark{m.end - drop, m.when})
		}
	}
	s.marks = kept
}

// when tells when the byte in front of an offset came.
func (s *search) when(end int) time.Duration {
	for _, m := range s.marks {
		if m.end >= end {
			return m.when
		}
	}
	return s.spent
}

// judge looks at what was heard in every way that its setting allows.
func (s *search) judge() {
	looks := []view{view8}
	if s.setting == raw(s.setting.Baud) {
		looks = views(s.heard)
		s.binary = s.binary || scale.BinaryFrames(s.heard) != nil
	}
	best := verdict{sure: NotSure}
	for _, look := range looks {
		v := judgeView(look.apply(s.heard), s.when, s.codecs, s.before)
		v.view, v.setting = look, s.setting
		if look != view8 {
			v.setting = look.at(s.setting.Baud)
		}
		if v.setting.DataBits == 7 && v.setting.Parity == 'n' {
			v.text /= 3 // nothing checks these bits, and most of what they give is text
		}
		if v.text >= sense && v.text > s.longest {
			s.longest, s.talk = v.text, v.setting
		}
		if v.better(best) {
			best = v
		}
	}
	s.now = best
	if best.better(s.top) {
		s.top = best
	}
}

// better compares what two settings or views gave.
func (v verdict) better(o verdict) bool {
	switch {
	case (v.best == nil) != (o.best == nil):
		return v.best != nil
	case v.best == nil:
		return v.text > o.text
	case rank(v.sure) != rank(o.sure):
		return rank(v.sure) > rank(o.sure)
	}
	return v.best.worth() > o.best.worth()
}

func rank(c Certainty) int {
	switch c {
	case Sure:
		return 2
	case Likely:
		return 1
	}
	return 0
}

// lines is how many lines of the best shape were read at this setting. A single
// short number is none yet: any noise has some.
func (s *search) lines() int {
	const short = 5
	b := s.now.best
	if b == nil || b.kind == kindNumber && b.run < 2 && len(b.lines[0].piece) < short {
		return 0
	}
	return len(s.now.best.lines)
}

// done reports that there is nothing more to learn here.
func (s *search) done() bool {
	return s.now.sure == Sure && s.now.view == view8 || s.now.sure == Likely && s.lines() >= mostLines
}
