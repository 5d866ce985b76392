package mix

import (
	"fmt"
)

// AmountKind is the way in which somebody says how much.
type AmountKind string

// The ways: a volume of the mix, a mass of the mix, a mass of the first
// component, or by eye: the first component is poured and the rest follow.
const (
	AmountVolume   AmountKind = "volume"
	AmountMass     AmountKind = "mass"
	AmountFirst    AmountKind = "first"
	AmountAsPoured AmountKind = "as-poured"
)

// Limits of an amount: below one gram or millilitre nothing can be poured by
// hand, above 100 kg or litres it is not a bench.
const (
	amountMin = 1
	amountMax = 100_000
)

// Amount says how much to mix: ML for a volume, Grams for a mass or for the
// first component, neither for as poured.
type Amount struct {
	Kind  AmountKind `json:"kind"`
	ML    float64    `json:"ml,omitempty"`
	Grams float64    `json:"g,omitempty"`
	// Job is what a volume was worked out from; zero where a person said it. It is
	// remembered and changes nothing.
	Job Job `json:"job,omitzero"`
}

// Check refuses an amount that can not be poured at a bench.
func (a Amount) Check() error {
	value, unit := a.Grams, "g"
	switch a.Kind {
	case AmountAsPoured:
		return nil
	case AmountVolume:
		value, unit = a.ML, "ml"
	case AmountMass, AmountFirst:
	default:
		return fmt.Errorf("amount of kind %q: say a volume, a mass, the first component's mass, or as poured", a.Kind)
	}
	if !finite(value) || value < amountMin || value > amountMax {
		return fmt.Errorf("%v %s is not an amount for a bench: give %d to %d %s", value, unit, amountMin, amountMax, unit)
	}
	return nil
}

// Target is what one component of a plan comes to.
type Target struct {
	MassG          float64 // grams
	VolumeML       float64 // millilitres, 0 if the density is not known
	MassFraction   float64 // of the whole mix
	VolumeFraction float64 // of the whole mix, 0 if a density is not known
}

// Plan is a recipe turned into grams and millilitres, in full precision: it is
// rounded only where it is shown. Volumes are added as if nothing shrank on
// mixing, which weighing does not depend on (ASTM D5201 assumes the same).
type Plan struct {
	N          int
	Targets    [MaxComponents]Target
	TotalG     float64
	TotalML    float64 // 0 if a density is not known
	DensityGML float64 // of the mix, 0 if a density is not known
}

// Plan works out each component for an amount. A recipe by volume needs every
// density; a recipe by weight needs them only for a wanted volume. For as
// poured, the plan is that of 100 g of the first component, to show shares.
func (r Recipe) Plan(a Amount) (Plan, error) {
	if err := r.Check(); err != nil {
		return Plan{}, err
	}
	if err := a.Check(); err != nil {
		return Plan{}, err
	}
	p, err := r.unitPlan()
	if err != nil {
		return Plan{}, err
	}
	switch a.Kind {
	case AmountVolume:
		if p.TotalML == 0 {
			return Plan{}, fmt.Errorf("recipe %q: %s has no density, so a volume can not be weighed: give an amount in grams, or its density from the product sheet", r.Name, r.unknownDensity())
		}
		return p.scaled(a.ML / p.TotalML), nil
	case AmountMass:
		return p.scaled(a.Grams / p.TotalG), nil
	case AmountFirst:
		return p.scaled(a.Grams / p.Targets[0].MassG), nil
	default:
		return p.scaled(100 / p.Targets[0].MassG), nil
	}
}

// VolumesML is the volume of each component in a mix of so many millilitres. A
// recipe by volume needs no density for it: it is what a stick or a pot shows.
func (r Recipe) VolumesML(ml float64) ([]float64, error) {
	if r.Basis == ByWeight {
		p, err := r.Plan(Amount{Kind: AmountVolume, ML: ml})
		if err != nil {
			return nil, err
		}
		volumes := make([]float64, p.N)
		for i := range volumes {
			volumes[i] = p.Targets[i].VolumeML
		}
		return volumes, nil
	}
	if err := r.Check(); err != nil {
		return nil, err
	}
	if err := (Amount{Kind: AmountVolume, ML: ml}).Check(); err != nil {
		return nil, err
	}
	shares, err := r.shares()
	volumes := make([]float64, len(r.Components))
	for i := range volumes {
		volumes[i] = shares[i] * ml
	}
	return volumes, err
}

// unitPlan is the plan for one unit of the recipe's own basis: 1 mL or 1 g.
func (r Recipe) unitPlan() (Plan, error) {
	shares, err := r.shares()
	if err != nil {
		return Plan{}, err
	}
	p := Plan{N: len(r.Components)}
	volumeKnown := true
	for i, c := range r.Components {
		t := &p.Targets[i]
		switch {
		case r.Basis == ByVolume && !c.Density.Known():
			return Plan{}, fmt.Errorf("recipe %q: %s has no density, and a ratio by volume can not be weighed without it: read it from the product sheet, weigh it against water, or pour by volume marks", r.Name, c.Name)
		case r.Basis == ByVolume:
			t.VolumeML = shares[i]
			t.MassG = shares[i] * c.Density.GPerML
		case c.Density.Known():
			t.MassG = shares[i]
			t.VolumeML = shares[i] / c.Density.GPerML
		default:
			t.MassG = shares[i]
			volumeKnown = false
		}
	}
	p.sum(volumeKnown)
	return p, nil
}

// sum fills in the totals and fractions from the targets.
func (p *Plan) sum(volumeKnown bool) {
	p.TotalG, p.TotalML, p.DensityGML = 0, 0, 0
	for _, t := range p.Targets[:p.N] {
		p.TotalG += t.MassG
		p.TotalML += t.VolumeML
	}
	if !volumeKnown {
		p.TotalML = 0
	}
	for i := range p.Targets[:p.N] {
		t := &p.Targets[i]
		t.MassFraction = t.MassG / p.TotalG
		t.VolumeFraction = 0
		if p.TotalML > 0 {
			t.VolumeFraction = t.VolumeML / p.TotalML
		}
	}
	if p.TotalML > 0 {
		p.DensityGML = p.TotalG / p.TotalML
	}
}

// scaled is the same mix, factor times as much.
func (p Plan) scaled(factor float64) Plan {
	for i := range p.Targets[:p.N] {
		p.Targets[i].MassG *= factor
		p.Targets[i].VolumeML *= factor
	}
	p.TotalG *= factor
	p.TotalML *= factor
	return p
}

func (r Recipe) unknownDensity() string {
	for _, c := range r.Components {
		if !c.Density.Known() {
			return c.Name
		}
	}
	return "a component"
}

// Rescue is what to add to each component so that the ratio holds again.
type Rescue struct {
	Factor float64                // how many times the first plan the cup will hold, ≥ 1
	AddG   [MaxComponents]float64 // grams to add to each, never negative
	TotalG float64                // grams to add in all
	Plan   Plan                   // the raised plan
}

// LevelUp raises a plan just so far that nothing poured stands past its line:
// with component k furthest past, every target becomes poured_k/target_k times
// what it was. It never asks to take out of a mixed cup. pouredG gives the
// grams in the cup for each component, 0 for what was not poured yet.
func (p Plan) LevelUp(pouredG []float64) (Rescue, error) {
	if len(pouredG) > p.N {
		return Rescue{}, fmt.Errorf("%d poured amounts for %d components: give at most one for each", len(pouredG), p.N)
	}
	factor, driver := 1.0, -1
	for i, g := range pouredG {
		if !finite(g) || g < 0 {
			return Rescue{}, fmt.Errorf("poured amount %d is %v g: it must be 0 or more", i+1, g)
		}
		if f := g / p.Targets[i].MassG; f > factor {
			factor, driver = f, i
		}
	}
	r := Rescue{Factor: factor, Plan: p.scaled(factor)}
	for i := range p.Targets[:p.N] {
		add := r.Plan.Targets[i].MassG
		if i < len(pouredG) {
			add -= pouredG[i]
		}
		// The driver is on its line by definition; rounding must not say
		// otherwise.
		if i == driver || add < 0 {
			add = 0
		}
		r.AddG[i] = add
		r.TotalG += add
	}
	return r, nil
}
