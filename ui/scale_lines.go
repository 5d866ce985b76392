package ui

import (
	"errors"
	"strings"
	"sync"
	"time"

	"gramcup/scale"
)

// Bounds of the raw view.
const (
	linesKept   = 400 // a page shows half of them
	linesAtOnce = 200
	// chunksAtOnce bounds what one look decodes: whoever looks for the first
	// time finds ten minutes of chunks, and wants only the last of them.
	chunksAtOnce = 1000
	// lineMost bounds the bytes of a line: the longest piece, and as much again
	// of line ends in front of it that carry nothing.
	lineMost = 2 * scale.MaxPiece
)

// The kinds of ScaleLine.
const (
	kindWeight  = "weight"
	kindNone    = "none"
	kindAnswer  = "answer"
	kindRefused = "refused"
	kindCut     = "cut"
	kindOpened  = "opened"
)

// rawLine is a line as it is kept; it becomes a ScaleLine when somebody looks.
type rawLine struct {
	at      time.Time
	kind    string
	bytes   []byte
	reading scale.Reading
	reason  string
}

// rawView cuts what came from the scale into lines and reads each, with the
// same framer and codec as the port. It works only while somebody looks, and
// keeps the last lines for all who do.
type rawView struct {
	desk ScaleDesk

	mu      sync.Mutex
	framer  *scale.Framer
	pending []byte // bytes that are in no line yet
	shown   int64  // offset of the stream where pending begins
	next    uint64 // chunk to ask for
	first   bool   // no piece was seen since the connection began
	unit    scale.Unit
	last    scale.Unit // of the last weight
	lines   []rawLine  // line n lies at n % linesKept
	count   uint64     // of all lines ever
	refused *rawLine   // the last one
}

func newRawView(desk ScaleDesk) *rawView {
	v := &rawView{desk: desk}
	v.restart()
	return v
}

// restart begins with a fresh stream.
func (v *rawView) restart() {
	v.framer = scale.NewFramer(v.desk.Codec())
	v.pending, v.shown, v.first, v.unit = v.pending[:0], 0, true, scale.UnitNone
}

// look takes what came since the last look. It is called with the lock held.
func (v *rawView) look() {
	chunks, next := v.desk.Since(v.next)
	if skip := len(chunks) - chunksAtOnce; skip > 0 {
		chunks = chunks[skip:]
	}
	for i := range chunks {
		c := &chunks[i]
		switch {
		case c.Fresh:
			v.cut(c.At)
			v.restart()
			v.add(rawLine{at: c.At, kind: kindOpened})
		case c.N != v.next: // bytes are missing in between
			v.restart()
		}
		v.next = c.N + 1
		v.feed(c)
	}
	v.next = next
}

// cut shows what a connection that ended has left behind.
func (v *rawView) cut(at time.Time) {
	if len(v.pending) > 0 {
		v.add(rawLine{at: at, kind: kindCut, bytes: v.take(len(v.pending)), reason: "the connection ended in the middle of it"})
	}
}

func (v *rawView) feed(c *ScaleChunk) {
	v.pending = append(v.pending, c.Data...)
	v.framer.Feed(c.Data)
	for r, err, ok := v.framer.Next(); ok; r, err, ok = v.framer.Next() {
		v.piece(c.At, r, err)
	}
}

// piece makes a line of one piece, with the line ends in front of it. Whoever
// opens a connection comes into the middle of a line, so a first piece that
// makes no sense is nobody's fault.
func (v *rawView) piece(at time.Time, r scale.Reading, err error) {
	begin, end := v.framer.At(), v.framer.End()
	line := rawLine{at: at, bytes: v.take(int(end - v.shown)), reading: r, kind: kindOf(r)}
	v.shown = end
	cut := v.first && begin == 0
	v.first = false
	if err == nil {
		err = v.checkUnit(r)
	}
	var fault *scale.FrameError
	switch {
	case err == nil:
	case cut:
		line.kind, line.reason = kindCut, "the rear part of a line: its beginning came before this"
	case errors.As(err, &fault):
		line.kind, line.reason = kindRefused, fault.Reason
	default:
		line.kind, line.reason = kindRefused, err.Error()
	}
	v.add(line)
}

// checkUnit holds a weight against the first of its connection, as the port does.
func (v *rawView) checkUnit(r scale.Reading) error {
	if _, ok := r.Weight(); !ok {
		return nil
	}
	if v.unit == scale.UnitNone {
		v.unit = r.Unit
	}
	if r.Unit == v.unit || r.Unit == scale.UnitNone {
		v.last = v.unit
		return nil
	}
	return errors.New("the scale changed its unit from " + v.unit.String() + " to " + r.Unit.String() + ": set it back on the scale")
}

// anyUnit goes by the unit of the next weight: a person has taken the scale as it
// is.
func (v *rawView) anyUnit() {
	v.mu.Lock()
	defer v.mu.Unlock()
	v.look()
	v.unit = scale.UnitNone
}

// take moves n bytes from pending into a line of their own.
func (v *rawView) take(n int) []byte {
	n = min(n, len(v.pending))
	taken := append([]byte(nil), v.pending[max(0, n-lineMost):n]...)
	v.pending = append(v.pending[:0], v.pending[n:]...)
	return taken
}

func (v *rawView) add(l rawLine) {
	if len(v.lines) < linesKept {
		v.lines = append(v.lines, l)
	} else {
		v.lines[v.count%linesKept] = l
	}
	v.count++
	if l.kind == kindRefused {
		v.refused = &l
	}
}

// after gives the lines from number n on.
func (v *rawView) after(n uint64) ScaleLinesAnswer {
	v.mu.Lock()
	defer v.mu.Unlock()
	v.look()
	out := ScaleLinesAnswer{Lines: []ScaleLine{}, Next: v.count}
	n = min(n, v.count) // a page of an earlier run of the daemon
	from := max(n, v.count-min(v.count, linesAtOnce))
	out.Missed = from > n
	for ; from < v.count; from++ {
		out.Lines = append(out.Lines, lineOf(from, &v.lines[from%linesKept]))
	}
	return out
}

// newest gives the unit that was read last, the step that the last weight
// suggests, and the last refused line, nil for none.
func (v *rawView) newest() (unit scale.Unit, step scale.Mass, refused *rawLine) {
	v.mu.Lock()
	defer v.mu.Unlock()
	v.look()
	for n := v.count; n > v.count-min(v.count, linesKept) && step == 0; n-- {
		l := &v.lines[(n-1)%linesKept]
		if l.kind == kindWeight {
			step = l.reading.Step()
		}
	}
	return v.last, step, v.refused
}

func kindOf(r scale.Reading) string {
	if _, ok := r.Weight(); ok {
		return kindWeight
	}
	switch r.Status {
	case scale.StatusUnknownCommand, scale.StatusDamagedCommand, scale.StatusInfo:
		return kindAnswer
	}
	return kindNone
}

func lineOf(n uint64, l *rawLine) ScaleLine {
	out := ScaleLine{N: n, AtMS: l.at.UnixMilli(), Kind: l.kind, Bytes: string(scale.AppendEscaped(nil, l.bytes)), Reason: l.reason}
	if l.kind != kindWeight && l.kind != kindNone && l.kind != kindAnswer {
		return out
	}
	r := l.reading
	out.Mode, out.Status = r.Mode.String(), r.Status.String()
	if r.HasNumber {
		out.Value = strings.TrimSpace(r.Number.String() + " " + r.Unit.String())
	}
	out.Motion = [...]string{"", "still", "moving"}[r.Motion%3]
	return out
}
