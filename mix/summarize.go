package mix

import (
	"gramcup/mix/coating"
	"gramcup/scale"
)

// Summarize is the row that stays of an ended batch.
func Summarize(b *Batch) Summary {
	s := Summary{
		Batch: b.ID, Recipe: b.Recipe.Name, RecipeID: b.Recipe.ID,
		Outcome: b.State, OnTheLine: b.State == StateComplete && b.OnTheLine(),
		Started: b.Started, Ended: b.Ended, LevelUps: b.LevelUps,
	}
	s.Job, s.Basis = b.Amount.Job, b.Recipe.Basis
	result, achieved := b.Result()
	s.Index = result.Index
	volumeKnown := true
	var total scale.Mass // summed in whole micrograms
	for i, c := range b.Recipe.Components {
		l := b.Layers[i]
		line := SummaryLine{
			Name: c.Name, Role: c.Role, TargetG: l.Target.Grams(), PouredG: l.Poured.Grams(),
			ErrorG: (l.Poured - l.Target).Grams(), Line: l.Line, Kept: l.Kept,
			DensityGML: c.Density.GPerML, Source: c.Density.Source,
			ReferenceC: c.Density.ReferenceC, SinceMS: c.Density.SinceMS, UncertaintyGML: c.Density.UncertaintyGML,
		}
		if achieved && i > 0 {
			x := result.Certainty.Ratio[i]
			line.Ratio, line.PlusMinus = x.Value, coating.Coverage*x.Uncertainty
		}
		if c.Density.Known() {
			line.VolumeML = line.PouredG / c.Density.GPerML
		} else {
			volumeKnown = false
		}
		total += l.Poured
		s.TotalML += line.VolumeML
		s.Components = append(s.Components, line)
	}
	s.TotalG = total.Grams()
	if !volumeKnown {
		s.TotalML = 0
	}
	return s
}
