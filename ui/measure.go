package ui

import (
	"errors"
	"net/http"
	"time"

	"gramcup/mix"
)

// measureRoutes adds the measuring of a density, where there is a desk for it.
func (s *Server) measureRoutes(mux *http.ServeMux) {
	if s.config.Measure == nil {
		return
	}
	mux.HandleFunc("/api/measure", either(s.gets(s.measureState), s.posts(s.measureCommand)))
}

func (s *Server) measureState(w http.ResponseWriter, _ *http.Request) {
	s.answer(w, http.StatusOK, s.measureNow())
}

// measureNow is the state, with the shop's temperature for a first offer.
func (s *Server) measureNow() MeasureState {
	state := s.config.Measure.state(time.Now())
	if settings, err := s.settingsNow(); err == nil {
		state.Usual.TempC = settings.Celsius()
	}
	return state
}

// measureCommand does what a page asks of the measurement.
func (s *Server) measureCommand(w http.ResponseWriter, r *http.Request) {
	var body MeasureBody
	err := decodeStrict(r.Body, &body)
	if err == nil {
		err = body.check()
	}
	if err != nil {
		s.refuseBody(w, r, err)
		return
	}
	var recipe mix.Recipe
	if body.Start != nil {
		var found bool
		if recipe, found, err = s.config.Shelf.Recipe(body.Start.RecipeID); err != nil {
			s.failed(w, r, "look a recipe up", err)
			return
		}
		if !found || body.Start.Component >= len(recipe.Components) {
			s.refuse(w, r, http.StatusUnprocessableEntity, string(mix.RefusedOrder), "That component is not on the shelf: put its recipe there first, then measure it.")
			return
		}
	}
	refusal, err := s.config.Measure.do(time.Now(), body, recipe)
	if s.refusedWalk(w, r, "density", refusal, err) {
		return
	}
	state := s.measureNow()
	s.answer(w, http.StatusOK, MeasureAnswer{OK: true, State: &state})
}

func (b MeasureBody) check() error {
	if err := checkWalkCommand(b.Key, b.Do, measureStart, measureBack, measureAgain, measureCancel, measureThis, measureKeep, walkGoOn, walkPutAway, walkUndo); err != nil {
		return err
	}
	switch {
	case (b.Do == measureStart) != (b.Start != nil):
		return errors.New("a start, and only a start, says what is measured")
	case b.Start != nil && (b.Start.Component < 0 || b.Start.RecipeID == ""):
		return errors.New("a start names a recipe and the number of a component, from 0")
	}
	return nil
}
