package coating

import "math"

// PartU is how well a part is known: standard uncertainties, each 0 where the
// figure is exact or nobody knows.
type PartU struct {
	DensityGML       float64
	Volatile         float64 // of the share of the mass, as Water and Exempt
	Water, Exempt    float64
	ExemptDensityGML float64
	StatedGL         float64
}

// Spread is how sure a VOC is, in g/l, standard, by what makes it unsure.
type Spread struct {
	DensitiesGL float64
	SheetsGL    float64 // the shares and the VOC that sheets give
	ScaleGL     float64
}

// AllGL is the standard uncertainty of all together, in g/l.
func (s Spread) AllGL() float64 {
	return math.Sqrt(s.DensitiesGL*s.DensitiesGL + s.SheetsGL*s.SheetsGL + s.ScaleGL*s.ScaleGL)
}

// PlusMinusGL is the expanded uncertainty in g/l (k = 2); 0 where there is nothing
// but the rounding of this arithmetic.
func (s Spread) PlusMinusGL() float64 {
	const nothing = 1e-6
	if all := s.AllGL(); all > nothing {
		return Coverage * all
	}
	return 0
}

// VOCSpread is how sure the VOC of a mix is, on each basis.
type VOCSpread struct {
	Material, Regulatory, European, EuropeanWhole Spread
}

// On is that of a basis.
func (s VOCSpread) On(b Basis) Spread {
	switch b {
	case BasisRegulatory:
		return s.Regulatory
	case BasisEuropean:
		return s.European
	case BasisEuropeanWhole:
		return s.EuropeanWhole
	}
	return s.Material
}

// MixVOCSpread is how sure the VOC of a mix is, by the law of propagation of first
// order (JCGM 100, 5.1.2 eq. 10). What is known of a mix is what was weighed out:
// the mass of each part is its volume times its density, and stays when the
// density turns out to be another one. Parts are poured in their order, one on the
// other, and each reading between two belongs to both (eq. 13): readingG is its
// standard uncertainty, 0 where the scale is not counted. known holds one entry
// for each part. That volumes add is taken as exact.
func MixVOCSpread(parts []Part, known []PartU, readingG, celsius float64) (VOCSpread, error) {
	v, err := MixVOC(parts, celsius)
	if err != nil {
		return VOCSpread{}, err
	}
	if len(known) != len(parts) {
		return VOCSpread{}, refuse("There are %d parts, and of %d it is said how well they are known.", len(parts), len(known))
	}
	waterGML := 1.0 // where there is none it plays no role
	for _, p := range parts {
		if p.Water > 0 {
			if waterGML, err = WaterDensityGML(celsius); err != nil {
				return VOCSpread{}, err
			}
		}
	}
	of := func(b Basis) Spread { return v.spread(slopes{basis: b, waterGML: waterGML}, parts, known, readingG) }
	return VOCSpread{Material: of(BasisMaterial), Regulatory: of(BasisRegulatory), European: of(BasisEuropean), EuropeanWhole: of(BasisEuropeanWhole)}, nil
}

// spread adds up what each figure does to the VOC by its own uncertainty.
func (v VOC) spread(s slopes, parts []Part, known []PartU, readingG float64) Spread {
	grams, ml := v.over(s.basis)
	s.gml, s.ml = grams/ml, ml
	var densities, sheets, scale, before float64
	for i, p := range parts {
		d, u := s.of(p), known[i]
		add := func(to *float64, slope, u float64) { *to += slope * slope * u * u }
		add(&densities, d.density, u.DensityGML)
		add(&sheets, d.volatile, u.Volatile)
		add(&sheets, d.water, u.Water)
		add(&sheets, d.exempt, u.Exempt)
		add(&sheets, d.exemptDensity, u.ExemptDensityGML)
		add(&sheets, d.stated, u.StatedGL/millilitresPerL)
		// The reading between two parts ends the one and begins the other.
		add(&scale, before-d.mass, readingG)
		before = d.mass
	}
	scale += before * before * readingG * readingG
	perL := func(square float64) float64 { return millilitresPerL * math.Sqrt(square) }
	return Spread{DensitiesGL: perL(densities), SheetsGL: perL(sheets), ScaleGL: perL(scale)}
}

// slopes is the mix at which the VOC is looked at.
type slopes struct {
	basis    Basis
	waterGML float64
	gml, ml  float64 // the VOC in g/ml, and the volume that it is counted by
}

// slope is how the VOC in g/ml follows each figure of a part.
type slope struct {
	mass, density, volatile, water, exempt, exemptDensity, stated float64
}

// of are the slopes of a part. The VOC is N/D, so that it moves by (dN - VOC·dD)/D.
func (s slopes) of(p Part) slope {
	move := func(grams, ml float64) float64 { return (grams - s.gml*ml) / s.ml }
	if !p.Composed {
		stated := p.StatedGL / millilitresPerL
		d := slope{stated: move(p.VolumeML, 0)}
		if p.DensityGML > 0 { // else it is poured by volume
			d.mass = move(stated/p.DensityGML, 1/p.DensityGML)
			d.density = move(-stated*p.VolumeML/p.DensityGML, -p.VolumeML/p.DensityGML)
		}
		return d
	}
	mass := p.VolumeML * p.DensityGML
	exemptGML := p.ExemptDensityGML
	if exemptGML == 0 {
		exemptGML = 1 // there is none
	}
	// What a gram of the share takes out of the grams that count and of the volume.
	waterML, exemptML, exemptG := 1/s.waterGML, 1/exemptGML, 1.0
	switch s.basis {
	case BasisMaterial:
		waterML, exemptML = 0, 0
	case BasisEuropean:
		exemptML, exemptG = 0, 0
	case BasisEuropeanWhole:
		waterML, exemptML, exemptG = 0, 0, 0
	}
	return slope{
		mass:          move(p.Volatile-p.Water-exemptG*p.Exempt, 1/p.DensityGML-waterML*p.Water-exemptML*p.Exempt),
		density:       move(0, -p.VolumeML/p.DensityGML),
		volatile:      move(mass, 0),
		water:         move(-mass, -mass*waterML),
		exempt:        move(-mass*exemptG, -mass*exemptML),
		exemptDensity: move(0, mass*p.Exempt*exemptML/exemptGML),
	}
}

// RoundingOf is the standard uncertainty of a share from 0 to 1 that is rounded by
// up to half a step either way, all alike likely (JCGM 100, 4.3.7); above all and
// below nothing there is no share.
func RoundingOf(share, half float64) float64 {
	return (math.Min(share+half, 1) - math.Max(share-half, 0)) / math.Sqrt(12)
}

// MultiStagePlusMinus is the expanded uncertainty of MultiStage from those of its
// stages, all in g/l. The same tins may be in several of them, so they are taken
// as off the same way, which is the most that it can be.
func MultiStagePlusMinus(baseGL float64, midsGL []float64, clearGL float64) float64 {
	sum := baseGL + 2*clearGL
	for _, m := range midsGL {
		sum += m
	}
	return sum / float64(len(midsGL)+3)
}
