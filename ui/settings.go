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

// SettingsBook keeps what the shop sets, and the categories of its recipes.
type SettingsBook interface {
	// Settings are what was put last; the zero value if nothing ever was.
	Settings() (mix.Settings, error)
	// PutSettings keeps them in place of those before.
	PutSettings(s mix.Settings, at time.Time) error
	// PutRecipe puts a recipe on the shelf in place of the one with its id.
	PutRecipe(r mix.Recipe) error
	// PutJob keeps what a batch of a recipe was started for; Jobs are those kept.
	PutJob(recipeID string, j mix.Job, at time.Time) error
	Jobs() (map[string]mix.UsedJob, error)
}

// SettingsAnswer is the reply to GET and POST /api/settings.
type SettingsAnswer struct {
	OK    bool     `json:"ok"`
	ShopC *float64 `json:"shop_c"` // the temperature of the paint in °C; null leaves each density at its own
	// Panels is the picker of an area, rough and to be edited.
	Panels []PanelAnswer `json:"panels"`
	// The assumptions of a job that says nothing else, fractions of one; which
	// transfer goes with a panel stands beside it.
	UsualLoss   float64 `json:"usual_loss"`
	UsualDeadML float64 `json:"usual_dead_ml"`
	// Jobs is what each recipe was put on with last, by its id.
	Jobs map[string]UsedJobBody `json:"jobs"`
}

// UsedJobBody is a job that a batch was started for, and when.
type UsedJobBody struct {
	JobBody
	SinceMS int64 `json:"since_ms"` // Unix time
}

// PanelAnswer is one part of the picker.
type PanelAnswer struct {
	Name     string  `json:"name"`
	AreaM2   float64 `json:"area_m2"`
	Transfer float64 `json:"transfer"` // assumed for a part of this size
}

// LimitsAnswer is the reply to GET /api/limits.
type LimitsAnswer struct {
	Limits []LimitBody `json:"limits"` // the built-in ones, then the shop's own
	Note   string      `json:"note"`
}

// LimitBody is one limit of VOC.
type LimitBody struct {
	Name     string  `json:"name,omitempty"` // set and category: what a recipe is used as
	Set      string  `json:"set"`
	Category string  `json:"category"`
	GL       float64 `json:"g_l"`
	Basis    string  `json:"basis"` // coating.Basis
	Source   string  `json:"source"`
	Date     string  `json:"date"`
	Own      bool    `json:"own"` // of this shop, and can be taken away
}

// SettingsBody is what a page posts to /api/settings.
type SettingsBody struct {
	// Do is "shop" to set the temperature, "uses" to choose the categories of a
	// recipe, "stages" what goes over it, "add-limit" or "drop-limit".
	Do       string     `json:"do"`
	Over     []string   `json:"over,omitempty"`   // for "stages": ids of recipes, the clear last
	Typed    string     `json:"typed,omitempty"`  // for "add-limit": the limit as its source prints it, "4.8 lb/gal"; in place of g_l
	ShopC    *float64   `json:"shop_c,omitempty"` // for "shop"; null is not set
	RecipeID string     `json:"recipe_id,omitempty"`
	Uses     []string   `json:"uses,omitempty"`  // names of limits, for "uses"
	Limit    *LimitBody `json:"limit,omitempty"` // for "add-limit"; for "drop-limit" its name
}

func limitBody(l mix.Limit, own bool) LimitBody {
	return LimitBody{Name: l.Name(), Set: l.Set, Category: l.Category, GL: l.GL, Basis: string(l.Basis), Source: l.Source, Date: l.Date, Own: own}
}

// settingsRoutes serve what a shop sets; without a book for it nothing is set
// and nothing can be.
func (s *Server) settingsRoutes(mux *http.ServeMux) {
	mux.Handle("/api/limits", s.gets(s.limits))
	if s.config.Settings == nil {
		mux.Handle("/api/settings", s.gets(s.settings))
		return
	}
	mux.HandleFunc("/api/settings", either(s.gets(s.settings), s.posts(s.setting)))
}

// settingsNow are the settings, the zero value where none are kept.
func (s *Server) settingsNow() (mix.Settings, error) {
	if s.config.Settings == nil {
		return mix.Settings{}, nil
	}
	return s.config.Settings.Settings()
}

func (s *Server) settings(w http.ResponseWriter, r *http.Request) {
	now, err := s.settingsNow()
	if err != nil {
		s.failed(w, r, "read the settings", err)
		return
	}
	out := settingsAnswer(now)
	if s.config.Settings != nil {
		jobs, err := s.config.Settings.Jobs()
		if err != nil {
			s.failed(w, r, "read the jobs", err)
			return
		}
		for id, used := range jobs {
			out.Jobs[id] = UsedJobBody{JobBody(used.Job), used.SinceMS}
		}
	}
	s.answer(w, http.StatusOK, out)
}

// usedJob remembers what a batch was started for. The batch is under way
// whether or not it can be.
func (s *Server) usedJob(b *StartBody) {
	if b == nil || b.Job == nil || s.config.Settings == nil {
		return
	}
	if err := s.config.Settings.PutJob(b.RecipeID, mix.Job(*b.Job), time.Now()); err != nil {
		s.log.Error("the job could not be remembered", "recipe", b.RecipeID, "err", err)
	}
}

func settingsAnswer(s mix.Settings) SettingsAnswer {
	out := SettingsAnswer{OK: true, ShopC: s.ShopC, UsualLoss: mix.UsualLoss, UsualDeadML: mix.UsualDeadML, Jobs: map[string]UsedJobBody{}}
	for _, p := range mix.Panels() {
		transfer := mix.UsualTransfer
		if p.AreaM2 <= mix.SmallM2 {
			transfer = mix.SmallTransfer
		}
		out.Panels = append(out.Panels, PanelAnswer{Name: p.Name, AreaM2: p.AreaM2, Transfer: transfer})
	}
	return out
}

func (s *Server) limits(w http.ResponseWriter, r *http.Request) {
	now, err := s.settingsNow()
	if err != nil {
		s.failed(w, r, "read the settings", err)
		return
	}
	out := LimitsAnswer{Limits: []LimitBody{}, Note: "These may be out of date or not the ones in force at your booth: local rules come first."}
	for i, l := range now.AllLimits() {
		out.Limits = append(out.Limits, limitBody(l, i >= len(now.AllLimits())-len(now.Limits)))
	}
	s.answer(w, http.StatusOK, out)
}

// setting changes one thing. Two pages at once follow each other.
func (s *Server) setting(w http.ResponseWriter, r *http.Request) {
	var body SettingsBody
	if err := decodeStrict(r.Body, &body); err != nil {
		s.refuseBody(w, r, err)
		return
	}
	s.setMu.Lock()
	defer s.setMu.Unlock()
	now, err := s.settingsNow()
	if err != nil {
		s.failed(w, r, "read the settings", err)
		return
	}
	if body.Do == "uses" || body.Do == "stages" {
		s.setOfRecipe(w, r, body, now)
		return
	}
	if err := change(&now, body); err != nil {
		var beside *fieldRefusal
		if errors.As(err, &beside) {
			s.refuseShelf(w, r, err, beside.Refusal)
			return
		}
		s.refuse(w, r, http.StatusUnprocessableEntity, string(mix.RefusedOrder), sentence(err))
		return
	}
	if err := s.config.Settings.PutSettings(now, time.Now()); err != nil {
		s.failed(w, r, "keep the settings", err)
		return
	}
	s.answer(w, http.StatusOK, settingsAnswer(now))
}

// change does to the settings what a body asks for, and refuses what would not
// be right.
func change(now *mix.Settings, body SettingsBody) error {
	now.Limits = slices.Clone(now.Limits)
	switch body.Do {
	case "shop":
		now.ShopC = body.ShopC
	case "add-limit":
		if body.Limit == nil {
			return fmt.Errorf("say which limit: set, category, g_l, basis, source and date")
		}
		if err := addLimit(now, body); err != nil {
			return err
		}
	case "drop-limit":
		if body.Limit == nil {
			return fmt.Errorf("say which limit: its name")
		}
		kept := slices.DeleteFunc(now.Limits, func(l mix.Limit) bool { return l.Name() == body.Limit.Name })
		if len(kept) == len(now.Limits) {
			return fmt.Errorf("no limit of your own is called %q; the built-in ones stay", body.Limit.Name)
		}
		now.Limits = kept
	default:
		return fmt.Errorf("%q can not be set: say shop, uses, stages, add-limit or drop-limit", body.Do)
	}
	return now.Check()
}

// addLimit adds a limit of the shop's own. What is missing is refused beside its
// field: nothing is taken without where it stands and of when it is.
func addLimit(now *mix.Settings, body SettingsBody) error {
	l := *body.Limit
	beside := func(field, text string) error {
		return &fieldRefusal{&mix.Refusal{Code: mix.RefusedOrder, Sentence: text}, field}
	}
	for _, f := range []struct{ field, text, missing string }{
		{"set", l.Set, "Whose limit is it? Name its table: a rule, or the permit of your booth."},
		{"category", l.Category, "What is it for? Name the category as it stands there."},
		{"source", l.Source, "Say where it stands: a figure without a source can not be trusted later."},
		{"date", l.Date, "Say of when it is: limits change."},
	} {
		if strings.TrimSpace(f.text) == "" {
			return beside(f.field, f.missing)
		}
		if !printable(f.text) || len(f.text) > maxFromBytes {
			return beside(f.field, fmt.Sprintf("This has up to %d characters of one line.", maxFromBytes))
		}
	}
	if body.Typed != "" {
		gl, err := mix.ParseFigure(mix.FigureVOC, body.Typed)
		if err != nil {
			return beside("g_l", err.Error())
		}
		l.GL = gl
	}
	if l.GL <= 0 {
		return beside("g_l", "Give the limit as it stands there: 420 g/l, or 3.5 lb/gal.")
	}
	limit := mix.NewLimit(strings.TrimSpace(l.Set), strings.TrimSpace(l.Category), l.GL, l.Basis, strings.TrimSpace(l.Source), strings.TrimSpace(l.Date))
	if slices.ContainsFunc(now.AllLimits(), func(o mix.Limit) bool { return o.Name() == limit.Name() }) {
		return beside("category", fmt.Sprintf("There is a limit of the name %q already: take that one away first, or give this one a name of its own.", limit.Name()))
	}
	now.Limits = append(now.Limits, limit)
	return nil
}

// setOfRecipe chooses what a recipe is used as, or what goes over it.
func (s *Server) setOfRecipe(w http.ResponseWriter, r *http.Request, body SettingsBody, now mix.Settings) {
	if s.config.Edit != nil { // so that no change of the product is lost between reading and putting
		s.config.Edit.mu.Lock()
		defer s.config.Edit.mu.Unlock()
	}
	recipe, found, err := s.config.Shelf.Recipe(body.RecipeID)
	if err != nil {
		s.failed(w, r, "look a recipe up", err)
		return
	}
	var over []mix.Recipe
	for _, id := range body.Over {
		stage, there, lookErr := s.config.Shelf.Recipe(id)
		switch {
		case lookErr != nil:
			s.failed(w, r, "look a stage up", lookErr)
			return
		case !there:
			err = fmt.Errorf("there is no recipe %q on the shelf: choose one that is", id)
		case id == body.RecipeID:
			err = fmt.Errorf("%s can not go over itself: choose the product of the next stage", stage.Name)
		}
		over = append(over, stage)
	}
	if err == nil {
		err = mix.CheckOver(over)
	}
	for _, name := range body.Uses {
		if err == nil && !slices.ContainsFunc(now.AllLimits(), func(l mix.Limit) bool { return l.Name() == name }) {
			err = fmt.Errorf("no limit is called %q: choose one that is listed", name)
		}
	}
	if !found {
		err = fmt.Errorf("there is no recipe %q on the shelf: choose one that is", body.RecipeID)
	}
	if body.Do == "uses" {
		recipe.Uses = body.Uses
	} else {
		recipe.Over = body.Over
	}
	if err == nil {
		err = recipe.Check()
	}
	if err != nil {
		s.refuse(w, r, http.StatusUnprocessableEntity, string(mix.RefusedOrder), sentence(err))
		return
	}
	if err := s.config.Settings.PutRecipe(recipe); err != nil {
		s.failed(w, r, "put a recipe on the shelf", err)
		return
	}
	s.answer(w, http.StatusOK, settingsAnswer(now))
}
