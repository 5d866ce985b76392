package mix

import (
	"fmt"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"gramcup/mix/coating"
)

// GreySystem is a light and a dark undercoat of one system, with the drawdowns
// that the shop made of them.
type GreySystem struct {
	ID    string  `json:"id"`
	Name  string  `json:"name"`
	Light GreyTin `json:"light"`
	Dark  GreyTin `json:"dark"`
	// LikeID names the recipe whose base the two take the place of: its hardener
	// and its reducer go in. "" is an undercoat that is used as it is.
	LikeID string     `json:"like_id,omitempty"`
	Cards  []GreyCard `json:"cards"`
	Steps  []GreyStep `json:"steps"`
}

// GreyTin is one of the two undercoats. Its density, where there is none, may
// still stand on the shelf under the same name.
type GreyTin struct {
	Name    string  `json:"name"`
	Density Density `json:"density"`
}

// GreyCard is a drawdown: the share of the dark undercoat and the L* that it
// dried to over full hiding.
type GreyCard struct {
	DarkPercent float64 `json:"dark_percent"` // of the volume
	Lightness   float64 `json:"l"`
	AtMS        int64   `json:"at_ms,omitempty"` // when it was entered, Unix time
}

// GreyStep is a step of the shop's own scale of greys.
type GreyStep struct {
	Name      string  `json:"name"`
	Lightness float64 `json:"l"`
}

// Bounds of a system, so that a list stays one.
const (
	maxGreyCards = 40
	maxGreySteps = 20
	maxGreyName  = 60 // letters
)

// Check refuses a system that can not be right. Too few drawdowns, or some that
// do not fit, are no reason: they are kept, and Fit says what is wrong.
func (s GreySystem) Check() error {
	for _, n := range []struct{ what, name string }{{"The system", s.Name}, {"The light undercoat", s.Light.Name}, {"The dark undercoat", s.Dark.Name}} {
		if strings.TrimSpace(n.name) == "" {
			return fmt.Errorf("%s has no name: use what stands on the tin", n.what)
		}
		if utf8.RuneCountInString(n.name) > maxGreyName {
			return fmt.Errorf("%s has a name of more than %d letters: shorten it", n.what, maxGreyName)
		}
	}
	if strings.EqualFold(strings.TrimSpace(s.Light.Name), strings.TrimSpace(s.Dark.Name)) {
		return fmt.Errorf("both undercoats are called %s: they are two tins, so give each its name", s.Dark.Name)
	}
	for _, t := range []GreyTin{s.Light, s.Dark} {
		if err := t.Density.Check(); t.Density.Known() && err != nil {
			return fmt.Errorf("%s: %w", t.Name, err)
		}
	}
	if len(s.Cards) > maxGreyCards || len(s.Steps) > maxGreySteps {
		return fmt.Errorf("%d drawdowns and %d steps: at most %d and %d are kept", len(s.Cards), len(s.Steps), maxGreyCards, maxGreySteps)
	}
	for _, c := range s.drawdowns() {
		if err := c.Check(); err != nil {
			return err
		}
	}
	seen := map[string]bool{}
	for _, step := range s.Steps {
		name := strings.ToLower(strings.TrimSpace(step.Name))
		if err := (coating.Drawdown{Lightness: step.Lightness}).Check(); err != nil {
			return fmt.Errorf("the step %q has L* %v: give 1 to 99", step.Name, step.Lightness)
		}
		if name == "" || seen[name] {
			return fmt.Errorf("the step of L* %v is called %q, and each needs a name of its own", step.Lightness, step.Name)
		}
		seen[name] = true
	}
	return nil
}

func (s GreySystem) drawdowns() []coating.Drawdown {
	list := make([]coating.Drawdown, len(s.Cards))
	for i, c := range s.Cards {
		list[i] = coating.Drawdown{Dark: c.DarkPercent / 100, Lightness: c.Lightness}
	}
	return list
}

// Fit is the pair as its drawdowns have it; its error is a sentence on what they
// lack.
func (s GreySystem) Fit() (coating.Grey, error) { return coating.FitGrey(s.drawdowns()) }

// StepAt is the name of the shop's step of a lightness, "" where there is none.
func (s GreySystem) StepAt(lightness float64) string {
	for _, step := range s.Steps {
		if step.Lightness == lightness {
			return step.Name
		}
	}
	return ""
}

// Tin is an undercoat of the system as a component, with the newest density that
// is known of a tin of this name, and what else the shelf says of it. from is the
// recipe that the density stands in, "" where it is the system's own or there is
// none.
func (s GreySystem) Tin(t GreyTin, shelf []Recipe) (c Component, from string) {
	c = Component{Name: strings.TrimSpace(t.Name), Role: RoleBase, Density: t.Density, Tolerance: greyTolerance}
	found := false
	for _, r := range shelf {
		for _, other := range r.Components {
			if !strings.EqualFold(strings.TrimSpace(other.Name), c.Name) {
				continue
			}
			if !found || r.ID == s.LikeID {
				c.Content, c.PricePerL, found = other.Content, other.PricePerL, true
			}
			if other.Density.Known() && (!c.Density.Known() || other.Density.SinceMS > c.Density.SinceMS) {
				c.Density, from = other.Density, r.Name
			}
		}
	}
	return c, from
}

// greyTolerance is the shop's usual one of a base: common practice, no source.
const greyTolerance = 0.02

// GreyMix is a grey of a system as it can be poured.
type GreyMix struct {
	Shade     coating.Shade
	Fit       coating.Grey
	Lightness float64
	// Recipe has the light undercoat first and the dark one second; either may
	// lack its density.
	Recipe Recipe
}

// Grey makes a lightness into a recipe. It is refused outside what was drawn
// down, where one of the two alone is that grey, and where the recipe that it is
// mixed like is not on the shelf. now is written beside what it came from.
func (s GreySystem) Grey(lightness float64, shelf []Recipe, now time.Time) (GreyMix, error) {
	fit, err := s.Fit()
	if err != nil {
		return GreyMix{}, err
	}
	shade, err := fit.For(lightness)
	if err != nil {
		return GreyMix{}, err
	}
	const alone = 0.0005
	for _, end := range []struct {
		share float64
		tin   GreyTin
	}{{shade.Dark, s.Light}, {1 - shade.Dark, s.Dark}} {
		if end.share < alone {
			return GreyMix{}, fmt.Errorf("a lightness of %.4g is %s alone%s: there is nothing to mix, pour it as it is", lightness, end.tin.Name, asItsCard(shade))
		}
	}
	r, err := s.like(shelf)
	if err != nil {
		return GreyMix{}, err
	}
	light, _ := s.Tin(s.Light, shelf)
	dark, _ := s.Tin(s.Dark, shelf)
	if r, err = intoBase(r, light, dark, shade.Dark); err != nil {
		return GreyMix{}, err
	}
	r.ID = s.recipeID(lightness)
	r.Name = s.Name + ", " + s.word(lightness)
	spread, fromCards := fit.Spread()
	scatter := "taken to scatter by half an L*"
	if fromCards {
		scatter = fmt.Sprintf("that scatter by %.1f with the usual half an L* weighed in", spread)
	}
	r.Note = fmt.Sprintf("Grey of L* %.4g ± %.1f%s: %.2f %% of %s in the two undercoats by volume, fitted on %s from %d drawdowns %s. %s",
		lightness, coating.Coverage*shade.Uncertainty, asItsCard(shade), 100*shade.Dark, dark.Name, now.Format("2 Jan 2006"), len(s.Cards), scatter, r.Note)
	r.Note = strings.TrimSpace(r.Note)
	return GreyMix{Shade: shade, Fit: fit, Lightness: lightness, Recipe: r}, r.Check()
}

// asItsCard says of a grey at an end of the drawdowns what its own one dried to.
func asItsCard(s coating.Shade) string {
	if !s.End {
		return ""
	}
	return fmt.Sprintf(", whose own drawdown dried to L* %.1f ± %.1f", s.CardL, coating.Coverage*s.Uncertainty)
}

// word is a grey for people: the shop's step, or its L*.
func (s GreySystem) word(lightness float64) string {
	if step := s.StepAt(lightness); step != "" {
		return step
	}
	return "grey " + number(lightness)
}

// recipeID is the same for the same grey, so that making it again makes a new
// version of it and not a second one.
func (s GreySystem) recipeID(lightness float64) string {
	return "grey-" + s.ID + "-" + strings.ReplaceAll(number(lightness), ".", "-")
}

// like is the recipe whose base the two take the place of.
func (s GreySystem) like(shelf []Recipe) (Recipe, error) {
	if s.LikeID == "" {
		return Recipe{Basis: ByVolume, Components: []Component{{Role: RoleBase, Parts: 100}}}, nil
	}
	for _, r := range shelf {
		if r.ID == s.LikeID {
			return r, nil
		}
	}
	return Recipe{}, fmt.Errorf("%s is mixed like a recipe that is not on the shelf any more: bring that back, or choose another", s.Name)
}

// intoBase puts the two undercoats in the place of the base of a recipe. What
// was given in per cent becomes parts, because the base that it was a
// percentage of is two tins now.
func intoBase(r Recipe, light, dark Component, share float64) (Recipe, error) {
	at, bases := -1, 0
	for i, c := range r.Components {
		if c.Role == RoleBase {
			at, bases = i, bases+1
		}
	}
	if bases != 1 {
		return r, fmt.Errorf("%s has %d components that are a base: a grey takes the place of just one, choose another recipe", r.Name, bases)
	}
	of := [2]float64{1 - share, share}
	if r.Basis == ByWeight {
		if !light.Density.Known() || !dark.Density.Known() {
			return r, fmt.Errorf("%s counts by weight: the densities of %s and of %s are needed to turn a share of the volume into one of the weight", r.Name, light.Name, dark.Name)
		}
		lightG, darkG := of[0]*light.Density.GPerML, of[1]*dark.Density.GPerML
		of = [2]float64{lightG / (lightG + darkG), darkG / (lightG + darkG)}
	}
	shares, err := r.shares()
	if err != nil {
		return r, err
	}
	whole := r.Components[at].Parts
	if whole == 0 {
		whole = 100
	}
	var out []Component
	for i, c := range r.Components {
		c.Parts, c.Percent, c.Of = roundParts(shares[i]/shares[at]*whole), 0, ""
		if i != at {
			out = append(out, c)
			continue
		}
		light.Parts, dark.Parts = roundParts(whole*of[0]), roundParts(whole*of[1])
		out = append([]Component{light, dark}, out...)
	}
	r.Components = out
	return r, nil
}

// roundParts is the one place where the parts of a grey are rounded: to four
// figures, far finer than a drawdown tells and short enough to be read.
func roundParts(x float64) float64 {
	if !(x > 0) || math.IsInf(x, 0) {
		return x
	}
	const figures = 4
	scale := math.Pow(10, figures-1-math.Floor(math.Log10(x)))
	return math.Round(x*scale) / scale
}

// Weighed is how sure the grey is once this plan of its recipe is poured on a
// scale of this accuracy. It needs both densities.
func (m *GreyMix) Weighed(p *Plan, a Accuracy) (coating.Weighing, error) {
	var l [2]coating.Layer
	for i := range l {
		d := m.Recipe.Components[i].Density
		u, _ := d.Spread()
		l[i] = coating.Layer{Grams: p.Targets[i].MassG, DensityGML: d.GPerML, DensityU: u}
	}
	return m.Fit.Weighed(m.Shade, l[0], l[1], a.ScaleAccuracy)
}
