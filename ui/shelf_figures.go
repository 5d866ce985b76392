package ui

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"gramcup/mix"
)

// maxFromBytes bounds the name of a sheet.
const maxFromBytes = 120

// fieldRefusal is a refusal that belongs beside a field of the form.
type fieldRefusal struct {
	*mix.Refusal
	field string
}

// Unwrap gives the refusal.
func (e *fieldRefusal) Unwrap() error { return e.Refusal }

// setFigures writes down what the sheets say, with where from and when. Where a
// figure came from can not be posted: only what was typed here has a day.
func setFigures(now time.Time, r *mix.Recipe, old mix.Recipe, b ShelfBody) error {
	from := strings.TrimSpace(b.From)
	if from == "" {
		from = sourceSheet
	}
	var known []mix.Said
	known = append(known, old.Said...)
	for _, c := range old.Components {
		known = append(known, c.Said...)
	}
	posted := slices.Clone(r.Said)
	for _, c := range r.Components {
		posted = append(posted, c.Said...)
	}
	for _, s := range posted {
		if !slices.Contains(known, s) {
			return refuseShelf(mix.RefusedOrder, "where the figure %q came from is written down here when it is typed, and is not posted", s.Figure)
		}
	}
	if err := r.SayMix(b.Mix, from, now.UnixMilli()); err != nil {
		return besideField(err, "mix")
	}
	for i := range b.Figures {
		if err := r.Components[i].Say(b.Figures[i].Typed, from, now.UnixMilli()); err != nil {
			return besideField(err, fmt.Sprint(i))
		}
	}
	return nil
}

// besideField gives a refused figure its field.
func besideField(err error, place string) error {
	refusal := &mix.Refusal{Code: mix.RefusedOrder, Sentence: err.Error()}
	var figure *mix.FigureError
	if !errors.As(err, &figure) {
		return refusal
	}
	return &fieldRefusal{refusal, string(figure.Figure) + "-" + place}
}

// refuseShelf answers a change that was refused, with its field where it has one.
func (s *Server) refuseShelf(w http.ResponseWriter, r *http.Request, err error, refusal *mix.Refusal) {
	field := ""
	var beside *fieldRefusal
	if errors.As(err, &beside) {
		field = beside.field
	}
	s.log.Debug("request refused", "code", refusal.Code, "path", r.URL.Path, "address", addressOf(r))
	s.answer(w, statusOf(refusal.Code), ShelfRefusal{Code: string(refusal.Code), Sentence: sentence(refusal), Field: field})
}

// figure says how what is typed for a figure is understood, before anything is
// put.
func (s *Server) figure(w http.ResponseWriter, r *http.Request) {
	name, text := mix.Figure(r.URL.Query().Get("figure")), r.URL.Query().Get("text")
	value, err := mix.ParseFigure(name, text)
	if err != nil {
		s.refuse(w, r, http.StatusUnprocessableEntity, string(mix.RefusedOrder), sentence(err))
		return
	}
	s.answer(w, http.StatusOK, FigureAnswer{OK: true, Text: mix.FigureText(name, value)})
}

func shelfFigures(all []mix.Told) []ShelfFigure {
	out := []ShelfFigure{}
	for _, t := range all {
		out = append(out, ShelfFigure{Figure: string(t.Figure), Text: t.Text, Typed: t.Typed, From: t.From})
	}
	return out
}
