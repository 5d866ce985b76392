package ui

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// Where a density came from, as the shelf says it.
const (
	sourceSheet   = "product sheet"
	sourceRatios  = "the tin's two ratios"
	sourceWeighed = "weighed here against water"
)

// setDensities gives each component its density: as typed from the sheet, from
// the tin's two ratios, or as it stood in the recipe before. A density with
// another past can not be posted: what says "weighed here" was weighed here.
func setDensities(now time.Time, r *mix.Recipe, old mix.Recipe, given []ShelfDensity) error {
	r.Components = slices.Clone(r.Components)
	for i := range r.Components {
		c, g := &r.Components[i], ShelfDensity{}
		if i < len(given) {
			g = given[i]
		}
		if err := setOne(now, r, c, i, old, g); err != nil {
			return fmt.Errorf("%s: %w", c.Name, err)
		}
	}
	return nil
}

func setOne(now time.Time, r *mix.Recipe, c *mix.Component, i int, old mix.Recipe, g ShelfDensity) error {
	switch {
	case g.Typed != "" && g.ByWeight != "":
		return fmt.Errorf("give its density or the ratio by weight, not both")
	case g.Typed != "":
		d, err := mix.ParseDensity(strings.ReplaceAll(g.Typed, ",", "."))
		if err != nil {
			return err
		}
		d.AsGiven, d.Source, d.SinceMS = strings.TrimSpace(g.Typed), sourceSheet, now.UnixMilli()
		if g.AtC != nil {
			d.ReferenceC = *g.AtC
		}
		d.ExpansionPerK = expansionOf(old, c.Name)
		c.Density = d
	case g.ByWeight != "":
		d, err := fromRatios(r, i, g.ByWeight)
		if err != nil {
			return err
		}
		d.SinceMS, d.ExpansionPerK = now.UnixMilli(), expansionOf(old, c.Name)
		c.Density = d
	case c.Density.Known() && !slices.ContainsFunc(old.Components, func(o mix.Component) bool { return o.Density == c.Density }):
		return fmt.Errorf("a density is typed from the sheet, worked out from the tin's two ratios or measured; this one is of none of these")
	}
	return nil
}

// fromRatios is the density of component i of a recipe by volume whose tin also
// says how much of it goes with the first one by weight, "100:19.5".
func fromRatios(r *mix.Recipe, i int, text string) (mix.Density, error) {
	first, second, found := strings.Cut(strings.ReplaceAll(text, ",", "."), ":")
	a, errA := strconv.ParseFloat(strings.TrimSpace(first), 64)
	b, errB := strconv.ParseFloat(strings.TrimSpace(second), 64)
	switch {
	case !found || errA != nil || errB != nil:
		return mix.Density{}, fmt.Errorf("the ratio by weight is %q: write two numbers like 100:19.5, the first component and this one", text)
	case i == 0:
		return mix.Density{}, fmt.Errorf("the first component is what the others are compared with: it needs a density of its own")
	case r.Basis != mix.ByVolume:
		return mix.Density{}, fmt.Errorf("the recipe counts by weight already: the tin's ratio by volume is needed too")
	case !r.Components[0].Density.Known():
		return mix.Density{}, fmt.Errorf("%s needs its density first: the two ratios only tell how the others compare with it", r.Components[0].Name)
	}
	const anyML = 1000
	volumes, err := r.VolumesML(anyML)
	if err != nil {
		return mix.Density{}, err
	}
	gml, err := coating.FromBothRatios(r.Components[0].Density.GPerML, volumes[0], volumes[i], a, b)
	if err != nil {
		return mix.Density{}, err
	}
	ref := r.Components[0].Density
	spread, _ := ref.Spread()
	return mix.Density{
		GPerML: gml, ReferenceC: ref.ReferenceC, Source: sourceRatios,
		// No surer than the first density and the last digit on the tin.
		UncertaintyGML: gml * math.Hypot(spread/ref.GPerML, coating.Rounding(second)/b),
		AsGiven:        fmt.Sprintf("%s by weight, %.4g g/ml for %s", strings.TrimSpace(text), ref.GPerML, r.Components[0].Name),
	}, nil
}

// expansionOf is how much a component of the recipe before expands: a new
// density does not change the liquid.
func expansionOf(old mix.Recipe, name string) float64 {
	for _, c := range old.Components {
		if c.Name == name {
			return c.Density.ExpansionPerK
		}
	}
	return 0
}
