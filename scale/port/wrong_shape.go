package port

import (
	"bytes"
	"errors"
	"fmt"

	"gramcup/scale"
)

// A shape that asks for little also reads parts of another one: the status line of
// a polled scale is a bare number, and its 00 would be shown as 0 g while every
// line with the weight is refused. So the pieces of a stream are counted in
// blocks, and where a good part of a block is refused, a shape is looked for that
// reads all of it. If there is one, the setting is wrong, and nothing that is read
// with it is a weight. A damaged line has no such shape, and its good readings go
// on.
const (
	firstBlock = 6
	nextBlock  = 12
	// refusedPart of a block is reason to look, in tenths: a polled scale has one
	// half, one with a longer print a third.
	refusedPart = 3
)

// blocks is what is known of the pieces of a connection. It is guarded by sinkMu.
type blocks struct {
	pieces, refused int    // of the block at hand
	from            uint64 // chunk in which it began
	later           bool   // it is not the first one
	wrong           string // the sentence on the shape; "" while it may be right
}

// suspicious reports that so much of the block was refused that it is worth a look.
func (b *blocks) suspicious() bool {
	return b.refused > 0 && 10*b.refused >= refusedPart*b.pieces
}

// counted notes a piece of the stream.
func (s *session) counted(refused bool) {
	b := &s.read.blocks
	if b.pieces == 0 {
		b.from = s.p.recent.last()
	}
	b.pieces++
	if refused {
		b.refused++
	}
	if b.pieces < firstBlock || b.later && b.pieces < nextBlock {
		return
	}
	switch {
	case b.refused == 0:
		b.wrong = ""
	case b.wrong == "" && b.refused < b.pieces && b.suspicious():
		s.lookAtShape()
	}
	b.pieces, b.refused, b.later = 0, 0, true
}

// lookAtShape finds out whether another shape reads everything that came in this
// block. If so, the scale is lost until the lines are those that were set.
func (s *session) lookAtShape() {
	b := &s.read.blocks
	other := readsAll(s.p.recent.tail(b.from, sampleBytes), s.p.cfg.Codec)
	if other == "" {
		return
	}
	mine := s.p.cfg.Codec.Name()
	b.wrong = fmt.Sprintf("many of its lines can not be read as %s, and %s reads them all: no weight is shown, because what is read as %s may be no weight; set the line shape to %s, or let gramcup scale find look for it",
		mine, other, mine, other)
	s.read.torn = torn{off: s.read.torn.off}
	refused := s.endRefusal() // what it said of its unit was no word of it
	s.read.gate = gate{}
	if s.found.Swap(false) || refused {
		s.p.sink.Lost(s.read.at, b.wrong)
	}
	s.nudge()
}

// trusted reports whether a good piece may go on. Where a bare number is a line,
// nearly anything is one, so there the first of them wait until few enough are
// refused: a weight that was shown can not be taken back.
func (s *session) trusted() bool {
	b := &s.read.blocks
	switch {
	case b.wrong != "":
		return false
	case s.found.Load() || b.later || !barely(s.p.cfg.Codec):
		return true
	}
	return !b.suspicious()
}

// barely reports whether a shape asks for hardly more than a number: one that
// somebody described may.
func barely(c scale.Codec) bool {
	switch c := c.(type) {
	case scale.Bare:
		return c.Width == 0 && !c.Dollar
	case *scale.Own:
		return true
	}
	return false
}

// noticeShape lets the owner say, once, that the shape is wrong.
func (s *session) noticeShape() {
	s.p.sinkMu.Lock()
	wrong := s.read.blocks.wrong
	s.p.sinkMu.Unlock()
	if wrong != "" {
		s.logged = false
		s.p.report(errors.New(wrong))
	}
}

// readsAll names a shape that reads each piece of a sample but the first, which
// may be cut, and at least so many weights; "" if none does.
func readsAll(sample []byte, codec scale.Codec) string {
	for _, c := range append(scale.Codecs(), scale.Variants()...) {
		if c.Name() == codec.Name() {
			continue
		}
		f := scale.NewFramer(c)
		f.Feed(sample)
		good, first := 0, true
		for {
			r, err, ok := f.Next()
			if !ok {
				break
			}
			if err != nil && !first && len(bytes.Trim(f.Piece(), "\r\n")) > 0 {
				good = 0
				break
			}
			first = false
			if err == nil && r.HasNumber {
				good++
			}
		}
		if good >= goodLines {
			return c.Name()
		}
	}
	return ""
}
