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

// The kinds of component, as coating.Kind has them.
const (
	kindSurfacer    = "primer surfacer"
	kindHardener    = "hardener"
	kindReducer     = "reducer"
	kindSolventBase = "solvent base"
	kindWaterBase   = "water base"
	kindClear       = "clear"
)

// The categories that the sample is used as, in the words of the built-in
// limits.
const (
	usPrimer  = "US national, 40 CFR 59 subpart B: Primer and primer surfacer"
	usTopcoat = "US national, 40 CFR 59 subpart B: Topcoat of one or two stages"
	euTopcoat = "EU, Directive 2004/42/EC annex II B: (d) Topcoat: base, clear, single stage"
)

// Sample is the shelf of Kestrel Lane Coachworks, a workshop that repaints
// minibuses. Workshop, products, densities, contents, prices and times are
// invented; the ratios and the ranges in which the densities lie are common
// practice, no source. Not everything is known of everything, as on a real
// shelf: the page then says what is missing.
func Sample() []mix.Recipe {
	return []mix.Recipe{
		{
			ID: "slate-surfacer", Name: "Slate surfacer", Basis: mix.ByVolume, Uses: []string{usPrimer},
			Note: sampleNote + "Two to three coats under the topcoat of a repaired panel.", PotLifeMin: 45, CupUsableML: 650,
			Components: []mix.Component{
				holds(base("Slate surfacer", 4, 1.42, 26), mix.Content{Kind: kindSurfacer, VolumeSolids: 0.52, Volatile: 0.30, OHValue: 38}),
				slateHardener(), mediumReducer(1),
			},
		},
		{
			ID: "lantern-clear", Name: "Lantern clear", Basis: mix.ByVolume, Uses: []string{usTopcoat}, VolumeSolids: 0.43,
			Note: sampleNote + "Two coats over the base; 10 % reducer of clear and hardener together.", PotLifeMin: 120, CupUsableML: 1000,
			Components: []mix.Component{lanternClear(), lanternHardener(), percent(mediumReducer(0), 10, mix.OfParts)},
		},
		{
			ID: "harbour-white", Name: "Harbour white", Basis: mix.ByVolume, Uses: []string{euTopcoat, usTopcoat},
			Note: sampleNote + "Single stage for roofs and lower panels.", PotLifeMin: 180, CupUsableML: 1000,
			Components: []mix.Component{
				holds(base("Harbour white", 100, 1.35, 41), mix.Content{VolumeSolids: 0.50, Volatile: 0.326}),
				unexpanding(holds(hardener("Harbour hardener", 30, 1.10, 48), mix.Content{Kind: kindHardener, VolumeSolids: 0.62, Volatile: 0.304})),
			},
		},
		{
			ID: "ballast-filler", Name: "Ballast high build", Basis: mix.ByVolume, Uses: []string{usPrimer},
			Note: sampleNote + "Thick surfacer for long sanded flanks; the fast reducer holds exempt solvent.", PotLifeMin: 30, CupUsableML: 650,
			Components: []mix.Component{
				holds(base("Ballast high build", 5, 1.58, 29), mix.Content{Kind: kindSurfacer, VolumeSolids: 0.58, Volatile: 0.234}),
				slateHardener(),
				holds(reducer("Drift reducer, fast", 1, 0.86, 11), mix.Content{Kind: kindReducer, Volatile: 1, Exempt: 0.40, ExemptGML: 0.79}),
			},
		},
		{
			ID: "estuary-blue", Name: "Estuary blue, water", Basis: mix.ByVolume, Uses: []string{euTopcoat},
			Note: sampleNote + "Water base for the stripe; it has no hardener and so no pot life.", CupUsableML: 650,
			Components: []mix.Component{
				holds(expanding(base("Estuary blue", 10, 1.04, 57), 0.0004), mix.Content{Kind: kindWaterBase, VolumeSolids: 0.28, Volatile: 0.67, Water: 0.55}),
				holds(expanding(reducer("Estuary water thinner", 1, 1.00, 8), 0.0003), mix.Content{Volatile: 1, Water: 0.97}),
			},
		},
		{
			ID: "ferry-green", Name: "Ferry green", Basis: mix.ByVolume, Uses: []string{usTopcoat},
			Note: sampleNote + "Single stage for whole sides, with slow reducer on warm days.", PotLifeMin: 90, CupUsableML: 1500,
			Components: []mix.Component{
				holds(base("Ferry green", 8, 1.12, 46), mix.Content{Kind: kindSolventBase, VolumeSolids: 0.48, Volatile: 0.409}),
				holds(hardener("Ferry hardener", 4, 1.07, 50), mix.Content{Kind: kindHardener, VolumeSolids: 0.58, VOCGL: 370, Plain: true}),
				holds(reducer("Drift reducer, slow", 1, 0.88, 11), mix.Content{Kind: kindReducer, Volatile: 1}),
			},
		},
		{
			ID: "lantern-flexible", Name: "Lantern clear, flexible", Basis: mix.ByVolume, Uses: []string{usTopcoat},
			Note: sampleNote + "For plastic bumpers; 15 % plasticiser of the clear alone.", PotLifeMin: 100, CupUsableML: 400,
			Components: []mix.Component{
				lanternClear(), lanternHardener(),
				percent(component("Supple additive", mix.RoleAdditive, 0, 1.02, 60, sampleReducer), 15, mix.OfFirst),
			},
		},
	}
}

func slateHardener() mix.Component {
	return holds(hardener("Slate hardener", 1, 1.06, 44), mix.Content{Kind: kindHardener, VolumeSolids: 0.60, Volatile: 0.332, NCOPercent: 16})
}

func lanternClear() mix.Component {
	return holds(base("Lantern clear", 2, 0.98, 38), mix.Content{Kind: kindClear, VolumeSolids: 0.44, Volatile: 0.50, OHValue: 95})
}

func lanternHardener() mix.Component {
	return holds(hardener("Lantern hardener", 1, 1.05, 52), mix.Content{Kind: kindHardener, VolumeSolids: 0.56, Volatile: 0.37, NCOPercent: 14})
}

func mediumReducer(parts float64) mix.Component {
	return holds(reducer("Drift reducer, medium", parts, 0.87, 11), mix.Content{Kind: kindReducer, Volatile: 1})
}

func holds(c mix.Component, content mix.Content) mix.Component {
	c.Content = content
	return c
}

func expanding(c mix.Component, perK float64) mix.Component {
	c.Density.ExpansionPerK = perK
	return c
}

func unexpanding(c mix.Component) mix.Component { return expanding(c, 0) }

func base(name string, parts, gPerML, pricePerL float64) mix.Component {
	c := expanding(component(name, mix.RoleBase, parts, gPerML, pricePerL, sampleBase), 0.0007)
	c.Density.UncertaintyGML = 0.006
	return c
}

func hardener(name string, parts, gPerML, pricePerL float64) mix.Component {
	c := expanding(component(name, mix.RoleHardener, parts, gPerML, pricePerL, sampleHardener), 0.0010)
	c.Density.UncertaintyGML = 0.004
	return c
}

func reducer(name string, parts, gPerML, pricePerL float64) mix.Component {
	c := expanding(component(name, mix.RoleReducer, parts, gPerML, pricePerL, sampleReducer), 0.0011)
	c.Density.UncertaintyGML = 0.003
	return c
}

func component(name string, role mix.Role, parts, gPerML, pricePerL, tolerance float64) mix.Component {
	return mix.Component{
		Name: name, Role: role, Parts: parts, Tolerance: tolerance, PricePerL: pricePerL,
		Density: mix.Density{GPerML: gPerML, ReferenceC: 20, Source: "invented"},
	}
}

func percent(c mix.Component, share float64, of mix.Of) mix.Component {
	c.Percent, c.Of = share, of
	return c
}
