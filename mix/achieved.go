package mix

import (
	"fmt"

	"gramcup/scale"
)

// Accuracy is what one reading of the batch's scale is worth, as it was known
// when the batch was started.
func (b *Batch) Accuracy() Accuracy {
	return AccuracyOf(b.Division, scale.Manner{Noise: b.Noise, Stills: b.Stills, Repeats: b.Repeats})
}

// Result is what came of a batch that was poured to its last component.
type Result struct {
	Certainty Certainty
	Text      []string // "Achieved 4.03 : 1 ± 0.05, …", one for each component after the first
	Index     float64  // achieved, 0 where the sheets do not say enough
	IndexText string
}

// Result works out the ratio that was achieved with how sure it is, and the
// index where it is known. ok is false where a layer was not poured or has no
// density.
func (b *Batch) Result() (r Result, ok bool) {
	c, err := b.Achieved(b.Accuracy())
	if err != nil || b.N() == 0 {
		return Result{}, false
	}
	r = Result{Certainty: c, Text: AchievedText(&b.Recipe, &c)}
	var grams [MaxComponents]float64
	for i := range b.Layers[:b.N()] {
		grams[i] = b.Layers[i].Poured.Grams()
	}
	if r.Index = b.Recipe.indexAt(&grams); r.Index > 0 {
		r.IndexText = fmt.Sprintf("Index %.2f achieved.", r.Index)
		if planned, err := b.Recipe.Index(&b.Plan); err == nil {
			r.IndexText = fmt.Sprintf("Index %.2f achieved, %.2f planned.", r.Index, planned)
		}
	}
	return r, true
}

// indexAt is the index of these grams, 0 where it is not known.
func (r *Recipe) indexAt(grams *[MaxComponents]float64) float64 {
	h := r.hardener()
	if h < 0 {
		return 0
	}
	index, err := r.indexOf(grams, h)
	if err != nil {
		return 0
	}
	return index
}

// afterText says what a choice would make of index and certainty, with these
// grams in the end; nothing where neither is known.
func (b *Batch) afterText(grams *[MaxComponents]float64) []string {
	var index string
	planned, err := b.Recipe.Index(&b.Plan)
	if is := b.Recipe.indexAt(grams); err == nil && is > 0 {
		index = fmt.Sprintf("Index %.2f as planned", planned)
		if was := fmt.Sprintf("%.2f", planned); fmt.Sprintf("%.2f", is) != was {
			index = fmt.Sprintf("Index %.2f instead of %s", is, was)
		}
	}
	c, err := b.Recipe.certainty(grams, b.N(), b.Accuracy())
	if err != nil {
		return nonEmpty(index)
	}
	sure := fmt.Sprintf("atio sure to ± %s %%", roundPercent(c.Ratio[c.leastSure()].ExpandedRelative()))
	if index == "" {
		return []string{"R" + sure}
	}
	return []string{index + ", r" + sure}
}

func nonEmpty(s string) []string {
	if s == "" {
		return nil
	}
	return []string{s}
}

// kept are the grams of each component if the current layer stays as it is and
// those to come meet their lines.
func (b *Batch) kept(amount scale.Mass) *[MaxComponents]float64 {
	var grams [MaxComponents]float64
	for i := range b.Layers[:b.N()] {
		is := b.Layers[i].Poured
		if i == b.Current {
			is = amount
		} else if is == 0 {
			is = b.Layers[i].Target
		}
		grams[i] = is.Grams()
	}
	return &grams
}

// raised are the grams of each component after a level-up.
func (r *Rescue) raised() *[MaxComponents]float64 {
	var grams [MaxComponents]float64
	for i := range r.Plan.Targets[:r.Plan.N] {
		grams[i] = r.Plan.Targets[i].MassG
	}
	return &grams
}
