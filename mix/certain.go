package mix

import (
	"gramcup/mix/coating"
	"gramcup/scale"
)

// Accuracy is what one reading of the scale is worth.
type Accuracy struct {
	coating.ScaleAccuracy
	Measured bool // the repeatability was measured at this bench; else it is assumed to be a division
	// Checked is the check of the scale that the repeatability comes from; no
	// weighings where it comes from loads at rest.
	Checked scale.Repeats
}

// AccuracyOf takes the noise that the bench has measured, and one division
// where it has not: then nothing looks more certain than it is.
//
// Of loads at rest and of the weighings of a check the larger scatter counts. They
// are not pooled by their degrees of freedom (JCGM 100, 4.2.4), because they are
// not two samples of one scatter: a load at rest shows what the electronics and
// draught do, putting it on again adds the mechanics, and each layer in a cup is
// put on. Some thirty quiet rests pooled with three weighings would hide that.
func AccuracyOf(division scale.Mass, m scale.Manner) Accuracy {
	a := Accuracy{ScaleAccuracy: coating.ScaleAccuracy{RepeatabilityG: division.Grams(), DivisionG: division.Grams()}}
	if m.Stills > 0 {
		a.RepeatabilityG, a.Measured = m.Noise.Grams(), true
	}
	if s := m.Repeats.Standard(division).Grams(); m.Repeats.N > 0 && (s > a.RepeatabilityG || !a.Measured) {
		a.RepeatabilityG, a.Measured, a.Checked = s, true, m.Repeats
	}
	return a
}

// Certainty is how sure the ratio of a batch is, each component against the
// first one.
type Certainty struct {
	N        int
	Accuracy Accuracy
	// Ratio is the first component's amount over this one's, by volume or by
	// weight as the recipe counts; index 0 is empty.
	Ratio [MaxComponents]coating.Ratio
	// NeedG is the least weight of each component that this scale weighs to the
	// component's tolerance.
	NeedG [MaxComponents]float64
	// Weakest is the component that is furthest below what it needs, -1 if none
	// is below; SmallestML and SmallestG are the batch that would do.
	Weakest               int
	SmallestML, SmallestG float64
	Assumed               bool // at least one density came without an uncertainty
}

// Certainty works out how sure the ratio of a plan would be, before a drop is
// poured: the law of propagation of JCGM 100, with the readings that
// neighbouring layers share.
func (r *Recipe) Certainty(p *Plan, a Accuracy) (Certainty, error) {
	var grams [MaxComponents]float64
	for i := range p.Targets[:p.N] {
		grams[i] = p.Targets[i].MassG
	}
	c, err := r.certainty(&grams, p.N, a)
	if err != nil {
		return c, err
	}
	return c, c.smallest(r, p)
}

// Achieved is how sure the ratio is that was poured. Layers that were not
// poured are an error.
func (b *Batch) Achieved(a Accuracy) (Certainty, error) {
	var grams [MaxComponents]float64
	for i := range b.Layers[:b.N()] {
		grams[i] = b.Layers[i].Poured.Grams()
	}
	return b.Recipe.certainty(&grams, b.N(), a)
}

func (r *Recipe) certainty(grams *[MaxComponents]float64, n int, a Accuracy) (Certainty, error) {
	c := Certainty{N: n, Accuracy: a, Weakest: -1}
	var first coating.Layer
	for i := range r.Components[:n] {
		l := coating.Layer{Grams: grams[i], DensityGML: 1}
		if r.Basis == ByVolume {
			d := r.Components[i].Density
			var given bool
			l.DensityGML = d.GPerML
			l.DensityU, given = d.Spread()
			c.Assumed = c.Assumed || !given
		}
		if i == 0 {
			first = l
			continue
		}
		var err error
		if c.Ratio[i], err = coating.RatioOf(first, l, a.ScaleAccuracy, i == 1); err != nil {
			return c, err
		}
	}
	return c, nil
}

// smallest finds the batch in which every component is heavy enough for this
// scale.
func (c *Certainty) smallest(r *Recipe, p *Plan) error {
	worst := 1.0
	for i := range p.Targets[:p.N] {
		tolerance := r.Components[i].Tolerance
		if tolerance == 0 {
			continue // nobody said how near it must be
		}
		need, err := coating.SmallestG(c.Accuracy.ScaleAccuracy, tolerance)
		if err != nil {
			return err
		}
		c.NeedG[i] = need
		short := need / p.Targets[i].MassG
		if short > worst {
			worst, c.Weakest = short, i
		}
		c.SmallestG = max(c.SmallestG, p.TotalG*short)
		c.SmallestML = max(c.SmallestML, p.TotalML*short)
	}
	return nil
}
