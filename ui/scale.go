package ui

import (
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"time"

	"gramcup/scale"
)

// ScaleDesk is the wire to the scale, for whoever wants to look closer. Its
// methods may be called at any time from any goroutine.
type ScaleDesk interface {
	// Wire is what is known of the connection now.
	Wire() ScaleWire
	// Codec reads the lines of the scale.
	Codec() scale.Codec
	// Since gives what came, from chunk number n on, the oldest first, and the
	// number to ask with next. What is no longer kept is missing at the front.
	Since(n uint64) (chunks []ScaleChunk, next uint64)
	// Capture writes all that is kept of what came as a capture file, with these
	// lines in its header. The error is that of w.
	Capture(w io.Writer, header ...string) error
}

// ScaleWire is the connection to the scale. All counts only rise.
type ScaleWire struct {
	Identity        string    // the name of its port
	Settings        string    // of a serial line, "9600 baud, 8n1"; "" for any other
	Connected       bool      // a scale is talking now
	Polled          bool      // it is asked for each weight
	Asked           bool      // it is asked to send
	Problem         string    // why there is no scale, a sentence; "" when there is one
	Absent          bool      // because its port is not there
	GoodFrames      uint64    // readings
	BadFrames       uint64    // pieces that were refused
	Answers         uint64    // replies that are no weight
	Reconnects      uint64    // how often the scale came back
	CommandsDropped uint64    // commands that never left
	LastFrame       time.Time // of the last good frame, zero before the first
}

// ScaleChunk is what came from the wire at once.
type ScaleChunk struct {
	N     uint64    // its number, without gaps
	At    time.Time // when it came
	Fresh bool      // the first one of a connection
	Data  []byte    // never empty; belongs to the caller
}

// scaleRoutes are those of the scale, none where no desk was given.
func (s *Server) scaleRoutes(mux *http.ServeMux) {
	if s.config.Scale == nil {
		return
	}
	s.raw = newRawView(s.config.Scale)
	mux.Handle("/api/scale", s.gets(s.scale))
	mux.Handle("/api/scale/lines", s.gets(s.scaleLines))
	mux.Handle("/api/scale/capture", s.gets(s.scaleCapture))
}

// scale tells what the scale is, how it is connected and how it behaves.
func (s *Server) scale(w http.ResponseWriter, _ *http.Request) {
	s.answer(w, http.StatusOK, s.scaleFacts(time.Now()))
}

func (s *Server) scaleFacts(now time.Time) ScaleAnswer {
	wire, codec := s.config.Scale.Wire(), s.config.Scale.Codec()
	unit, step, refused := s.raw.newest()
	division, from := s.divisionFrom(step)
	out := ScaleAnswer{
		Identity: wire.Identity, Settings: wire.Settings, Shape: codec.Name(), Connected: wire.Connected, Problem: wire.Problem, Absent: wire.Absent,
		Polled: wire.Polled, Asked: wire.Asked,
		DivisionG: division.Grams(), DivisionFrom: from, Decimals: decimalsOf(division), Unit: unit.String(),
		Manner:     mannerOf(s.config.Hub.Manner()),
		GoodFrames: wire.GoodFrames, RefusedFrames: wire.BadFrames, Answers: wire.Answers, Reconnects: wire.Reconnects,
		LastFrameAgeMS: -1, CommandsDropped: wire.CommandsDropped,
	}
	if !wire.LastFrame.IsZero() {
		out.LastFrameAgeMS = max(now.Sub(wire.LastFrame).Milliseconds(), 0)
	}
	if refused != nil {
		out.LastRefused = &ScaleRefused{
			AgeMS: max(now.Sub(refused.at).Milliseconds(), 0), Bytes: string(scale.AppendEscaped(nil, refused.bytes)), Reason: refused.reason,
		}
	}
	return out
}

// divisionFrom is the step of the scale: as it was set, or as its last decimal
// suggests.
func (s *Server) divisionFrom(step scale.Mass) (division scale.Mass, from string) {
	if s.config.Division != nil {
		division = s.config.Division()
	}
	switch {
	case division > 0:
		return division, "setting"
	case step > 0:
		return step, "decimals"
	}
	return 0, ""
}

func mannerOf(m scale.Manner) ScaleManner {
	ms := func(d time.Duration) float64 { return micro(float64(d) / float64(time.Millisecond)) }
	out := ScaleManner{
		PeriodMS: ms(m.Period), NoiseG: m.Noise.Grams(), Stills: m.Stills, SettleMS: ms(m.Settle), LagMS: ms(m.Lag),
		Steps: m.Steps, Jumps: m.Jumps, Unmarked: m.Unmarked,
	}
	if m.Period > 0 {
		out.RatePerS = math.Round(1000*float64(time.Second)/float64(m.Period)) / 1000
	}
	return out
}

// scaleLines gives what came behind line number after, and what was read of it.
func (s *Server) scaleLines(w http.ResponseWriter, r *http.Request) {
	after, err := wholeIn(r, "after", 0)
	if err == nil && after < 0 {
		err = errors.New("after is the number that the last answer gave as next, or 0")
	}
	if err != nil {
		s.refuse(w, r, http.StatusBadRequest, "bad-request", sentence(err))
		return
	}
	s.answer(w, http.StatusOK, s.raw.after(uint64(after)))
}

// scaleCapture hands out the last ten minutes as a file, for whoever is asked
// for help: it holds what the scale sent and the name of its port, and nothing
// else about the bench or its people.
func (s *Server) scaleCapture(w http.ResponseWriter, r *http.Request) {
	now := time.Now()
	h := w.Header()
	h.Set("Content-Type", "text/plain; charset=utf-8")
	h.Set("Content-Disposition", fmt.Sprintf(`attachment; filename="scale-%s.cap"`, now.Format("2006-01-02-150405")))
	h.Set("Cache-Control", "no-store")
	if r.Method == http.MethodHead {
		return
	}
	err := s.config.Scale.Capture(w,
		"what: everything that this scale sent in the ten minutes up to "+now.UTC().Format(time.RFC3339)+", byte by byte",
		"made: by gramcup "+s.config.Hub.hello.Version+", asked for on its page",
		"read: gramcup decode FILE says line by line what was understood, gramcup scale replay FILE sends it again")
	if err != nil {
		s.log.Debug("a capture was not taken to its end", "err", err, "address", addressOf(r))
	}
}
