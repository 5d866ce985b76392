package coating

import "math"

// Part is one component of a ready-to-spray mix, as far as its solvent goes.
// Either its composition is known, as shares of its mass, or only the VOC that
// its sheet states.
type Part struct {
	Name       string
	VolumeML   float64
	DensityGML float64 // needed with a composition

	Composed bool    // the three shares are known, 0 included
	Volatile float64 // share of the mass that evaporates, water and exempt solvent included
	Water    float64 // share of the mass
	Exempt   float64 // share of the mass that the rules in force exempt
	// ExemptDensityGML is the density of the exempt solvent; needed where there is any.
	ExemptDensityGML float64

	StatedGL float64 // VOC from the sheet in g/l; 0 with no composition is not known
	// Plain says that the sheet's figure is of a product without water and exempt
	// solvent, where all bases agree. Any other stated figure can not be averaged.
	Plain bool
}

// VOC is the content of volatile organic compounds of a mix, in g/l, on the
// bases that rules use. It is calculated from what was entered and never a
// finding: a required measurement is not replaced by it (ASTM D5201).
type VOC struct {
	VolumeML     float64
	MaterialGL   float64 // per volume of the whole mix
	RegulatoryGL float64 // per volume less water and exempt solvent (40 CFR 59.104)
	// EuropeanGL is per volume less water, exempt solvent counting as any other
	// (Directive 2004/42/EC; that it knows no exempt list is from memory).
	EuropeanGL float64
	// EuropeanWholeGL is the same per volume of the whole mix, for sub-category
	// (a), preparatory and cleaning products, where water is not taken off.
	EuropeanWholeGL float64

	organicG, exemptG, waterG float64 // organicG without exempt
	waterML, exemptML         float64
}

// Limits of plausibility; they catch a slipped digit.
const (
	maxVOCGL = 2000.0
	// heaviestSolventGML is well above parachlorobenzotrifluoride, about 1.34 g/ml
	// (from memory); chlorinated solvents reach 1.6.
	heaviestSolventGML = 1.7
	// A stated VOC may be off by its own rounding and by that of the shares and
	// the density: 5 % (common practice, no source).
	statedSlack = 0.05
	statedC     = 20.0 // where water is 0.9982 g/ml
	// shareSlack forgives the rounding of percentages on a sheet.
	shareSlack = 1e-9
)

// MixVOC works out the VOC of a mix from its parts: masses add, and so, taken as
// ideal, do volumes. celsius is the temperature of the paint, for the density of
// its water. What it can not know it refuses.
func MixVOC(parts []Part, celsius float64) (VOC, error) {
	if len(parts) == 0 {
		return VOC{}, refuse("There is nothing in the mix: name its components.")
	}
	var v VOC
	for _, p := range parts {
		if err := v.add(p, celsius); err != nil {
			return VOC{}, err
		}
	}
	return v, v.divide()
}

// add adds a part; the temperature plays a role only where there is water in it.
func (v *VOC) add(p Part, celsius float64) error {
	if err := p.check(); err != nil {
		return err
	}
	v.VolumeML += p.VolumeML
	if !p.Composed {
		v.organicG += p.StatedGL * p.VolumeML / millilitresPerL
		return nil
	}
	mass := p.VolumeML * p.DensityGML
	v.waterG += mass * p.Water
	v.exemptG += mass * p.Exempt
	v.organicG += mass * (p.Volatile - p.Water - p.Exempt)
	if p.Exempt > 0 {
		v.exemptML += mass * p.Exempt / p.ExemptDensityGML
	}
	if p.Water == 0 {
		return nil
	}
	waterGML, err := WaterDensityGML(celsius)
	if err != nil {
		return err
	}
	v.waterML += mass * p.Water / waterGML
	return nil
}

// divide is 40 CFR 59.104(a)(1), and its relatives on other volumes.
func (v *VOC) divide() error {
	counted, european := v.VolumeML-v.waterML-v.exemptML, v.VolumeML-v.waterML
	if v.VolumeML <= 0 {
		return refuse("All volumes are 0: there is no mix.")
	}
	if counted <= 0 || european <= 0 {
		return refuse("Water and exempt solvent fill more than the whole mix (%.4g of %.4g ml): a density or a share is wrong.", v.waterML+v.exemptML, v.VolumeML)
	}
	perL := func(g, ml float64) float64 { return g / ml * millilitresPerL }
	v.MaterialGL = perL(v.organicG, v.VolumeML)
	v.RegulatoryGL = perL(v.organicG, counted)
	v.EuropeanGL = perL(v.organicG+v.exemptG, european)
	v.EuropeanWholeGL = perL(v.organicG+v.exemptG, v.VolumeML)
	return nil
}

func (p Part) check() error {
	if !(p.VolumeML >= 0) || math.IsInf(p.VolumeML, 0) {
		return refuse("%s: the volume is %.4g ml; give 0 or more.", p.Name, p.VolumeML)
	}
	if !p.Composed {
		return p.checkStated()
	}
	inShare := func(x float64) bool { return x >= 0 && x <= 1 }
	switch {
	case !(p.DensityGML > 0):
		return refuse("%s has no density, so its shares by weight say nothing about a litre: measure it or copy it from the sheet.", p.Name)
	case !inShare(p.Volatile) || !inShare(p.Water) || !inShare(p.Exempt):
		return refuse("%s: volatile, water and exempt solvent are shares of its weight, each from 0 to 100 %%.", p.Name)
	case p.Water+p.Exempt > p.Volatile+shareSlack:
		return refuse("%s: water and exempt solvent together (%.4g %%) are more than all that is volatile (%.4g %%): the volatile share includes them.",
			p.Name, (p.Water+p.Exempt)*percent, p.Volatile*percent)
	case p.Exempt > 0 && !(p.ExemptDensityGML > 0):
		return refuse("%s holds exempt solvent but its density is not given: without it the volume to take off is not known.", p.Name)
	case p.Exempt > 0 && !(p.ExemptDensityGML >= LightestGML && p.ExemptDensityGML <= heaviestSolventGML):
		return refuse("%s: an exempt solvent of %.4g g/ml can not be right: acetone has 0.79, the heaviest in use about 1.34.", p.Name, p.ExemptDensityGML)
	case p.Plain && p.Water+p.Exempt > 0:
		return refuse("%s is said to hold neither water nor exempt solvent, and %.4g %% of its weight are: one of the two is wrong.", p.Name, (p.Water+p.Exempt)*percent)
	}
	return p.checkBoth()
}

// checkBoth holds the VOC that a sheet states beside the one that follows from its
// shares: where both stand there they agree on one of the bases, or one is wrong.
func (p Part) checkBoth() error {
	if p.StatedGL == 0 {
		return nil
	}
	alone := p
	alone.StatedGL, alone.VolumeML = 0, millilitresPerL
	v, err := MixVOC([]Part{alone}, statedC)
	if err != nil {
		return err
	}
	for _, gl := range []float64{v.MaterialGL, v.RegulatoryGL, v.EuropeanGL, v.EuropeanWholeGL} {
		if math.Abs(p.StatedGL-gl) <= statedSlack*gl {
			return nil
		}
	}
	return refuse("%s: its sheet states %.4g g/l, and its shares by weight make %.0f g/l of the material and %.0f g/l less water and exempt solvent: one of them is wrong. Leave out the one that you trust less.",
		p.Name, p.StatedGL, v.MaterialGL, v.RegulatoryGL)
}

func (p Part) checkStated() error {
	switch {
	case p.StatedGL == 0 && !p.Plain:
		return refuse("%s: its VOC is not known. Give its volatile, water and exempt shares by weight, or the VOC on its sheet; it is never taken as 0.", p.Name)
	case !(p.StatedGL >= 0 && p.StatedGL <= maxVOCGL):
		return refuse("%s: a VOC of %.4g g/l can not be right: no solvent is heavier than %.0f g/l.", p.Name, p.StatedGL, maxVOCGL)
	case !p.Plain:
		return refuse("%s: its sheet states %.4g g/l, and it is not said that it holds no water and no exempt solvent. Such a figure can not be averaged with others: give its volatile, water and exempt shares by weight.", p.Name, p.StatedGL)
	}
	return nil
}

// MultiStage is the VOC of a topcoat of more than one stage, in g/l: the base,
// any midcoats, and the clear counted twice, over the number of midcoats and
// three. 40 CFR 59.104(a)(2) prints it as a picture; with no midcoat it is
// (base + 2 clear)/3 in Kern County APCD rule 410.4A and San Luis Obispo APCD
// rule 423, and the general form is from memory.
func MultiStage(baseGL float64, midsGL []float64, clearGL float64) (float64, error) {
	sum := baseGL + 2*clearGL
	for _, m := range midsGL {
		sum += m
		if !(m >= 0 && m <= maxVOCGL) {
			return 0, refuse("A midcoat of %.4g g/l: give 0 to %.0f; no solvent is heavier.", m, maxVOCGL)
		}
	}
	if !(baseGL >= 0 && baseGL <= maxVOCGL) || !(clearGL >= 0 && clearGL <= maxVOCGL) {
		return 0, refuse("Base %.4g g/l and clear %.4g g/l: give 0 to %.0f for both; no solvent is heavier.", baseGL, clearGL, maxVOCGL)
	}
	return sum / float64(len(midsGL)+3), nil
}

// Basis is the volume that a limit counts by.
type Basis string

// The bases of limits.
const (
	BasisRegulatory    Basis = "less water and exempt solvent"
	BasisEuropean      Basis = "less water"
	BasisEuropeanWhole Basis = "of the whole product"
	BasisMaterial      Basis = "of the material"
)

// On is the VOC of the mix on a basis, in g/l.
func (v VOC) On(b Basis) (float64, error) {
	switch b {
	case BasisRegulatory:
		return v.RegulatoryGL, nil
	case BasisEuropean:
		return v.EuropeanGL, nil
	case BasisEuropeanWhole:
		return v.EuropeanWholeGL, nil
	case BasisMaterial:
		return v.MaterialGL, nil
	}
	return 0, refuse("The basis %q is not known: use %q, %q, %q or %q.", string(b), string(BasisRegulatory), string(BasisEuropean), string(BasisEuropeanWhole), string(BasisMaterial))
}

// over is the mass that counts and the volume it is counted by.
func (v VOC) over(b Basis) (grams, ml float64) {
	switch b {
	case BasisRegulatory:
		return v.organicG, v.VolumeML - v.waterML - v.exemptML
	case BasisEuropean:
		return v.organicG + v.exemptG, v.VolumeML - v.waterML
	case BasisEuropeanWhole:
		return v.organicG + v.exemptG, v.VolumeML
	}
	return v.organicG, v.VolumeML
}

// MostReducer is the largest volume of a reducer, in millilitres, that may be
// added to a mix before it reaches a limit in g/l. It is refused where there is
// no such volume: the mix is there already, or this reducer never takes it
// there.
// Water and exempt solvent alone are reducers too, which is why it is given as a
// part; its volume does not matter.
func MostReducer(mix VOC, reducer Part, limitGL float64, b Basis, celsius float64) (float64, error) {
	now, err := mix.On(b)
	if err != nil {
		return 0, err
	}
	reducer.VolumeML = millilitresPerL
	var litre VOC
	if err := litre.add(reducer, celsius); err != nil {
		return 0, err
	}
	grams, ml := mix.over(b)
	addG, addML := litre.over(b)
	gl := limitGL / millilitresPerL
	switch {
	case !(limitGL > 0):
		return 0, refuse("The limit is %.4g g/l: give one above 0.", limitGL)
	case now >= limitGL:
		return 0, refuse("The mix is at %.0f g/l already, the limit is %.0f: no reducer can be added.", now, limitGL)
	case addG <= gl*addML:
		return 0, refuse("This reducer never takes the mix to %.0f g/l: the limit sets no largest amount, the sheet does.", limitGL)
	}
	return (gl*ml - grams) / (addG - gl*addML) * millilitresPerL, nil
}

// PerSolidsLbGal is the VOC per gallon of solids from that per gallon less water
// and exempt solvent, both in lb/gal, with the solvent taken at 7.36 lb/gal (30
// TAC 115.423(1); 5 CCR 1001-29 appendix E).
func PerSolidsLbGal(lbGal float64) (float64, error) {
	const solventLbGal = 7.36
	if !(lbGal >= 0 && lbGal < solventLbGal) {
		return 0, refuse("%.4g lb/gal: this conversion takes the solvent as %.2f lb/gal and works below that only.", lbGal, solventLbGal)
	}
	return lbGal / (1 - lbGal/solventLbGal), nil
}
