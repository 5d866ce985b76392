package coating

import "math"

// Layer is one component of a mix, poured or planned, for telling how sure its
// ratio is.
type Layer struct {
	Grams      float64
	DensityGML float64
	DensityU   float64 // standard uncertainty, g/ml
}

// ScaleAccuracy is what one reading of a scale is worth.
type ScaleAccuracy struct {
	RepeatabilityG float64 // standard deviation of repeated weighings
	DivisionG      float64
}

// Ratio is a ratio by volume with how sure it is.
type Ratio struct {
	Value         float64 // volume of the first over that of the second
	Uncertainty   float64 // standard
	ScaleRelative float64 // relative part from the scale alone
	PaintRelative float64 // relative part from the two densities
}

// Coverage is the factor of an expanded uncertainty that covers about 95 %
// (JCGM 100, 6.3.3).
const Coverage = 2.0

// ExpandedRelative is the expanded uncertainty as a fraction of the ratio.
func (r Ratio) ExpandedRelative() float64 { return Coverage * r.Uncertainty / r.Value }

// RatioOf is the ratio by volume of layer a to layer b with its uncertainty, by
// the law of propagation (JCGM 100, 5.1.2 eq. 10). shared is for two layers
// poured one on the other without a new zero between: the reading between them
// belongs to both nets, and its covariance adds 2u²/(ma·mb) to the square of
// the relative uncertainty (eq. 13).
func RatioOf(a, b Layer, s ScaleAccuracy, shared bool) (Ratio, error) {
	for _, l := range [...]Layer{a, b} {
		if !(l.Grams > 0 && l.DensityGML > 0 && l.DensityU >= 0) {
			return Ratio{}, refuse("A ratio needs both weights and both densities, each above 0; one has %.4g g at %.4g g/ml.", l.Grams, l.DensityGML)
		}
	}
	reading := ReadingUncertaintyG(s.RepeatabilityG, s.DivisionG)
	ua, ub := math.Sqrt2*reading/a.Grams, math.Sqrt2*reading/b.Grams
	scale := ua*ua + ub*ub
	if shared {
		scale += 2 * reading * reading / (a.Grams * b.Grams)
	}
	da, db := a.DensityU/a.DensityGML, b.DensityU/b.DensityGML
	paint := da*da + db*db
	r := Ratio{Value: (a.Grams / a.DensityGML) / (b.Grams / b.DensityGML)}
	r.ScaleRelative, r.PaintRelative = math.Sqrt(scale), math.Sqrt(paint)
	r.Uncertainty = r.Value * math.Sqrt(scale+paint)
	return r, nil
}

// VolumeRelative is the relative standard uncertainty of a volume that is weighed
// out by its density: the net weight's and the density's (JCGM 100, 5.1.6).
func VolumeRelative(l Layer, s ScaleAccuracy) (float64, error) {
	if !(l.Grams > 0 && l.DensityGML > 0 && l.DensityU >= 0) {
		return 0, refuse("A volume needs a weight and a density, each above 0; this has %.4g g at %.4g g/ml.", l.Grams, l.DensityGML)
	}
	net := NetOf(l.Grams, s.RepeatabilityG, s.DivisionG).UncertaintyG / l.Grams
	return math.Hypot(net, l.DensityU/l.DensityGML), nil
}

// roundedSpread is the standard deviation of the difference of two rounded
// readings, in divisions: 1/√6, as 0.41. A repeatability below it says nothing
// (United States Pharmacopeia <41>; the 0.41 is from memory).
const roundedSpread = 0.41

// SmallestG is the smallest net weight, in grams, that a scale weighs to a
// tolerance given as a fraction: 2·s/tolerance, with s not below 0.41 divisions
// (the rule of USP <41>, whose own tolerance is 0.10 %).
func SmallestG(s ScaleAccuracy, tolerance float64) (float64, error) {
	if !(tolerance > 0 && tolerance < 1) {
		return 0, refuse("A tolerance of %.4g %%: give one above 0 and below 100 %%.", tolerance*percent)
	}
	return 2 * math.Max(s.RepeatabilityG, roundedSpread*s.DivisionG) / tolerance, nil
}

// Smallest is the smallest batch that a scale can mix honestly.
type Smallest struct {
	Batch     float64 // in the unit of the volume that was asked about
	Component int     // the one that needs it, 0-based
	NeedG     float64 // the least weight of that component
}

// SmallestBatch scales a planned batch down until its weakest component is the
// smallest weight that the scale holds to the component's tolerance. grams and
// tolerances go together; volume is that of the plan, in any unit.
func SmallestBatch(grams, tolerances []float64, volume float64, s ScaleAccuracy) (Smallest, error) {
	if len(grams) == 0 || len(grams) != len(tolerances) {
		return Smallest{}, refuse("Each component needs a weight and a tolerance.")
	}
	best := Smallest{}
	for i, g := range grams {
		need, err := SmallestG(s, tolerances[i])
		if err != nil {
			return Smallest{}, err
		}
		if !(g > 0) {
			return Smallest{}, refuse("Component %d weighs %.4g g in this batch: it must be above 0.", i+1, g)
		}
		if batch := volume * need / g; batch > best.Batch {
			best = Smallest{Batch: batch, Component: i, NeedG: need}
		}
	}
	return best, nil
}
