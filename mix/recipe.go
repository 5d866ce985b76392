package mix

import (
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"
)

// MaxComponents is the longest recipe: the trade mixes up to five things in
// one cup; eight leaves room and keeps a batch a plain value.
const MaxComponents = 8

// shareMax bounds parts and percentages: "100:30" is as far as tins go, and a
// slip of the finger must not become a plan.
const shareMax = 10_000

// priceMax bounds the price of a litre; dearer is a slip.
const priceMax = 1_000_000

// shareMin is a ten-thousandth of a part: less can be weighed on no bench.
const shareMin = 1e-4

// Basis tells what the parts of a recipe count: the sheet says which.
type Basis string

// The two bases.
const (
	ByVolume Basis = "volume"
	ByWeight Basis = "weight"
)

// Role is what a component does in the mix.
type Role string

// The roles, in the trade's words.
const (
	RoleBase     Role = "base"
	RoleHardener Role = "hardener"
	RoleReducer  Role = "reducer"
	RoleAdditive Role = "additive"
)

// Of is what a percentage is a percentage of. "10 % reducer" has three
// different answers, so it is never left open.
type Of string

// The three answers: of the first component, of all components that are given
// in parts, or of the finished mix.
const (
	OfFirst Of = "first"
	OfParts Of = "parts"
	OfWhole Of = "whole"
)

// Component is one tin of a recipe. It is given either in Parts or as a
// Percent with its Of, never both.
type Component struct {
	Name    string  `json:"name" toml:"name"`
	Role    Role    `json:"role" toml:"role"`
	Parts   float64 `json:"parts,omitempty" toml:"parts,omitempty"`
	Percent float64 `json:"percent,omitempty" toml:"percent,omitempty"`
	Of      Of      `json:"of,omitempty" toml:"of,omitempty"`
	Density Density `json:"density" toml:"density"`
	// Tolerance is the largest error of the component's own amount that still
	// counts as on the line, as a fraction: 0.03 is ±3 %.
	Tolerance float64 `json:"tolerance" toml:"tolerance"`
	// PricePerL is the price of one litre in the shop's money, 0 if not known.
	PricePerL float64 `json:"price_per_l,omitempty" toml:"price_per_l,omitempty"`
	// Content is what else the product sheet says of it.
	Content Content `json:"content,omitzero" toml:"content,omitempty"`
	// Said is where the figures beside ratio and density came from.
	Said []Said `json:"said,omitempty" toml:"said,omitempty"`
}

// Recipe is a ratio with everything needed to pour it by weight.
type Recipe struct {
	ID         string      `json:"id" toml:"id"`
	Name       string      `json:"name" toml:"name"`
	Note       string      `json:"note,omitempty" toml:"note,omitempty"`
	Basis      Basis       `json:"basis" toml:"basis"`
	Components []Component `json:"components" toml:"components"`
	// PotLifeMin is the pot life at 20 °C that the product sheet gives, in
	// minutes; 0 if it gives none.
	PotLifeMin int `json:"pot_life_min,omitempty" toml:"pot_life_min,omitempty"`
	// CupUsableML is how much the shop's usual cup for it holds, in
	// millilitres, below the rim; 0 if not known.
	CupUsableML float64 `json:"cup_usable_ml,omitempty" toml:"cup_usable_ml,omitempty"`
	// VolumeSolids is the share of the ready-to-spray mix that stays as film, as
	// the sheet gives it; 0 works it out from the components, where they say.
	VolumeSolids float64 `json:"volume_solids,omitempty" toml:"volume_solids,omitempty"`
	// Uses are the names of the VOC limits (Limit.Name) of the categories that the
	// mix is used as; where there are several the strictest governs.
	Uses []string `json:"uses,omitempty" toml:"uses,omitempty"`
	// Over are the ids of the recipes that go over this one in further stages of a
	// topcoat, the clear last.
	Over []string `json:"over,omitempty" toml:"over,omitempty"`
	// Said is where the figures of the whole mix came from.
	Said []Said `json:"said,omitempty" toml:"said,omitempty"`
}

// maxUses bounds the categories of one mix.
const maxUses = 20

// PotLife is the sheet's pot life, 0 if there is none.
func (r Recipe) PotLife() time.Duration { return time.Duration(r.PotLifeMin) * time.Minute }

// Check refuses a recipe that can not be right, with a sentence that says
// what, where and what would be right. A missing density is not refused here:
// such a component can still be poured by volume marks.
func (r Recipe) Check() error {
	if strings.TrimSpace(r.Name) == "" {
		return fmt.Errorf("the recipe has no name: give it one that the painter will recognise")
	}
	if !plainText(r.Name) || !plainText(r.Note) {
		return fmt.Errorf("the name or the note of the recipe has characters that can not be seen: type it anew")
	}
	if r.Basis != ByVolume && r.Basis != ByWeight {
		return fmt.Errorf("recipe %q: basis is %q, it must be %q or %q, as the product sheet says", r.Name, r.Basis, ByVolume, ByWeight)
	}
	if n := len(r.Components); n < 2 || n > MaxComponents {
		noun := "components"
		if n == 1 {
			noun = "component"
		}
		return fmt.Errorf("recipe %q has %d %s: a mix has 2 to %d", r.Name, n, noun, MaxComponents)
	}
	if r.PotLifeMin < 0 || !(r.CupUsableML >= 0) || math.IsInf(r.CupUsableML, 1) {
		return fmt.Errorf("recipe %q: pot life and cup volume can not be negative", r.Name)
	}
	if !(r.VolumeSolids >= 0 && r.VolumeSolids <= 1) {
		return fmt.Errorf("recipe %q: volume solids are %v, they are a fraction between 0 and 1: 0.45 for 45 %%", r.Name, r.VolumeSolids)
	}
	if len(r.Uses) > maxUses {
		return fmt.Errorf("recipe %q is used as %d categories of VOC limits: name at most %d", r.Name, len(r.Uses), maxUses)
	}
	if len(r.Over) > maxOver {
		return fmt.Errorf("recipe %q has %d stages over it: a topcoat has at most %d", r.Name, len(r.Over), maxOver)
	}
	for i, c := range r.Components {
		if err := c.check(); err != nil {
			return fmt.Errorf("recipe %q, component %d (%s): %w", r.Name, i+1, c.Name, err)
		}
	}
	_, err := r.shares()
	return err
}

// plainText refuses control characters, and those that turn the direction of
// writing: on a terminal or a label they would show something else than is there.
func plainText(s string) bool {
	return !strings.ContainsFunc(s, func(r rune) bool {
		return unicode.IsControl(r) && !unicode.IsSpace(r) || unicode.Is(unicode.Bidi_Control, r)
	})
}

func (c Component) check() error {
	switch {
	case strings.TrimSpace(c.Name) == "":
		return fmt.Errorf("it has no name: use what stands on the tin")
	case c.Role != RoleBase && c.Role != RoleHardener && c.Role != RoleReducer && c.Role != RoleAdditive:
		return fmt.Errorf("role is %q: use base, hardener, reducer or additive", c.Role)
	case !finite(c.Parts) || !finite(c.Percent) || c.Parts < 0 || c.Percent < 0:
		return fmt.Errorf("its share is %v parts and %v %%: it must be a number above 0", c.Parts, c.Percent)
	case c.Parts > shareMax || c.Percent > shareMax:
		return fmt.Errorf("its share is %v parts and %v %%: no tin says more than %v", c.Parts, c.Percent, float64(shareMax))
	case c.Parts > 0 && c.Parts < shareMin || c.Percent > 0 && c.Percent < shareMin:
		return fmt.Errorf("its share is %v parts and %v %%: no bench can weigh so little", c.Parts, c.Percent)
	case (c.Parts > 0) == (c.Percent > 0):
		return fmt.Errorf("give it either parts or a percentage above 0, not both and not neither")
	case c.Percent >= 100 && c.Of == OfWhole:
		return fmt.Errorf("%v %% of the whole leaves no room for anything else: it must be below 100", c.Percent)
	case c.Percent > 0 && c.Of != OfFirst && c.Of != OfParts && c.Of != OfWhole:
		return fmt.Errorf("%v %% of what? say %q (of the first component), %q (of all that is given in parts) or %q (of the finished mix)", c.Percent, OfFirst, OfParts, OfWhole)
	case !finite(c.Tolerance) || c.Tolerance < 0 || c.Tolerance > 0.5:
		return fmt.Errorf("tolerance is %v: it is a fraction between 0 and 0.5, 0.03 for ±3 %%", c.Tolerance)
	case !(c.PricePerL >= 0 && c.PricePerL <= priceMax):
		return fmt.Errorf("price is %v a litre: it is between 0 and %d", c.PricePerL, priceMax)
	case !plainText(c.Name):
		return fmt.Errorf("its name has characters that can not be seen: type it anew")
	}
	if err := c.Content.check(); err != nil {
		return err
	}
	if c.Density.Known() {
		return c.Density.Check()
	}
	return nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// shares turns parts and percentages into plain shares whose sum is 1. With P
// the sum of the parts, A the first part and Q the sum of the percentages of
// the whole, the whole W solves W = P + extras(A, P) + Q·W.
func (r Recipe) shares() ([MaxComponents]float64, error) {
	var s [MaxComponents]float64
	var parts, wholeFraction float64
	for _, c := range r.Components {
		parts += c.Parts
	}
	if parts <= 0 {
		return s, fmt.Errorf("recipe %q has no component in parts: at least one must be", r.Name)
	}
	fixed := parts
	for i, c := range r.Components {
		switch {
		case c.Percent == 0:
			s[i] = c.Parts
		case c.Of == OfFirst:
			if r.Components[0].Parts == 0 {
				return s, fmt.Errorf("recipe %q: %s is a percentage of the first component, which must then be given in parts", r.Name, c.Name)
			}
			s[i] = c.Percent / 100 * r.Components[0].Parts
			fixed += s[i]
		case c.Of == OfParts:
			s[i] = c.Percent / 100 * parts
			fixed += s[i]
		case c.Of == OfWhole:
			wholeFraction += c.Percent / 100
		}
	}
	if wholeFraction >= 1 {
		return s, fmt.Errorf("recipe %q: percentages of the whole add up to %.4g %%, they must stay below 100", r.Name, wholeFraction*100)
	}
	whole := fixed / (1 - wholeFraction)
	for i, c := range r.Components {
		if c.Percent > 0 && c.Of == OfWhole {
			s[i] = c.Percent / 100 * whole
		}
		s[i] /= whole
	}
	return s, nil
}
