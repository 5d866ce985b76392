package ui

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"gramcup/mix"
)

// Limits of one page of the book.
const (
	bookDefault = 50
	bookMost    = 200
)

// shelf lists the recipes.
func (s *Server) shelf(w http.ResponseWriter, r *http.Request) {
	recipes, err := s.config.Shelf.Recipes()
	if err != nil {
		s.failed(w, r, "list the shelf", err)
		return
	}
	out := ShelfAnswer{Recipes: []ShelfRecipe{}}
	for _, recipe := range recipes {
		out.Recipes = append(out.Recipes, shelfRecipe(recipe))
	}
	s.answer(w, http.StatusOK, out)
}

func shelfRecipe(r mix.Recipe) ShelfRecipe {
	out := ShelfRecipe{
		ID: r.ID, Name: r.Name, Note: r.Note, Basis: string(r.Basis), Ratio: mix.RatioText(r),
		PotLifeMin: r.PotLifeMin, CupUsable: r.CupUsableML, Components: []ShelfComponent{}, Uses: notNil(r.Uses), Stage: string(r.Stage()),
		Revision: revisionOf(r), Recipe: r, Figures: shelfFigures(r.ToldOfMix(time.Now())),
	}
	film := r.UsualFilm()
	out.UsualCoats, out.UsualDryUM = film.Coats, film.DryUM
	for i, c := range r.Components {
		out.Components = append(out.Components, ShelfComponent{
			Name: c.Name, Role: string(c.Role), Share: mix.ShareText(r, i),
			DensityGML: c.Density.GPerML, ReferenceC: c.Density.ReferenceC, AsGiven: c.Density.AsGiven, Source: c.Density.Source,
			Tolerance: c.Tolerance, PricePerL: c.PricePerL,
			SinceMS: c.Density.SinceMS, UncertaintyGML: c.Density.UncertaintyGML, Kind: string(componentKind(c)),
			Figures: shelfFigures(c.Told(time.Now())),
		})
	}
	return out
}

// book lists ended batches, the newest first.
func (s *Server) book(w http.ResponseWriter, r *http.Request) {
	limit, err := wholeIn(r, "limit", bookDefault)
	var before int64
	if err == nil {
		before, err = wholeIn(r, "before", 0)
	}
	if err == nil && (limit < 1 || limit > bookMost || before < 0) {
		err = fmt.Errorf("limit is from 1 to %d, before a Unix time in milliseconds", bookMost)
	}
	if err != nil {
		s.refuse(w, r, http.StatusBadRequest, "bad-request", sentence(err))
		return
	}
	rows, err := s.config.History.Summaries(int(limit), before)
	if err != nil {
		s.failed(w, r, "list the book", err)
		return
	}
	out := BookAnswer{Batches: []BookBatch{}}
	for _, row := range rows {
		out.Batches = append(out.Batches, bookBatch(row))
	}
	s.answer(w, http.StatusOK, out)
}

func wholeIn(r *http.Request, name string, otherwise int64) (int64, error) {
	text := r.URL.Query().Get(name)
	if text == "" {
		return otherwise, nil
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		return 0, fmt.Errorf("%s is %q: give a whole number", name, text)
	}
	return n, nil
}

func bookBatch(m mix.Summary) BookBatch {
	out := BookBatch{
		Batch: m.Batch, RecipeID: m.RecipeID, Recipe: m.Recipe, Outcome: string(m.Outcome), OnTheLine: m.OnTheLine,
		StartedMS: m.Started.WallMS, EndedMS: m.Ended.WallMS, DurationMS: m.Ended.Since(m.Started).Milliseconds(),
		LevelUps: m.LevelUps, TotalG: micro(m.TotalG), TotalML: micro(m.TotalML), Components: []BookLine{},
		JobText: m.Job.Text(), Index: micro(m.Index),
	}
	for _, l := range m.Components {
		out.Components = append(out.Components, BookLine{
			Name: l.Name, Role: string(l.Role), TargetG: micro(l.TargetG), PouredG: micro(l.PouredG), ErrorG: micro(l.ErrorG),
			VolumeML: micro(l.VolumeML), Line: string(l.Line), Kept: l.Kept,
			Ratio: micro(l.Ratio), PlusMinus: micro(l.PlusMinus), RatioText: mix.RatioPlusMinus(l.Ratio, l.PlusMinus),
			DensityGML: micro(l.DensityGML), Source: l.Source, Provenance: l.Provenance(time.UnixMilli(m.Ended.WallMS)),
		})
	}
	return out
}

// trace unpacks the weight trace of a batch. What can not be read of a damaged
// one is left out, and the answer says so.
func (s *Server) trace(w http.ResponseWriter, r *http.Request) {
	batch := r.URL.Query().Get("batch")
	if batch == "" || len(batch) > maxIDBytes {
		s.refuse(w, r, http.StatusBadRequest, "bad-request", "Say which batch: ?batch= and its name.")
		return
	}
	packed, err := s.config.History.Trace(batch)
	if err != nil {
		s.failed(w, r, "read a trace", err)
		return
	}
	points, err := mix.UnpackTrace(packed)
	out := TraceAnswer{Batch: batch, Points: [][2]float64{}, Damaged: errors.Is(err, mix.ErrTrace)}
	if len(points) > 0 {
		out.BeganMS = points[0].WallMS
	}
	for _, p := range points {
		out.Points = append(out.Points, [2]float64{float64(p.WallMS - out.BeganMS), p.Net.Grams()})
	}
	s.answer(w, http.StatusOK, out)
}

// demo drives the simulated painter.
func (s *Server) demo(w http.ResponseWriter, r *http.Request) {
	var body DemoBody
	if err := decodeStrict(r.Body, &body); err != nil {
		s.refuseBody(w, r, err)
		return
	}
	switch {
	case body.Do == "pour" && body.Fault == "":
		s.config.Demo.Pour(true)
	case body.Do == "pause" && body.Fault == "":
		s.config.Demo.Pour(false)
	case body.Do == "fault":
		s.demoAnswer(w, r, s.config.Demo.Fault(body.Fault))
		return
	case (slices.Contains([]string{"cup", "lift", "tip"}, body.Do) || strings.HasPrefix(body.Do, "fill-")) && body.Fault == "":
		s.demoAnswer(w, r, s.config.Demo.Hand(body.Do, body.FlowGS))
		return
	default:
		s.refuse(w, r, http.StatusBadRequest, "bad-request", "Do is pour, pause, cup, lift, tip, fill-water or fill- and a role, or fault with the fault's name.")
		return
	}
	s.demoAnswer(w, r, nil)
}

func (s *Server) demoAnswer(w http.ResponseWriter, r *http.Request, err error) {
	if err != nil {
		s.refuse(w, r, http.StatusUnprocessableEntity, "bad-order", sentence(err))
		return
	}
	s.answer(w, http.StatusOK, Answer{OK: true})
}
