package simulator

// Cup is an empty cup.
type Cup struct {
	MassG    float64 // its own mass in grams
	UsableML float64 // what it holds to the brim in millilitres; 0 for no brim
}

// cup is a cup with what is in it, by component.
type cup struct {
	Cup
	contentG []float64
}

func newCup(c Cup, components int) *cup {
	return &cup{Cup: c, contentG: make([]float64, components)}
}

func (c *cup) totalG() float64 {
	sum := c.MassG
	for _, g := range c.contentG {
		sum += g
	}
	return sum
}

// take adds grams of a component and returns what runs over the brim. Liquid
// without a density has no known volume and never runs over.
func (c *cup) take(component int, grams float64, jugs []*jug) (overG float64) {
	density := jugs[component].DensityGML
	if c.UsableML > 0 && density > 0 {
		used := 0.0
		for i, g := range c.contentG {
			if d := jugs[i].DensityGML; d > 0 {
				used += g / d
			}
		}
		overG = clamp(grams-(c.UsableML-used)*density, 0, grams)
	}
	c.contentG[component] += grams - overG
	return overG
}

// scoop takes out grams of the mixture as it is and returns what it got.
func (c *cup) scoop(grams float64) (gotG float64) {
	content := c.totalG() - c.MassG
	if content <= 0 {
		return 0
	}
	part := clamp(grams/content, 0, 1)
	for i, g := range c.contentG {
		c.contentG[i] -= g * part
		gotG += g * part
	}
	return gotG
}
