package ui

import (
	"errors"
	"fmt"
	"net/http"
	"time"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// greyPoints is how many points of a fitted line a page gets.
const greyPoints = 49

// greyRoutes are the undercoats, where there is a desk for them.
func (s *Server) greyRoutes(mux *http.ServeMux) {
	if s.config.Grey == nil {
		return
	}
	mux.HandleFunc("/api/grey", either(s.gets(s.greys), s.postsUpTo(maxShelfBytes, s.changeGrey)))
	mux.Handle("/api/grey/shade", s.gets(s.shade))
}

func (s *Server) greys(w http.ResponseWriter, r *http.Request) {
	systems, err := s.config.Grey.book.Greys()
	var shelf []mix.Recipe
	if err == nil {
		shelf, err = s.config.Shelf.Recipes()
	}
	if err != nil {
		s.failed(w, r, "list the undercoats", err)
		return
	}
	out := GreyAnswer{Systems: []GreySystem{}}
	for _, system := range systems {
		out.Systems = append(out.Systems, greySystem(system, shelf, time.Now()))
	}
	s.answer(w, http.StatusOK, out)
}

func greySystem(s mix.GreySystem, shelf []mix.Recipe, now time.Time) GreySystem {
	out := GreySystem{ID: s.ID, Revision: revisionOf(s), System: s, Light: greyTin(s, s.Light, shelf, now), Dark: greyTin(s, s.Dark, shelf, now), Fit: greyFit(s)}
	out.System.Cards, out.System.Steps = append([]mix.GreyCard{}, s.Cards...), append([]mix.GreyStep{}, s.Steps...)
	for _, r := range shelf {
		if r.ID == s.LikeID {
			out.LikeName = r.Name
		}
	}
	return out
}

func greyTin(s mix.GreySystem, t mix.GreyTin, shelf []mix.Recipe, now time.Time) GreyTin {
	c, from := s.Tin(t, shelf)
	return GreyTin{Name: c.Name, DensityGML: micro(c.Density.GPerML), Provenance: c.Density.Provenance(now), From: from}
}

func greyFit(s mix.GreySystem) GreyFit {
	fit, err := s.Fit()
	if err != nil {
		return GreyFit{Why: sentence(err), Line: [][3]float64{}}
	}
	low, high, lightest, darkest := fit.Range()
	spread, fromCards := fit.Spread()
	out := GreyFit{
		OK: true, Strength: micro(fit.Strength()), SpreadL: micro(spread), FromCards: fromCards,
		LowPercent: micro(100 * low), HighPercent: micro(100 * high), LightestL: micro(lightest), DarkestL: micro(darkest),
	}
	for _, p := range fit.Line(greyPoints) {
		out.Line = append(out.Line, [3]float64{micro(100 * p.Dark), micro(p.Lightness), micro(coating.Coverage * p.Uncertainty)})
	}
	return out
}

// shade says what a grey takes, and how sure it would be.
func (s *Server) shade(w http.ResponseWriter, r *http.Request) {
	l, err := numberIn(r, "l", 0)
	var ml float64
	if err == nil {
		ml, err = numberIn(r, "ml", 0)
	}
	if err != nil {
		s.refuse(w, r, http.StatusBadRequest, "bad-request", sentence(err))
		return
	}
	id := r.URL.Query().Get("id")
	system, found, err := s.config.Grey.book.Grey(id)
	var shelf []mix.Recipe
	if err == nil {
		shelf, err = s.config.Shelf.Recipes()
	}
	var settings mix.Settings
	if err == nil {
		settings, err = s.settingsNow()
	}
	if err != nil {
		s.failed(w, r, "look the undercoats up", err)
		return
	}
	if !found {
		s.refuse(w, r, http.StatusNotFound, "not-found", fmt.Sprintf("There are no undercoats %q: choose some that are listed.", id))
		return
	}
	out, err := shadeAnswer(shadeQuestion{system, shelf, settings, l, ml, mix.AccuracyOf(s.divisionNow(), s.config.Hub.Manner()), time.Now()})
	if err != nil {
		s.refuse(w, r, http.StatusUnprocessableEntity, string(mix.RefusedOrder), sentence(err))
		return
	}
	s.answer(w, http.StatusOK, out)
}

// shadeQuestion is what a grey is asked of.
type shadeQuestion struct {
	system   mix.GreySystem
	shelf    []mix.Recipe
	settings mix.Settings
	l, ml    float64
	accuracy mix.Accuracy
	now      time.Time
}

func shadeAnswer(q shadeQuestion) (ShadeAnswer, error) {
	m, err := q.system.Grey(q.l, q.shelf, q.now)
	if err != nil {
		return ShadeAnswer{}, err
	}
	warm, err := q.settings.Warm(m.Recipe)
	if err != nil {
		return ShadeAnswer{}, err
	}
	m.Recipe = warm.Recipe
	const k = coating.Coverage
	out := ShadeAnswer{
		WantedL: q.l, Step: q.system.StepAt(q.l), Name: m.Recipe.Name, RecipeID: m.Recipe.ID, ShopRatio: mix.RatioText(m.Recipe),
		DarkPercent: micro(100 * m.Shade.Dark), DarkPlusMinus: micro(100 * k * m.Shade.DarkU), FitPlusMinus: micro(k * m.Shade.Uncertainty), PlusMinus: micro(k * m.Shade.Uncertainty),
		WhyNoGrams: m.WhyNoGrams(), Notes: notNil(warm.Notes), RevisionOf: revisionOf(q.system), DivisionG: micro(q.accuracy.DivisionG), ScaleMeasured: q.accuracy.Measured,
	}
	for _, r := range q.shelf {
		out.OnTheShelf = out.OnTheShelf || r.ID == m.Recipe.ID
	}
	amount := mix.Amount{Kind: mix.AmountVolume, ML: q.ml}
	var plan mix.Plan
	var volumes []float64
	if out.WhyNoGrams == "" {
		plan, err = m.Recipe.Plan(amount)
	}
	if err == nil {
		volumes, err = m.Recipe.VolumesML(q.ml)
	}
	if err != nil {
		return ShadeAnswer{}, err
	}
	for i, c := range m.Recipe.Components {
		out.Parts = append(out.Parts, ShadePart{Name: c.Name, Role: string(c.Role), Share: mix.ShareText(m.Recipe, i), ML: micro(volumes[i]),
			G: micro(plan.Targets[i].MassG), Provenance: c.Density.Provenance(q.now)})
	}
	out.TotalML, out.TotalG, out.Sentences = q.ml, micro(plan.TotalG), m.GreySure(&plan, q.accuracy)
	if plan.N > 0 {
		weighed, err := m.Weighed(&plan, q.accuracy)
		if err != nil {
			return ShadeAnswer{}, err
		}
		out.PlusMinus, out.PerGramL = micro(k*weighed.Uncertainty), micro(weighed.PerGram)
	}
	return out, nil
}

// changeGrey does what a page asks of the undercoats.
func (s *Server) changeGrey(w http.ResponseWriter, r *http.Request) {
	var body GreyBody
	err := decodeStrict(r.Body, &body)
	if err == nil {
		err = body.check()
	}
	if err != nil {
		s.refuseBody(w, r, err)
		return
	}
	id, made, err := s.config.Grey.do(time.Now(), body)
	var refusal *mix.Refusal
	switch {
	case errors.As(err, &refusal):
		s.refuse(w, r, statusOf(refusal.Code), string(refusal.Code), sentence(refusal))
		return
	case err != nil:
		s.log.Error("the undercoats could not be changed", "doing", body.Do, "err", err)
		s.refuse(w, r, http.StatusServiceUnavailable, "book", "The undercoats could not be changed: "+err.Error()+".")
		return
	}
	out := GreyEditAnswer{OK: true, ID: id}
	system, found, err := s.config.Grey.book.Grey(id)
	if err == nil && found {
		out.Revision = revisionOf(system)
	}
	if err == nil && made != "" {
		var recipe mix.Recipe
		if recipe, found, err = s.config.Shelf.Recipe(made); err == nil && found {
			r := shelfRecipe(recipe)
			out.Made = &r
		}
	}
	if err != nil {
		s.failed(w, r, "look the undercoats up", err)
		return
	}
	s.answer(w, http.StatusOK, out)
}
