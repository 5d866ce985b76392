package port

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"sync/atomic"
	"time"

	"gramcup/scale"
)

// tickPause is slept when a wire reads nothing without an error, as a wire
// with a read timeout of its own does. It keeps one that does so at once from
// eating the processor.
const tickPause = time.Millisecond

// reading is what the reader goroutine knows about the stream. Everything but
// bad is guarded by the Port's sinkMu.
type reading struct {
	framer  *scale.Framer
	at      time.Time // when the bytes at hand came
	now     time.Duration
	first   bool // no piece was seen since opening
	marked  bool // frames of this family carry a mark at their start
	unsaid  bool // and do not say their unit
	filled  bool // and end by the count of their bytes, filled up with zeros
	unit    scale.Unit
	foreign int // weights in a row in another unit
	gate    gate
	talk    interview
	torn    torn
	rest    rest // how long the weight has stood still
	blocks  blocks
	row     int  // pieces refused since the last good one
	ended   bool // the owner has given the connection up
	bad     atomic.Uint64
}

// begin makes the reading ready for a fresh wire.
func (rd *reading) begin(s *session) {
	rd.framer = scale.NewFramer(s.p.cfg.Codec)
	rd.first = true
	rd.marked = startMarked(s.p.cfg.Codec)
	_, rd.filled = s.p.cfg.Codec.(scale.Reversed)
	rd.unsaid = !scale.SaysUnit(s.p.cfg.Codec)
}

// startMarked finds out whether frames begin with a control character. Where
// they do, a piece that decodes is whole. Where they do not, the tail of a
// line ("2.6 g" of "412.6 g") may look like a line of its own.
func startMarked(c scale.Codec) bool {
	sample := scale.Reading{HasNumber: true, Unit: scale.UnitGram, Mode: scale.ModeGross, Motion: scale.MotionStill,
		Number: scale.Decimal{Coefficient: 4126, Places: 1, Lead: 3}}
	frame := c.Encode(nil, sample)
	return len(frame) > 0 && frame[0] < ' '
}

// reader reads until the wire fails or is closed.
func (s *session) reader() {
	defer s.workers.Done()
	buf := make([]byte, 2048)
	for {
		n, err := s.readOnce(buf)
		if n > 0 {
			s.feed(time.Now(), buf[:n])
		}
		if err != nil {
			s.readDone <- err
			return
		}
		if n == 0 {
			time.Sleep(tickPause)
		}
	}
}

// readOnce turns a panic of the wire's code into an error: the serial library
// panics when its descriptor has a number of 1024 or more, and a lost scale is
// no reason to fall down with a tin in mid-air.
func (s *session) readOnce(buf []byte) (n int, err error) {
	defer func() {
		if what := recover(); what != nil {
			n, err = 0, fmt.Errorf("reading the port failed inside: %v", what)
		}
	}()
	n, err = s.wire.Read(buf)
	if errors.Is(err, io.EOF) {
		err = errHungUp
	}
	return n, err
}

// errHungUp is the end of a stream that has no end of its own.
var errHungUp = errors.New("the other side closed the connection")

// feed takes the bytes that came at a time. It allocates nothing for good
// frames.
func (s *session) feed(at time.Time, chunk []byte) {
	s.p.recent.add(at.Sub(s.p.started), chunk)
	if s.p.record != nil {
		s.p.record.chunk(at, chunk)
	}
	s.p.sinkMu.Lock()
	defer s.p.sinkMu.Unlock()
	rd := &s.read
	if rd.ended {
		return
	}
	if s.settling.Load() {
		rd.framer.Reset()
		rd.first = true
		return
	}
	rd.at, rd.now = at, at.Sub(s.p.started)
	rd.framer.Feed(chunk)
	for {
		r, err, ok := rd.framer.Next()
		if !ok {
			return
		}
		s.piece(r, err)
	}
}

// piece takes one piece of the stream. The first one after opening is dropped
// without a word unless it is surely whole: nobody waits for us to begin
// listening, so it mostly is the rear half of a line. It is whole when it
// decodes and has a mark at its start, or when a line end came before it.
func (s *session) piece(r scale.Reading, err error) {
	rd := &s.read
	if s.dialogue(rd.framer.Piece()) {
		rd.first = false
		return
	}
	first := rd.first && rd.framer.At() == 0
	rd.first = false
	s.counted(err != nil)
	if first && (err != nil || !rd.marked) {
		s.p.count.skipped.Add(1)
		s.frameAt.Store(int64(rd.now)) // it may be half a line, but it came
		s.replied.Store(int64(rd.now))
		return
	}
	if err != nil {
		s.refusedPiece()
		if rd.filled {
			s.refuseHeld(rd.torn.count)
		}
		s.badFrame(err)
		return
	}
	if rd.row >= rubbishRow {
		s.rubbish.Store(false)
		s.nudge()
	}
	rd.row = 0
	s.alive.Store(int64(rd.now))
	s.replied.Store(int64(rd.now))
	if isAnswer(r) {
		s.answer(r)
		return
	}
	s.frames.Add(1)
	s.frameAt.Store(int64(rd.now))
	if s.trusted() {
		s.numbered(r)
	}
}

// refusedPiece counts the refused pieces in a row.
func (s *session) refusedPiece() {
	switch s.read.row++; s.read.row {
	case 1:
		s.rowFrom.Store(s.p.recent.last())
	case rubbishRow:
		s.rubbish.Store(true)
		s.nudge()
	}
}

// reading takes a frame that may be believed.
func (s *session) reading(r scale.Reading) {
	rd := &s.read
	if r.Unit == scale.UnitNone && r.HasNumber && r.Motion == scale.MotionMoving {
		// Some shapes leave the unit out while the weight moves. The last one is
		// good enough to guide a hand by; only still weights are accepted, and
		// those carry it.
		r.Unit = rd.unit
	}
	if !s.admitted(r) {
		return
	}
	if err := rd.checkUnit(r); err != nil {
		s.badFrame(err)
		s.otherUnit(r)
		return
	}
	rd.foreign = 0
	rd.rest.note(rd.now, r)
	s.p.count.good.Add(1)
	s.p.count.lastFrame.Store(int64(rd.now))
	s.welcome(rd.at)
	s.p.sink.Reading(rd.at, r)
}

// welcome tells that the scale is there, unless that was told.
func (s *session) welcome(at time.Time) {
	if s.found.Load() {
		return
	}
	s.p.count.found.Add(1)
	s.found.Store(true) // before Found, which may want to Ask
	s.p.sink.Found(at, s.name)
	s.nudge()
}

func (s *session) badFrame(err error) {
	s.read.bad.Add(1)
	s.p.count.bad.Add(1)
	s.p.sink.BadFrame(s.read.at, err)
}

func isAnswer(r scale.Reading) bool {
	switch r.Status {
	case scale.StatusUnknownCommand, scale.StatusDamagedCommand, scale.StatusInfo:
		return true
	}
	return false
}

// answer passes a reply on, unless it says that the scale does not stream:
// nobody but the owner asked for that.
func (s *session) answer(r scale.Reading) {
	if r.Status == scale.StatusUnknownCommand && scale.Request(s.asked.Load()) == scale.RequestStream {
		s.refused.Store(true)
		s.nudge()
		return
	}
	if s.said(r) {
		return
	}
	s.p.count.answers.Add(1)
	s.p.sink.Answer(s.read.at, r)
}

func (s *session) nudge() {
	select {
	case s.poke <- struct{}{}:
	default:
	}
}

// checkUnit holds every weight against the unit of the first one since the
// scale was found. Somebody who presses the unit key in the middle of a pour
// must see that, not a jump. Other readings carry no weight to mistake.
func (rd *reading) checkUnit(r scale.Reading) error {
	if _, ok := r.Weight(); !ok {
		return nil
	}
	if rd.unit == scale.UnitNone {
		rd.unit = r.Unit
	}
	if r.Unit == rd.unit {
		return nil
	}
	return &scale.FrameError{
		Piece:  []byte(r.Number.String() + " " + r.Unit.String()),
		Reason: "the scale changed its unit from " + strconv.Quote(rd.unit.String()) + " to " + strconv.Quote(r.Unit.String()) + ": set it back on the scale",
	}
}

// foreignMost is how many weights in another unit are taken for damaged lines.
const foreignMost = 1

// otherUnit keeps a scale out whose unit somebody has changed while it talks,
// as after a replug: otherwise the last weight would just grow old on the page,
// and nobody be told why. It is let in again when it shows the unit as before.
func (s *session) otherUnit(r scale.Reading) {
	rd := &s.read
	if rd.foreign++; rd.foreign <= foreignMost || s.listenOnly || s.p.known.IsZero() {
		return
	}
	g := &rd.gate
	g.open, g.places, g.unit, g.agreed = false, placesOf(r), r.Unit, 2
	rd.foreign, rd.unit = 0, scale.UnitNone
	s.judge()
}
