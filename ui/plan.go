package ui

import (
	"fmt"
	"net/http"
	"strconv"
	"time"

	"gramcup/mix"
	"gramcup/scale"
)

// kindArea is the way to say how much that is turned into a volume here.
const kindArea = "area"

// plan works out what an amount comes to, before anything is started.
func (s *Server) plan(w http.ResponseWriter, r *http.Request) {
	id := r.URL.Query().Get("recipe")
	recipe, found, err := s.config.Shelf.Recipe(id)
	if err != nil {
		s.failed(w, r, "look a recipe up", err)
		return
	}
	if !found {
		s.refuse(w, r, http.StatusNotFound, "not-found", fmt.Sprintf("There is no recipe %q on the shelf: choose one that is.", id))
		return
	}
	q, err := questionIn(r)
	if err != nil {
		s.refuse(w, r, http.StatusBadRequest, "bad-request", sentence(err))
		return
	}
	if q.Settings, err = s.settingsNow(); err != nil {
		s.failed(w, r, "read the settings", err)
		return
	}
	if q.Over, err = s.over(recipe); err != nil {
		s.failed(w, r, "look a stage up", err)
		return
	}
	q.Division, q.Manner, q.Now = s.divisionNow(), s.config.Hub.Manner(), time.Now()
	f, err := recipe.Figures(q)
	if err != nil {
		s.refuse(w, r, http.StatusUnprocessableEntity, string(mix.RefusedOrder), sentence(err))
		return
	}
	s.answer(w, http.StatusOK, planAnswer(&f, &q))
}

// over looks up what goes over a recipe. One that is off the shelf leaves a
// recipe of its id alone, whose VOC is then refused by name.
func (s *Server) over(r mix.Recipe) (out []mix.Recipe, err error) {
	for _, id := range r.Over {
		stage, found, err := s.config.Shelf.Recipe(id)
		if err != nil {
			return nil, err
		}
		if !found {
			stage = mix.Recipe{ID: id, Name: id}
		}
		out = append(out, stage)
	}
	return out, nil
}

// divisionNow is the scale's step, 0 while it is not known.
func (s *Server) divisionNow() scale.Mass {
	var step scale.Mass
	if s.raw != nil {
		_, step, _ = s.raw.newest()
	}
	division, _ := s.divisionFrom(step)
	return division
}

// questionIn reads the amount from the query.
func questionIn(r *http.Request) (q mix.Question, err error) {
	number := func(name string, otherwise float64) (x float64) {
		if err == nil {
			x, err = numberIn(r, name, otherwise)
		}
		return x
	}
	kind := r.URL.Query().Get("kind")
	if kind != kindArea {
		q.Amount = mix.Amount{Kind: mix.AmountKind(kind), ML: number("ml", 0), Grams: number("g", 0)}
		return q, err
	}
	j := mix.Job{
		AreaM2: number("area_m2", 0), DryUM: number("dry_um", 0), Transfer: number("transfer", mix.UsualTransfer),
		Loss: number("loss", mix.UsualLoss), DeadML: number("dead_ml", mix.UsualDeadML),
	}
	q.MixML = number("mix_ml", 0)
	coats := number("coats", 0)
	if j.Coats = int(coats); err == nil && float64(j.Coats) != coats {
		err = fmt.Errorf("coats is %v: give a whole number", coats)
	}
	q.Job = &j
	return q, err
}

// numberIn is a number in the query, or otherwise if it is not there.
func numberIn(r *http.Request, name string, otherwise float64) (float64, error) {
	text := r.URL.Query().Get(name)
	if text == "" {
		return otherwise, nil
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, fmt.Errorf("%s is %q: give a number with a point, as in 412.5", name, text)
	}
	return x, nil
}

func planAnswer(f *mix.Figures, q *mix.Question) PlanAnswer {
	r, p := f.Recipe, f.Plan
	out := PlanAnswer{
		OK: true, RecipeID: r.ID, Components: []PlanComponent{}, CupUsable: r.CupUsableML,
		DivisionG: q.Division.Grams(), Decimals: decimalsOf(q.Division), Cautions: []string{},
		Kind: string(f.Amount.Kind), Need: needOf(f), Left: []PlanLeft{},
		Sure: sureOf(f), VOC: vocOf(f), Index: indexOf(f), Shop: shopOf(f, q.Settings),
	}
	for i, c := range r.Components {
		t, d := p.Targets[i], f.Details[i]
		out.Components = append(out.Components, PlanComponent{
			Name: c.Name, Role: string(c.Role), Share: mix.ShareText(r, i), TargetG: micro(t.MassG), VolumeML: micro(t.VolumeML),
			MassFraction: micro(t.MassFraction), VolumeFraction: micro(t.VolumeFraction),
			DensityGML: micro(c.Density.GPerML), ReferenceC: c.Density.ReferenceC, Source: c.Density.Source,
			Provenance: d.Provenance, AgeDays: d.AgeDays, Ask: d.Ask, Cost: micro(d.Cost),
		})
	}
	if f.Amount.Kind == mix.AmountAsPoured {
		return out // the total is not known before the first pour
	}
	out.TotalG, out.TotalML, out.Cup = micro(p.TotalG), micro(p.TotalML), mix.CupText(r, p)
	if r.CupUsableML > 0 && p.TotalML > 0 {
		fits := p.TotalML <= r.CupUsableML
		out.Fits = &fits
	}
	if f.CostKnown {
		out.Cost, out.CostText = micro(f.Cost), fmt.Sprintf("%.2f in material", f.Cost)
	}
	for _, l := range f.Left {
		out.Left = append(out.Left, PlanLeft{Of: l.Of, OfML: micro(l.OfML), ML: micro(l.ML), Cost: micro(l.Cost), Text: l.Text})
	}
	out.Cautions = append(out.Cautions, coarse(r, p, q.Division)...)
	return out
}

// coarse tells whose tolerance this scale can not show.
func coarse(r mix.Recipe, p mix.Plan, division scale.Mass) (out []string) {
	for i, c := range r.Components {
		// Half a division at either end of a pour, empty and full, is a
		// whole one that can not be seen.
		step := division.Grams() / p.Targets[i].MassG
		if c.Tolerance == 0 {
			continue // its recipe asks for nothing
		}
		if step > c.Tolerance && division > 0 {
			out = append(out, fmt.Sprintf("This scale shows steps of %v: %s can only be poured to ±%.1f %%, its recipe asks for ±%.1f %%.", division, c.Name, step*100, c.Tolerance*100))
		}
	}
	return out
}
