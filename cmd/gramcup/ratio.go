package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"gramcup/mix"
)

// ratioFlags are what a tin says, for the commands that work out grams without
// a shelf.
type ratioFlags struct {
	Ratio        string  `placeholder:"4:1:1" help:"Parts as the tin prints them, base first."`
	Density      string  `placeholder:"1.42,1.06,0.87" help:"One density for each component, in the same order: g/mL, or with a unit (\"1420 g/L\", \"11.85 lb/gal\")."`
	Basis        string  `enum:"volume,weight" default:"volume" help:"What the parts count: ${enum}. The product sheet says which."`
	ExtraPercent float64 `placeholder:"10" help:"One more component given as a percentage, with its density last."`
	ExtraOf      string  `enum:",first,parts,whole" default:"" placeholder:"parts" help:"What the percentage is of: the first component, all that is given in parts (A+B), or the whole mix. Three different answers, so it must be said."`
}

// maxParts is far beyond any tin.
const maxParts = 1_000_000

// recipe makes a recipe of the flags, or says what is wrong with them.
func (f ratioFlags) recipe() (mix.Recipe, error) {
	switch {
	case f.Ratio == "":
		return mix.Recipe{}, errors.New("which ratio? give --ratio 4:1:1, as the tin prints it")
	case f.Density == "" && mix.Basis(f.Basis) == mix.ByVolume:
		return mix.Recipe{}, errors.New("which densities? give --density 1.42,1.06,0.87, one for each component: none is assumed")
	}
	r := mix.Recipe{ID: "typed", Name: f.Ratio, Basis: mix.Basis(f.Basis)}
	for i, p := range strings.Split(f.Ratio, ":") {
		parts, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil {
			return r, fmt.Errorf("--ratio %q: part %d is %q, which is not a number: write it like 4:1:1", f.Ratio, i+1, p)
		}
		if !(parts > 0) || parts > maxParts {
			return r, fmt.Errorf("--ratio %q: part %d is %s: every part must be above 0 and at most %d", f.Ratio, i+1, strings.TrimSpace(p), maxParts)
		}
		r.Components = append(r.Components, mix.Component{Parts: parts})
	}
	if f.ExtraPercent == 0 && f.ExtraOf != "" {
		return r, fmt.Errorf("--extra-of %s: how much of it? add --extra-percent, such as 10", f.ExtraOf)
	}
	if f.ExtraPercent != 0 {
		if f.ExtraOf == "" {
			return r, fmt.Errorf("--extra-percent %v of what? add --extra-of first, parts or whole", f.ExtraPercent)
		}
		r.Components = append(r.Components, mix.Component{Percent: f.ExtraPercent, Of: mix.Of(f.ExtraOf)})
	}
	if f.Density != "" { // by weight none is needed
		if err := f.setDensities(r.Components); err != nil {
			return r, err
		}
	}
	nameComponents(r.Components)
	if err := r.Check(); err != nil {
		return r, err
	}
	return r, nil
}

func (f ratioFlags) setDensities(components []mix.Component) error {
	densities := strings.Split(f.Density, ",")
	if len(densities) != len(components) {
		return fmt.Errorf("--density %q has %d, but the ratio has %d components: give one density for each, in the same order", f.Density, len(densities), len(components))
	}
	for i, s := range densities {
		d, err := mix.ParseDensity(s)
		if err != nil {
			return fmt.Errorf("--density, component %d: %w", i+1, err)
		}
		components[i].Density = d
	}
	return nil
}

// nameComponents names them by the usual order on a tin: base, hardener,
// reducer, and additives after that.
func nameComponents(components []mix.Component) {
	roles := []mix.Role{mix.RoleBase, mix.RoleHardener, mix.RoleReducer}
	for i := range components {
		role := mix.RoleAdditive
		if i < len(roles) {
			role = roles[i]
		}
		components[i].Role = role
		components[i].Name = string(rune('A'+i)) + " " + string(role)
		components[i].Tolerance = 0.03
	}
}

// numbers reads a list of numbers such as "212.4,70.0".
func numbers(flag, list string) ([]float64, error) {
	var out []float64
	for i, s := range strings.Split(list, ",") {
		x, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
		if err != nil {
			return nil, fmt.Errorf("%s %q: number %d is %q: write it like 212.4,70.0", flag, list, i+1, s)
		}
		out = append(out, x)
	}
	return out, nil
}
