package ui

import (
	"errors"
	"fmt"
	"net/http"
	"strings"

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

// StripAnswer is the reply to GET /api/strip?recipe=&ml=&cup=85x120, or with the
// id of a measured cup.
type StripAnswer struct {
	OK         bool       `json:"ok"`
	Title      string     `json:"title"`
	Ratio      string     `json:"ratio"`
	Components []StripRow `json:"components"`
	// Cup is where a measured cup comes from, "" for one given by its size.
	Cup string `json:"cup"`
	// Beyond is which marks are not drawn and why, a sentence; "" if all are.
	Beyond string `json:"beyond"`
	// WhyNoScale is why the scale can not be compared, a sentence; "" if it is.
	WhyNoScale string `json:"why_no_scale"`
}

// StripRow is one component in the cup; errors are fractions of its own amount.
type StripRow struct {
	Name       string  `json:"name"`
	Role       string  `json:"role"`
	VolumeML   float64 `json:"volume_ml"`
	MarkMM     float64 `json:"mark_mm"`            // above the inner bottom; 0 where it is beyond what was measured
	MarkU      float64 `json:"mark_expanded_u_mm"` // of the mark itself, k = 2; 0 for a cup given by its size
	StickError float64 `json:"stick_error"`
	CupError   float64 `json:"cup_mark_error"`
	ScaleError float64 `json:"scale_error"` // 0 where it is not known
}

// askedStrip is what the query asks for.
type askedStrip struct {
	recipe mix.Recipe
	cup    coating.Vessel
	name   string // of the cup, for the strip
	from   string // where a measured cup comes from
	eye    mix.ByEye
}

// lines are what must stand on the strip.
func (a askedStrip) lines() []string {
	lines := mix.StripLines(a.recipe, a.name)
	for _, more := range []string{a.eye.MarkedWell(), a.eye.Beyond} {
		if more != "" {
			lines = append(lines, more)
		}
	}
	return lines
}

func (s *Server) byEye(w http.ResponseWriter, r *http.Request) (a askedStrip, ok bool) {
	q := r.URL.Query()
	recipe, found, err := s.config.Shelf.Recipe(q.Get("recipe"))
	if err != nil {
		s.failed(w, r, "look a recipe up", err)
		return a, false
	}
	if !found {
		s.refuse(w, r, http.StatusNotFound, "not-found", fmt.Sprintf("There is no recipe %q on the shelf: choose one that is.", q.Get("recipe")))
		return a, false
	}
	a.recipe = recipe
	if a.cup, a.name, a.from, err = s.cupOf(q.Get("cup")); err == nil {
		var ml float64
		if ml, err = numberIn(r, "ml", 0); err == nil {
			a.eye, err = recipe.ByEye(a.cup, ml, mix.AccuracyOf(s.divisionNow(), s.config.Hub.Manner()))
		}
	}
	if err != nil {
		s.refuse(w, r, http.StatusUnprocessableEntity, string(mix.RefusedOrder), sentence(err))
		return a, false
	}
	return a, true
}

// cupOf is a cup by its size, or a measured one by its id.
func (s *Server) cupOf(text string) (v coating.Vessel, name, from string, err error) {
	if s.config.Cups != nil {
		c, found, err := s.config.Cups.Known(text)
		if err != nil {
			return nil, "", "", fmt.Errorf("the measured cups could not be read: %w", err)
		}
		if found {
			f, err := c.Vessel()
			return f, fmt.Sprintf("%s, %s", c.Name, c.Text()), c.Text(), err
		}
	}
	if strings.HasPrefix(text, cupIDPrefix) {
		return nil, "", "", errors.New("that cup is not on the list any more: choose another one")
	}
	t, err := mix.ParseCup(text)
	return t, text, "", err
}

// cupIDPrefix begins the id of each measured cup, so that it is never taken for
// a size.
const cupIDPrefix = "cup-"

func (s *Server) stripFigures(w http.ResponseWriter, r *http.Request) {
	a, ok := s.byEye(w, r)
	if !ok {
		return
	}
	e := a.eye
	out := StripAnswer{OK: true, Title: e.Title, Ratio: mix.RatioText(a.recipe), Cup: a.from, Beyond: e.Beyond, Components: []StripRow{}}
	if e.WhyNoScale != "" {
		out.WhyNoScale = sentence(errors.New(e.WhyNoScale))
	}
	for i, row := range e.Rows {
		out.Components = append(out.Components, StripRow{
			Name: row.Name, Role: string(a.recipe.Components[i].Role), VolumeML: micro(row.VolumeML), MarkMM: micro(row.MarkMM), MarkU: micro(row.MarkU),
			StickError: micro(row.StickError), CupError: micro(row.CupError), ScaleError: micro(row.ScaleError),
		})
	}
	s.answer(w, http.StatusOK, out)
}

func (s *Server) stripPicture(kind, name string, draw func(strip.Strip) ([]byte, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		a, ok := s.byEye(w, r)
		if !ok {
			return
		}
		p, err := strip.ForCup(a.eye.Title, a.cup, a.eye.Names(), a.eye.VolumesML(), a.lines()...)
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
