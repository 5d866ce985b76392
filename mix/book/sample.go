package book

import "gramcup/mix"

// The shop's own tolerances of the sample: hardener sets whether it cures,
// reducer only how it flows (common practice, no source).
const (
	sampleBase     = 0.02
	sampleHardener = 0.03
	sampleReducer  = 0.05
)

const sampleNote = "Invented for the sample shelf; no such product exists. "

// Sample is the shelf of Kestrel Lane Coachworks, a workshop that repaints
// minibuses. Workshop, products, densities, prices and times are invented; the
// ratios and the ranges in which the densities lie are common practice, no
// source.
func Sample() []mix.Recipe {
	return []mix.Recipe{
		{
			ID: "slate-surfacer", Name: "Slate surfacer", Basis: mix.ByVolume,
			Note: sampleNote + "Two to three coats under the topcoat of a repaired panel.", PotLifeMin: 45, CupUsableML: 650,
			Components: []mix.Component{
				base("Slate surfacer", 4, 1.42, 26), hardener("Slate hardener", 1, 1.06, 44), reducer("Drift reducer, medium", 1, 0.87, 11),
			},
		},
		{
			ID: "lantern-clear", Name: "Lantern clear", Basis: mix.ByVolume,
			Note: sampleNote + "Two coats over the base; 10 % reducer of clear and hardener together.", PotLifeMin: 120, CupUsableML: 1000,
			Components: []mix.Component{
				base("Lantern clear", 2, 0.98, 38), hardener("Lantern hardener", 1, 1.05, 52),
				percent(reducer("Drift reducer, medium", 0, 0.87, 11), 10, mix.OfParts),
			},
		},
		{
			ID: "harbour-white", Name: "Harbour white", Basis: mix.ByVolume,
			Note: sampleNote + "Single stage for roofs and lower panels.", PotLifeMin: 180, CupUsableML: 1000,
			Components: []mix.Component{base("Harbour white", 100, 1.35, 41), hardener("Harbour hardener", 30, 1.10, 48)},
		},
		{
			ID: "ballast-filler", Name: "Ballast high build", Basis: mix.ByVolume,
			Note: sampleNote + "Thick surfacer for long sanded flanks.", PotLifeMin: 30, CupUsableML: 650,
			Components: []mix.Component{
				base("Ballast high build", 5, 1.58, 29), hardener("Slate hardener", 1, 1.06, 44), reducer("Drift reducer, fast", 1, 0.86, 11),
			},
		},
		{
			ID: "estuary-blue", Name: "Estuary blue, water", Basis: mix.ByVolume,
			Note: sampleNote + "Water base for the stripe; it has no hardener and so no pot life.", CupUsableML: 650,
			Components: []mix.Component{base("Estuary blue", 10, 1.04, 57), reducer("Estuary water thinner", 1, 1.00, 8)},
		},
		{
			ID: "ferry-green", Name: "Ferry green", Basis: mix.ByVolume,
			Note: sampleNote + "Single stage for whole sides, with slow reducer on warm days.", PotLifeMin: 90, CupUsableML: 1500,
			Components: []mix.Component{
				base("Ferry green", 8, 1.12, 46), hardener("Ferry hardener", 4, 1.07, 50), reducer("Drift reducer, slow", 1, 0.88, 11),
			},
		},
		{
			ID: "lantern-flexible", Name: "Lantern clear, flexible", Basis: mix.ByVolume,
			Note: sampleNote + "For plastic bumpers; 15 % plasticiser of the clear alone.", PotLifeMin: 100, CupUsableML: 400,
			Components: []mix.Component{
				base("Lantern clear", 2, 0.98, 38), hardener("Lantern hardener", 1, 1.05, 52),
				percent(component("Supple additive", mix.RoleAdditive, 0, 1.02, 60, sampleReducer), 15, mix.OfFirst),
			},
		},
	}
}

func base(name string, parts, gPerML, pricePerL float64) mix.Component {
	return component(name, mix.RoleBase, parts, gPerML, pricePerL, sampleBase)
}

func hardener(name string, parts, gPerML, pricePerL float64) mix.Component {
	return component(name, mix.RoleHardener, parts, gPerML, pricePerL, sampleHardener)
}

func reducer(name string, parts, gPerML, pricePerL float64) mix.Component {
	return component(name, mix.RoleReducer, parts, gPerML, pricePerL, sampleReducer)
}

func component(name string, role mix.Role, parts, gPerML, pricePerL, tolerance float64) mix.Component {
	return mix.Component{
		Name: name, Role: role, Parts: parts, Tolerance: tolerance, PricePerL: pricePerL,
		Density: mix.Density{GPerML: gPerML, ReferenceC: 20, Source: "invented for the sample shelf"},
	}
}

func percent(c mix.Component, share float64, of mix.Of) mix.Component {
	c.Percent, c.Of = share, of
	return c
}
