package coating

// Evaporates is what leaves a component, as shares of its mass; Volatile has
// the other two in it. SolventGML is the density of what is neither.
type Evaporates struct {
	Volatile, Water, Exempt float64
	SolventGML, ExemptGML   float64
}

// SolidsFromWeight is the volume solids of a component from what evaporates by
// weight: the volume of all that leaves, taken off a millilitre (the ideal
// volumes of ASTM D5201). Measured solids can differ (ASTM D2697), so this is an
// estimate.
func SolidsFromWeight(densityGML float64, e Evaporates, celsius float64) (float64, error) {
	water, err := WaterDensityGML(celsius)
	if err != nil {
		return 0, err
	}
	organic := e.Volatile - e.Water - e.Exempt
	switch {
	case !(densityGML > 0):
		return 0, refuse("Volume solids follow from weight only with a density: measure it or copy it from the sheet.")
	case !(e.Volatile >= 0 && e.Volatile <= 1) || organic < -shareSlack:
		return 0, refuse("What is volatile is %.4g %%, with %.4g %% of water and exempt solvent in it: that can not be.", e.Volatile*percent, (e.Water+e.Exempt)*percent)
	case e.SolventGML != 0 && !(e.SolventGML >= LightestGML && e.SolventGML <= heaviestSolventGML):
		return 0, refuse("A solvent of %.4g g/ml can not be right: those of paint have 0.7 to 1.1, in g/ml.", e.SolventGML)
	case organic > shareSlack && !(e.SolventGML > 0), e.Exempt > 0 && !(e.ExemptGML > 0):
		return 0, refuse("Volume solids follow from weight only with the density of the solvent: it stands in the safety data sheet.")
	}
	gone := densityGML * e.Water / water
	if organic > shareSlack {
		gone += densityGML * organic / e.SolventGML
	}
	if e.Exempt > 0 {
		gone += densityGML * e.Exempt / e.ExemptGML
	}
	if gone >= 1 {
		return 0, refuse("What evaporates would fill %.4g %% of the volume: a density or a share is wrong.", gone*percent)
	}
	return 1 - gone, nil
}
