package coating

import (
	"math"
	"strings"
)

// Weighed is one net weight with its standard uncertainty, both in grams.
type Weighed struct {
	Grams, UncertaintyG float64
}

// NetOf is the difference of two readings of a scale whose readings scatter by
// repeatabilityG and are shown in steps of divisionG: each carries s² + d²/12,
// and the difference carries both (JCGM 100, 5.1.2).
func NetOf(grams, repeatabilityG, divisionG float64) Weighed {
	return Weighed{Grams: grams, UncertaintyG: math.Sqrt2 * ReadingUncertaintyG(repeatabilityG, divisionG)}
}

// ReadingUncertaintyG is the standard uncertainty of one reading: repeatability
// and the rectangular distribution of the last digit (JCGM 100, 4.3.7).
func ReadingUncertaintyG(repeatabilityG, divisionG float64) float64 {
	return math.Sqrt(repeatabilityG*repeatabilityG + divisionG*divisionG/12)
}

// Measured is a density that was measured, with what it holds for.
type Measured struct {
	GML          float64
	Uncertainty  float64 // standard, in g/ml
	VolumeML     float64 // of the vessel to its mark
	TemperatureC float64 // of the paint
}

// Mark is how well a vessel can be filled to its mark twice: a height of about
// a millimetre either way, as a standard uncertainty of the volume. A brimful
// pycnometer has next to none; a marked cup has several per mille.
type Mark struct {
	RelativeFill float64 // of the volume, for one filling
}

// CupMark is the mark on a vessel of a straight wall: half a millimetre of
// height, read by eye (common practice, no source), on a column of heightMM.
func CupMark(heightMM float64) Mark { return Mark{RelativeFill: markReadMM / heightMM} }

// markReadMM is how well a height is met when a vessel is filled to a mark
// slowly, with the eye at its height.
const markReadMM = 0.5

// minVesselML is the smallest vessel that is worth weighing on a bench scale.
const minVesselML = 5.0

// AgainstWater is the density of a paint from its net weight and that of water
// filled to the same mark: the vessel's volume is the water's mass over its
// density (ASTM D1475, ISO 2811-1), the paint's density its mass over that
// volume. Both are taken at their own temperatures, 0 to 40 °C for the water.
// The uncertainty holds the two weighings and the two fillings.
func AgainstWater(water Weighed, waterC float64, paint Weighed, paintC float64, m Mark) (Measured, error) {
	rho, err := WaterDensityGML(waterC)
	if err != nil {
		return Measured{}, err
	}
	if !(paintC >= coldC && paintC <= hotC) {
		return Measured{}, refuse("Paint at %.4g °C can not be right: give %.0f to %.0f °C.", paintC, coldC, hotC)
	}
	if !(m.RelativeFill >= 0 && m.RelativeFill < 1) {
		return Measured{}, refuse("A mark so low can not be filled to twice: its height above the bottom must be more than %.1f mm.", markReadMM)
	}
	if !(water.Grams > 0 && paint.Grams > 0) {
		return Measured{}, refuse("The water weighs %.4g g and the paint %.4g g: both must be above 0, without the vessel.", water.Grams, paint.Grams)
	}
	d := Measured{VolumeML: water.Grams / rho, TemperatureC: paintC}
	if d.VolumeML < minVesselML {
		return Measured{}, refuse("The mark holds only %.2g ml of water: take a vessel of at least %.0f ml, better 100.", d.VolumeML, minVesselML)
	}
	d.GML = paint.Grams / d.VolumeML
	w, p := water.UncertaintyG/water.Grams, paint.UncertaintyG/paint.Grams
	d.Uncertainty = d.GML * math.Sqrt(w*w+p*p+2*m.RelativeFill*m.RelativeFill)
	return d, nil
}

// FromBothRatios is the density of a second component from a tin that states
// the ratio both by volume and by weight, and the density of the first: with
// va:vb by volume and wa:wb by weight, ρb = ρa·(wb/wa)·(va/vb).
// The ratio by weight on a tin is rounded: see Rounding.
func FromBothRatios(firstGML, volumeA, volumeB, weightA, weightB float64) (float64, error) {
	for _, x := range []float64{firstGML, volumeA, volumeB, weightA, weightB} {
		if !(x > 0) || math.IsInf(x, 0) {
			return 0, refuse("The density of the first component and both ratios are needed, each above 0.")
		}
	}
	return firstGML * (weightB / weightA) * (volumeA / volumeB), nil
}

// Rounding is the standard uncertainty of a figure as it is printed: half a unit
// of its last digit either way, all alike likely (JCGM 100, 4.3.7).
func Rounding(printed string) float64 {
	_, decimals, _ := strings.Cut(strings.TrimSpace(printed), ".")
	return 0.5 * math.Pow10(-len(decimals)) / math.Sqrt(3)
}

// AtTemperature moves a density from the temperature it holds for to another,
// both in °C, by the coefficient of expansion of the liquid for a kelvin:
// ρ = ρref/(1 + β·ΔT).
func AtTemperature(gml, referenceC, celsius, perK float64) float64 {
	return gml / (1 + perK*(celsius-referenceC))
}

// FarFromReferenceK is how far a shop may be from the temperature of a density
// before a person is warned.
const FarFromReferenceK = 10.0

// Expansion coefficients for a kelvin. Those of solvents are from Perry's
// handbook, 8th ed., table 2-32; that of a pigmented paint is from memory: its
// solids expand less.
const (
	ExpansionPaintPerK   = 0.0008
	ExpansionReducerPerK = 0.0011
	// ExpansionMaxPerK is the largest that is believed: acetone has 0.00143.
	ExpansionMaxPerK = 0.002
)

// How well an expansion is known, for a kelvin: that of a pigmented paint lies
// between 0.0006 and 0.0010 (from memory); where none is given it may be anything
// between that of a filler and that of acetone.
const (
	expansionHalfPerK    = 0.0002
	expansionUnknownPerK = 0.0014
)

// MovingUncertaintyGML is the standard uncertainty in g/ml that moving a density
// to another temperature adds, for the expansion is known no better than that:
// rectangular (JCGM 100, 4.3.7). perK is 0 where no expansion is given.
func MovingUncertaintyGML(gml, referenceC, celsius, perK float64) float64 {
	half := expansionHalfPerK
	if perK == 0 {
		half = expansionUnknownPerK
	}
	return gml * math.Abs(celsius-referenceC) * half / math.Sqrt(3)
}

// RatioShift is by how much the ratio of b to a, by volume, is above the one
// weighed for, as a fraction, when both are warmer than their densities by
// deltaK: only the difference of the coefficients matters.
func RatioShift(perKA, perKB, deltaK float64) float64 {
	return (1+perKB*deltaK)/(1+perKA*deltaK) - 1
}

// What a shop, and the paint in it, can be, in °C.
const coldC, hotC = -10.0, 50.0

// CheckTemperature refuses temperatures and coefficients that are slips, and
// asks again where the shop is far from the reference.
func CheckTemperature(referenceC, celsius, perK float64) error {
	switch {
	case !(referenceC >= coldC && referenceC <= hotC):
		return refuse("A density that holds for %.4g °C can not be right: give %.0f to %.0f °C.", referenceC, coldC, hotC)
	case !(celsius >= coldC && celsius <= hotC):
		return refuse("A shop at %.4g °C can not be right: give %.0f to %.0f °C.", celsius, coldC, hotC)
	case !(perK >= 0 && perK <= ExpansionMaxPerK):
		return refuse("An expansion of %.4g for a kelvin can not be right: paint has about %.4f, solvent up to %.4f.", perK, ExpansionPaintPerK, 0.0015)
	case math.Abs(celsius-referenceC) > FarFromReferenceK:
		return &Refusal{Ask: true, Sentence: sprintf("The paint is at %.0f °C and its density holds for %.0f °C: more than %.0f K apart the correction is a guess. Let the tins come to %.0f °C, or measure the density here.",
			celsius, referenceC, FarFromReferenceK, referenceC)}
	}
	return nil
}
