package simulator

import (
	"bytes"
	"time"

	"gramcup/scale"
)

// stepWait is how long a scale waits for the next step of its dialogue before
// it gives up (common practice, no source).
const stepWait = time.Second

// line is the scale's side of its interface: it sends frames and obeys
// requests, at the seam of bytes.
type line struct {
	codec     scale.Codec
	out       queue
	in        []byte
	lostIn    int  // bytes from the host that found no room
	due       bool // the display was written: time for a frame
	always    bool // sends without being asked
	asked     bool // sends because it was asked to, until the next request
	last      []byte
	about     pager
	info      pager
	answersNo bool // this family can say that it does not know a request
	prints    bool // a frame is a print of gross and net

	// A scale with a dialogue does not answer a request for the weight with the
	// weight but with prompt, and sends it when the host has replied with next.
	prompt, next []byte
	stepUntil    time.Duration // the weight is due with next; 0 when it is not
}

func newLine(o Options) *line {
	l := &line{codec: o.Codec, always: !o.OnRequest, about: aboutPages(o), info: infoPages(o)}
	l.answersNo = l.codec != nil && l.says(scale.Reading{Status: scale.StatusUnknownCommand})
	l.prompt, l.next = dialogue(o.Codec)
	l.prints = printed(o.Codec)
	return l
}

// dialogue finds what a scale with a dialogue says when it is asked and what
// the host has to reply; both are nil for a scale that answers at once.
func dialogue(c scale.Codec) (prompt, next []byte) {
	host, ok := c.(scale.Replier)
	if !ok {
		return nil, nil
	}
	prompt = c.Encode(nil, scale.Reading{Status: scale.StatusInfo})
	return prompt, host.Reply(prompt)
}

// says reports whether this family of lines has a frame for a reading that is
// no number.
func (l *line) says(r scale.Reading) bool {
	heard, err := l.codec.Decode(l.codec.Encode(nil, r))
	return err == nil && heard.Status == r.Status
}

// reset is what a lost power or a reset request leaves.
func (l *line) reset() {
	l.in, l.asked, l.stepUntil = l.in[:0], false, 0
	l.about.rewind()
	l.info.rewind()
}

// hear takes bytes from the host. What does not fit is lost and counted: a
// scale has a short memory.
func (l *line) hear(p []byte) {
	n := min(len(p), maxRequest-len(l.in))
	l.in = append(l.in, p[:n]...)
	l.lostIn += len(p) - n
}

// step answers what was asked and sends the frame that is due.
func (l *line) step(b *Bench) {
	due := l.due
	l.due = false
	if l.codec == nil {
		return
	}
	if !b.talks() {
		l.in = l.in[:0]
		return
	}
	for len(l.in) > 0 {
		request, n := l.codec.ParseRequest(l.in)
		if n <= 0 {
			break
		}
		raw := l.in[:n]
		l.replied(b, raw)
		l.obey(b, request, raw)
		l.in = append(l.in[:0], l.in[n:]...)
	}
	if due && (l.always || l.asked) {
		l.sendWeight(b)
	}
}

// replied sends the weight that was asked for when the host has taken the next
// step in time.
func (l *line) replied(b *Bench, raw []byte) {
	if l.next != nil && b.now < l.stepUntil && bytes.Contains(raw, l.next) {
		l.stepUntil = 0
		l.sendWeight(b)
	}
}

func (l *line) obey(b *Bench, request scale.Request, raw []byte) {
	if request != scale.RequestUnknown {
		l.asked = request == scale.RequestStream
	}
	switch request {
	case scale.RequestWeight, scale.RequestStream:
		if l.next != nil {
			l.stepUntil = b.now + stepWait
			l.send(b, l.prompt)
			return
		}
		l.sendWeight(b)
	case scale.RequestZero:
		b.cell.zero()
		l.sendWeight(b)
	case scale.RequestTare:
		b.cell.tare()
		l.sendWeight(b)
	case scale.RequestClearTare:
		b.cell.clearTare()
		l.sendWeight(b)
	case scale.RequestReset:
		l.about.rewind()
		l.info.rewind()
	case scale.RequestAbout:
		l.about.rewind()
		l.page(b, &l.about)
	case scale.RequestAboutNext:
		l.page(b, &l.about)
	case scale.RequestInfo:
		l.info.rewind()
		l.page(b, &l.info)
	case scale.RequestInfoNext:
		l.page(b, &l.info)
	case scale.RequestUnknown:
		// Noise between requests is passed over without a word; only a whole
		// line that makes no sense is answered.
		if l.answersNo && len(raw) > 1 && raw[len(raw)-1] == '\r' {
			l.refuse(b)
		}
	}
}

func (l *line) refuse(b *Bench) {
	l.send(b, l.codec.Encode(nil, scale.Reading{Status: scale.StatusUnknownCommand}))
}

// sendWeight sends what the display shows. Where the display shows an error
// that these lines have no word for, nothing is sent.
func (l *line) sendWeight(b *Bench) {
	unit := b.options.Unit
	if b.faults.on(FaultWrongUnit, b.now) {
		unit = scale.UnitOunce
	}
	frame := l.last
	if len(frame) == 0 || !b.faults.on(FaultStuck, b.now) {
		r := b.cell.reading(unit)
		b.cell.tareError = false // shows once
		if !r.HasNumber && !l.says(r) {
			return
		}
		if frame = l.codec.Encode(nil, r); l.prints {
			frame = l.print(b, unit)
		}
	}
	l.last = frame
	l.send(b, frame)
}

// send gives a frame to the line, with what the line does to it.
func (l *line) send(b *Bench, frame []byte) {
	frame = b.faults.garble(append([]byte(nil), frame...), b.now)
	l.out.push(frame, b.faults.on(FaultChopped, b.now))
}

func (l *line) page(b *Bench, p *pager) {
	text, ok := p.next()
	if !ok {
		l.refuse(b)
		return
	}
	l.send(b, append(append([]byte{'\n'}, text...), '\r'))
}
