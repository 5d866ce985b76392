package ui

import (
	"errors"
	"fmt"
	"net/http"

	"gramcup/mix"
	"gramcup/mix/coating"
	"gramcup/mix/strip"
)

// stripRoutes are the marks of a cup for pouring by eye: as figures, and as a
// strip at true size to be printed.
func (s *Server) stripRoutes(mux *http.ServeMux) {
	mux.Handle("/api/strip", s.gets(s.stripFigures))
	mux.Handle("/api/strip.svg", s.gets(s.stripPicture("image/svg+xml", "strip.svg", strip.Strip.SVG)))
	mux.Handle("/api/strip.pdf", s.gets(s.stripPicture("application/pdf", "strip.pdf", strip.Strip.PDF)))
}

// StripAnswer is the reply to GET /api/strip?recipe=&ml=&cup=85x120.
type StripAnswer struct {
	OK         bool       `json:"ok"`
	Title      string     `json:"title"`
	Ratio      string     `json:"ratio"`
	Components []StripRow `json:"components"`
	// WhyNoScale is why the scale can not be compared, a sentence; "" if it is.
	WhyNoScale string `json:"why_no_scale"`
}

// StripRow is one component in the cup; errors are fractions of its own amount.
type StripRow struct {
	Name       string  `json:"name"`
	Role       string  `json:"role"`
	VolumeML   float64 `json:"volume_ml"`
	MarkMM     float64 `json:"mark_mm"` // above the inner bottom
	StickError float64 `json:"stick_error"`
	CupError   float64 `json:"cup_mark_error"`
	ScaleError float64 `json:"scale_error"` // 0 for the first one, and where it is not known
}

// byEye is what the query asks for.
func (s *Server) byEye(w http.ResponseWriter, r *http.Request) (recipe mix.Recipe, cup coating.Tapered, e mix.ByEye, ok bool) {
	q := r.URL.Query()
	recipe, found, err := s.config.Shelf.Recipe(q.Get("recipe"))
	if err != nil {
		s.failed(w, r, "look a recipe up", err)
		return recipe, cup, e, false
	}
	if !found {
		s.refuse(w, r, http.StatusNotFound, "not-found", fmt.Sprintf("There is no recipe %q on the shelf: choose one that is.", q.Get("recipe")))
		return recipe, cup, e, false
	}
	ml, err := numberIn(r, "ml", 0)
	if err == nil {
		if cup, err = mix.ParseCup(q.Get("cup")); err == nil {
			e, err = recipe.ByEye(cup, ml, mix.AccuracyOf(s.divisionNow(), s.config.Hub.Manner()))
		}
	}
	if err != nil {
		s.refuse(w, r, http.StatusUnprocessableEntity, string(mix.RefusedOrder), sentence(err))
		return recipe, cup, e, false
	}
	return recipe, cup, e, true
}

func (s *Server) stripFigures(w http.ResponseWriter, r *http.Request) {
	recipe, _, e, ok := s.byEye(w, r)
	if !ok {
		return
	}
	out := StripAnswer{OK: true, Title: e.Title, Ratio: mix.RatioText(recipe), Components: []StripRow{}}
	if e.WhyNoScale != "" {
		out.WhyNoScale = sentence(errors.New(e.WhyNoScale))
	}
	for i, row := range e.Rows {
		out.Components = append(out.Components, StripRow{
			Name: row.Name, Role: string(recipe.Components[i].Role), VolumeML: micro(row.VolumeML), MarkMM: micro(row.MarkMM),
			StickError: micro(row.StickError), CupError: micro(row.CupError), ScaleError: micro(row.ScaleError),
		})
	}
	s.answer(w, http.StatusOK, out)
}

func (s *Server) stripPicture(kind, name string, draw func(strip.Strip) ([]byte, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		recipe, cup, e, ok := s.byEye(w, r)
		if !ok {
			return
		}
		p, err := strip.ForCup(e.Title, cup, e.Names(), e.VolumesML(), mix.StripLines(recipe, r.URL.Query().Get("cup"))...)
		var picture []byte
		if err == nil {
			picture, err = draw(p)
		}
		if err != nil {
			s.refuse(w, r, http.StatusUnprocessableEntity, string(mix.RefusedOrder), sentence(err))
			return
		}
		w.Header().Set("Content-Type", kind)
		w.Header().Set("Cache-Control", "no-store")
		w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
		_, _ = w.Write(picture) // who asked is gone, nobody is left to tell
	}
}
