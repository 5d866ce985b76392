package ui

import (
	"errors"
	"fmt"
	"net/http"
	"time"

	"gramcup/scale"
	"gramcup/scale/checkup"
)

// checkRoutes adds the check of the scale, where there is a desk for it.
func (s *Server) checkRoutes(mux *http.ServeMux) {
	if s.config.Check == nil {
		return
	}
	mux.HandleFunc("/api/scale/check", either(s.gets(s.checkState), s.posts(s.checkCommand)))
}

// checkState answers with the check as it is. capacity_g, interval_e_g and
// class in the query ask which weights would fit such a scale.
func (s *Server) checkState(w http.ResponseWriter, r *http.Request) {
	var plate *checkup.Setup
	if q := r.URL.Query(); q.Has("capacity_g") || q.Has("class") {
		asked, err := plateOf(q.Get("capacity_g"), q.Get("interval_e_g"), q.Get("class"))
		if err != nil {
			s.refuse(w, r, http.StatusBadRequest, "bad-request", sentence(err))
			return
		}
		plate = &asked
	}
	state, err := s.config.Check.state(time.Now(), plate)
	if err != nil {
		s.failed(w, r, "read the last check", err)
		return
	}
	s.answer(w, http.StatusOK, state)
}

func plateOf(capacity, interval, class string) (s checkup.Setup, err error) {
	for _, f := range []struct {
		name, text string
		to         *scale.Mass
	}{{"capacity_g", capacity, &s.Capacity}, {"interval_e_g", interval, &s.Interval}} {
		if f.text == "" {
			continue
		}
		if *f.to, err = scale.ParseMass(f.text, scale.UnitGram); err != nil || *f.to < 0 {
			return s, fmt.Errorf("%s is %q: give grams from the plate, such as 6000", f.name, f.text)
		}
	}
	s.Class, err = scale.ParseClass(class)
	return s, err
}

// checkCommand does what a page asks of the check.
func (s *Server) checkCommand(w http.ResponseWriter, r *http.Request) {
	var body CheckBody
	err := decodeStrict(r.Body, &body)
	var setup checkup.Setup
	if err == nil {
		setup, err = body.setup()
	}
	if err != nil {
		s.refuseBody(w, r, err)
		return
	}
	refusal, err := s.config.Check.do(time.Now(), body, setup)
	if s.refusedWalk(w, r, "check", refusal, err) {
		return
	}
	state, err := s.config.Check.state(time.Now(), nil)
	if err != nil {
		s.failed(w, r, "read the last check", err)
		return
	}
	s.answer(w, http.StatusOK, CheckAnswer{OK: true, State: &state})
}

// setup checks the command, and gives what a start asks for.
func (c CheckBody) setup() (s checkup.Setup, err error) {
	if err := checkWalkCommand(c.Key, c.Do, checkStart, checkBack, checkAgain, checkCancel, checkThisIsIt, checkKeep, walkGoOn, walkPutAway, walkUndo); err != nil {
		return s, err
	}
	switch {
	case c.Confirm && c.Do != walkGoOn:
		return s, errors.New("only going on can be confirmed")
	case (c.Do == checkStart) != (c.Start != nil):
		return s, errors.New("a start, and only a start, says with which weight")
	case c.Start == nil:
		return s, nil
	case c.Start.Capacity < 0 || c.Start.Interval < 0:
		return s, errors.New("capacity and e are above 0, or left out")
	case !printable(c.Start.WeightID):
		return s, errors.New("the name of a weight is made of printable characters")
	}
	b := c.Start
	s = checkup.Setup{Capacity: b.Capacity.Mass(), Interval: b.Interval.Mass(), Nominal: b.Nominal.Mass(), WeightID: b.WeightID, Corners: b.Corners}
	if s.Class, err = scale.ParseClass(b.Class); err != nil {
		return s, err
	}
	s.WeightClass, err = scale.ParseWeightClass(b.WeightClass)
	return s, err
}
