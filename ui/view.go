package ui

import (
	"time"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/scale"
)

// viewOf is the batch as a page needs it: every number in its final unit and
// every sentence worked out, so that a page only draws.
func viewOf(b mix.Batch) View {
	v := View{Type: "view", Components: []Component{}, Choices: []Choice{}, Achieved: []string{}}
	v.Headline, v.Detail = mix.Headline(&b)
	if b.ID == "" {
		v.State, v.Decimals = string(mix.StateIdle), 1
		return v
	}
	v.Seq, v.Batch = b.Seq, b.ID
	v.State, v.Phase, v.Hold = string(b.State), string(b.Phase), string(b.Hold)
	v.RecipeID, v.Recipe, v.Ratio = b.Recipe.ID, b.Recipe.Name, mix.RatioText(b.Recipe)
	v.AmountKind, v.Current, v.LevelUps = string(b.Amount.Kind), b.Current, b.LevelUps
	v.CupG, v.CupUsable = b.Cup.Grams(), b.Recipe.CupUsableML
	if b.Layers[0].Target > 0 { // an as-poured batch has no total until its first layer is settled
		v.TotalG, v.TotalML = micro(b.Plan.TotalG), micro(b.Plan.TotalML)
	}
	v.DivisionG, v.Decimals = b.Division.Grams(), decimalsOf(b.Division)
	v.PotLifeMin, v.ReactiveMS = b.Recipe.PotLifeMin, b.Reactive.WallMS
	v.OnTheLine, v.Fault = b.OnTheLine(), b.Fault
	for i := range b.Recipe.Components {
		v.Components = append(v.Components, componentOf(&b, i))
	}
	for _, c := range mix.Choices(&b) {
		v.Choices = append(v.Choices, Choice{Do: string(c.Do), Label: c.Label, Consequences: notNil(c.Consequences), Grave: c.Grave})
	}
	v.JobText = b.Amount.Job.Text()
	if b.State.Ended() {
		v.addResult(&b)
	}
	return v
}

// addResult adds what was achieved.
func (v *View) addResult(b *mix.Batch) {
	r, ok := b.Result()
	if !ok {
		return
	}
	v.Achieved, v.Index, v.IndexText = notNil(r.Text), micro(r.Index), r.IndexText
	for i := 1; i < r.Certainty.N; i++ {
		c, x := &v.Components[i], r.Certainty.Ratio[i]
		c.Ratio, c.PlusMinus = micro(x.Value), micro(x.Value*x.ExpandedRelative())
		c.RatioText = mix.RatioPlusMinus(x.Value, x.Value*x.ExpandedRelative())
	}
}

func componentOf(b *mix.Batch, i int) Component {
	c, l := b.Recipe.Components[i], b.Layers[i]
	out := Component{
		Name: c.Name, Role: string(c.Role), Share: mix.ShareText(b.Recipe, i),
		TargetG: l.Target.Grams(), ToleranceG: b.Tolerance(i).Grams(), PouredG: l.Poured.Grams(),
		Line: string(l.Line), Kept: l.Kept,
		DensityGML: c.Density.GPerML, Source: c.Density.Source,
	}
	if c.Density.Known() {
		out.Provenance = c.Density.Provenance(time.UnixMilli(b.Started.WallMS))
		out.TargetML = micro(l.Target.Grams() / c.Density.GPerML)
		out.PouredML = micro(l.Poured.Grams() / c.Density.GPerML)
	}
	return out
}

// decimalsOf is how many decimals to show grams with: those of the scale, or
// one, which most bench scales have, while it is not known.
func decimalsOf(division scale.Mass) int {
	if division <= 0 {
		return 1
	}
	return mix.Decimals(division)
}

func notNil(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

// healthOf turns the state of the parts into sentences.
func healthOf(h bench.Health) Health {
	out := Health{Type: "health", Scale: string(h.Scale), Identity: h.Identity, Problems: []string{}}
	if h.Stranger {
		out.Stranger = h.KeptOut
	} else {
		out.OtherUnit = h.KeptOut
	}
	switch {
	case h.KeptOut != "":
		out.Problems = append(out.Problems, h.KeptOut) // a sentence already
	case h.Scale == bench.ScaleLost:
		out.Problems = append(out.Problems, withReason("The scale can not be heard", h.Reason))
	case h.Scale == bench.ScaleNever:
		out.Problems = append(out.Problems, withReason("No scale has been heard yet", h.Reason))
	}
	if h.Book != "" {
		out.Problems = append(out.Problems, h.Book) // a sentence already
	}
	return out
}

func withReason(sentence, reason string) string {
	if reason == "" {
		return sentence + "."
	}
	return ended(sentence + ": " + reason)
}
