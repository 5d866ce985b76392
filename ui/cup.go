package ui

import (
	"errors"
	"fmt"
	"net/http"
	"time"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// cupRoutes adds measured cups, where there is a desk for them.
func (s *Server) cupRoutes(mux *http.ServeMux) {
	if s.config.Cups == nil {
		return
	}
	mux.HandleFunc("/api/cups", either(s.gets(s.cupState), s.posts(s.cupCommand)))
}

func (s *Server) cupState(w http.ResponseWriter, r *http.Request) {
	state, err := s.cupNow()
	if err != nil {
		s.failed(w, r, "list the measured cups", err)
		return
	}
	s.answer(w, http.StatusOK, state)
}

// cupNow is the state, with the shop's temperature for a first offer.
func (s *Server) cupNow() (CupState, error) {
	state, err := s.config.Cups.state(time.Now())
	if err != nil {
		return state, err
	}
	if settings, err := s.settingsNow(); err == nil {
		state.TempC = settings.Celsius()
	}
	return state, nil
}

// cupCommand does what a page asks around a cup.
func (s *Server) cupCommand(w http.ResponseWriter, r *http.Request) {
	var body CupBody
	err := decodeStrict(r.Body, &body)
	if err == nil {
		err = body.check()
	}
	if err != nil {
		s.refuseBody(w, r, err)
		return
	}
	refusal, err := s.config.Cups.do(time.Now(), body)
	if s.refusedWalk(w, r, "cup", refusal, err) {
		return
	}
	state, err := s.cupNow()
	if err != nil {
		s.failed(w, r, "list the measured cups", err)
		return
	}
	s.answer(w, http.StatusOK, CupAnswer{OK: true, State: &state})
}

func (b CupBody) check() error {
	if err := checkWalkCommand(b.Key, b.Do, cupStart, cupHeight, cupNext, cupEnough, cupBack, cupAgain, cupCancel, cupKeep, cupTake, cupBring, walkGoOn, walkPutAway, walkUndo); err != nil {
		return err
	}
	switch listed := b.Do == cupTake || b.Do == cupBring; {
	case (b.Do == cupStart) != (b.TempC != nil):
		return errors.New("a start, and only a start, says how warm the water is")
	case b.Do == cupHeight && b.HeightMM == nil || b.HeightMM != nil && b.Do != cupHeight && b.Do != cupNext:
		return errors.New("a height comes with height, and may come with next")
	case b.Confirm && b.Do != cupNext && b.Do != walkGoOn:
		return errors.New("only next and going on can be confirmed")
	case (b.Do == cupKeep) != (b.Name != ""):
		return errors.New("a keep, and only a keep, brings a name")
	case listed != (b.ID != "") || len(b.ID) > maxIDBytes:
		return fmt.Errorf("take and bring, and only these, name the id of a cup, of at most %d characters", maxIDBytes)
	}
	return nil
}

// state is everything a page shows of measured cups.
func (d *CupDesk) state(now time.Time) (CupState, error) {
	list, err := d.config.Book.Cups()
	if err != nil {
		return CupState{}, err
	}
	defer d.settled()
	d.mu.Lock()
	defer d.mu.Unlock()
	out := CupState{Version: d.version, Broken: d.broken(now), PutAway: d.putAway(now), Said: d.said, Kept: d.kept, NotNow: d.startNotText(), TempC: usualTempC, Cups: []KnownCup{}}
	for _, c := range list {
		out.Cups = append(out.Cups, knownCupOf(c))
	}
	if d.taken != nil {
		k := knownCupOf(*d.taken)
		out.Taken = &k
	}
	if d.on() {
		out.Walk = d.walkNow(now)
		out.Walk.Name = freeName(list, out.Walk.Levels)
	}
	return out, nil
}

// freeName is a name for a cup that nobody named yet: how much it holds.
func freeName(list []mix.Cup, levels []CupLevel) string {
	if len(levels) == 0 {
		return ""
	}
	base := fmt.Sprintf("Cup %.0f ml", levels[len(levels)-1].ML)
	name := base
	for n := 2; ; n++ {
		taken := false
		for _, c := range list {
			taken = taken || c.Name == name
		}
		if !taken {
			return name
		}
		name = fmt.Sprintf("%s, %d", base, n)
	}
}

func (d *CupDesk) walkNow(now time.Time) *CupWalk {
	v := d.walk.View(now.Sub(d.began))
	w := &CupWalk{
		Step: string(v.Step), Sentence: v.Sentence, Detail: v.Detail, Waits: d.waits(v.Waits), NotedG: v.Noted.Grams(), Still: v.Still,
		DivisionG: d.setup.Division.Grams(), HeightMM: v.HeightMM, LowestMM: coating.LowestFillMM, HighestMM: coating.HighestFillMM,
		TempC: d.setup.TempC, Levels: []CupLevel{}, Enough: v.Enough,
	}
	if rho, err := coating.WaterDensityGML(d.setup.TempC); err == nil {
		w.NotedML = micro(v.Noted.Grams() / rho)
	}
	c, done := d.cup("")
	if done {
		w.EmptyG = c.EmptyG
	}
	w.Levels = levelsOf(c)
	return w
}

func knownCupOf(c mix.Cup) KnownCup {
	k := KnownCup{ID: c.ID, Name: c.Name, AtMS: c.AtMS, WaterC: c.WaterC, EmptyG: c.EmptyG, Scale: c.Scale, Levels: levelsOf(c), Text: c.Text()}
	if n := len(k.Levels); n > 0 {
		k.TopML = k.Levels[n-1].ML
	}
	return k
}

// levelsOf are the heights of a cup with how well a mark there would stand.
func levelsOf(c mix.Cup) []CupLevel {
	list := []CupLevel{}
	f, _ := c.Vessel() // one height is no cup yet, and is shown all the same
	for i, x := range f.Fills {
		list = append(list, CupLevel{HeightMM: x.HeightMM, WaterG: c.Fills[i].WaterG, ML: micro(x.VolumeML), ExpandedU: micro(coating.Coverage * f.MarkErrorMM(x.HeightMM))})
	}
	return list
}

// Known is the measured cup with this id; found is false if there is none.
func (d *CupDesk) Known(id string) (c mix.Cup, found bool, err error) {
	list, err := d.config.Book.Cups()
	for _, c := range list {
		if c.ID == id {
			return c, true, err
		}
	}
	return c, false, err
}
