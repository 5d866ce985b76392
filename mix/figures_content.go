package mix

import (
	"fmt"
	"math"
	"strings"

	"gramcup/mix/coating"
)

// NotAFinding stands beside every VOC.
const NotAFinding = "Calculated from what was entered, not a finding: the product sheet and local rules come first."

// VOCFigure is the VOC of the ready-to-spray mix, held against the strictest
// limit of the categories that it is used as.
type VOCFigure struct {
	Known  bool
	VOC    coating.VOC
	WhyNot string // why there is no VOC
	Sure   VOCSure
	// Held is the comparison with the limit that governs, where there is one;
	// HeldWhyNot says why there is none.
	Held       *coating.Comparison
	HeldWhyNot string
	Text       string // "562 g/l, 18 g/l below the limit of 580 for …"
	// Assumes says whose water and exempt solvent nobody told of, "" for nobody's.
	Assumes string
	// MoreReducerML is how much more reducer takes this batch to its limit, 0
	// where there is no such amount; ReducerText says it or why not, "" where it
	// makes no sense.
	MoreReducerML float64
	ReducerText   string
	// Stages is the VOC of a topcoat in stages: the topcoat's limits are then held
	// against it and not against the mix alone.
	Stages StagesFigure
}

func (f *Figures) voc(s Settings, over []Recipe, a Accuracy) {
	v := &f.VOC
	var err error
	if f.Amount.Kind == AmountAsPoured {
		a = Accuracy{} // nobody knows yet how much the scale will weigh
	}
	if v.VOC, err = f.sheet.VOC(&f.Plan); err == nil {
		v.Sure, err = f.sheet.VOCSure(&f.Plan, a)
	}
	if err != nil {
		v.WhyNot = err.Error()
		f.stages(over, s)
		return
	}
	v.Known, v.Assumes = true, f.sheet.VOCAssumes()
	f.stages(over, s)
	limits, err := s.LimitsOf(&f.Recipe)
	if err == nil {
		if limits = f.ofItself(limits); len(limits) == 0 && v.Stages.Held != nil {
			v.Text = fmt.Sprintf("VOC %s %s, of this stage alone.", v.regulatoryText(), coating.BasisRegulatory)
			return
		}
		var held coating.Comparison
		if held, err = v.VOC.Compare(limits); err == nil {
			held = v.Sure.Held(held)
			v.Held = &held
		}
	}
	if err != nil {
		v.HeldWhyNot = err.Error()
		v.Text = fmt.Sprintf("VOC %s %s.", v.regulatoryText(), coating.BasisRegulatory)
		return
	}
	v.Text = HeldText(*v.Held)
	f.moreReducer()
}

func (v *VOCFigure) regulatoryText() string {
	return VOCText(v.VOC.RegulatoryGL, v.Sure.Spread.Regulatory.PlusMinusGL())
}

// VOCAssumes says in whose content neither water nor exempt solvent is given, nor
// that there is none: it is counted as none, and a person must know that.
func (r *Recipe) VOCAssumes() string {
	var names []string
	for i, c := range r.Components {
		if x := c.Content; x.Volatile > 0 && x.Water == 0 && x.Exempt == 0 && !x.Plain {
			names = append(names, nameOf(r, i))
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "Nothing is said of water and exempt solvent in " + strings.Join(names, ", ") + ": counted as none."
}

// HeldText says where a mix stands to its limit, always with the word, and that it
// is too near to call where the limit lies within the ±.
func HeldText(c coating.Comparison) string {
	word, spare := "below", c.Spare
	if !c.Within() {
		word, spare = "above", -spare
	}
	limit := fmt.Sprintf("the limit of %.0f for %s (%s)", c.Limit.GL, c.Limit.Category, c.Limit.Set)
	switch {
	case c.TooNear():
		return fmt.Sprintf("VOC %s %s, too near to call: %s lies within the ±.", VOCText(c.GL, c.PlusMinusGL), c.Limit.Basis, limit)
	case spare < 1: // closer than any sheet's figures are
		return fmt.Sprintf("VOC %.1f g/l %s: less than 1 g/l %s %s, closer than the sheet's own figures are.", c.GL, c.Limit.Basis, word, limit)
	}
	return fmt.Sprintf("VOC %s %s: %.0f g/l %s %s.", VOCText(c.GL, c.PlusMinusGL), c.Limit.Basis, spare, word, limit)
}

// LimitFrom says where a limit comes from and of when it is.
func LimitFrom(l Limit) string { return fmt.Sprintf("Limit from: %s, %s.", l.Source, l.Date) }

// MostReducer is how much more reducer, in millilitres, takes a mix of this recipe
// to the limit that it was held against, and of which: the one that does so first.
// name is "" and err nil where the recipe has no reducer; err says why there is no
// such amount of any.
func (r *Recipe) MostReducer(v coating.VOC, held coating.Comparison) (ml float64, name string, err error) {
	for i, c := range r.Components {
		if c.Role != RoleReducer {
			continue
		}
		most, why := coating.MostReducer(v, r.Part(i), held.Limit.GL, held.Limit.Basis, usualWaterC)
		switch {
		case why != nil:
			err = why
		case name == "" || most < ml:
			ml, name = most, c.Name
		}
	}
	if name != "" {
		err = nil
	}
	return ml, name, err
}

func (f *Figures) moreReducer() {
	v := &f.VOC
	ml, name, err := f.sheet.MostReducer(v.VOC, *v.Held)
	switch {
	case err != nil:
		v.ReducerText = err.Error()
	case name != "" && f.Amount.Kind != AmountAsPoured: // else nobody knows yet of how much
		v.MoreReducerML = ml
		v.ReducerText = fmt.Sprintf("At most %.0f ml more %s would take this batch to its limit%s; the sheet may allow less.", math.Floor(ml), name, f.sheet.SureReducer(v.VOC, *v.Held))
	}
}

// SureReducer is said behind the amount of MostReducer: how much of it is below
// the limit whatever the ± of the figure; "" where no ± is known.
func (r *Recipe) SureReducer(v coating.VOC, held coating.Comparison) string {
	if held.PlusMinusGL == 0 {
		return ""
	}
	held.Limit.GL -= math.Ceil(held.PlusMinusGL)
	ml, name, err := r.MostReducer(v, held)
	if err != nil || name == "" {
		return ", and by its ± it may be there already"
	}
	return fmt.Sprintf(", %.0f ml by its ±", math.Floor(ml))
}

// IndexFigure is the urethane index of the mix and what a hardener off its line
// does to it.
type IndexFigure struct {
	Known     bool
	Index     float64
	Low, High float64 // at the ends of the hardener's own tolerance
	Text      string
	WhyNot    string // "" as well where the recipe has no hardener
}

func (f *Figures) index() {
	h := f.Recipe.hardener()
	if h < 0 {
		return
	}
	base, hard := f.Recipe.Components[0].Content, f.Recipe.Components[h].Content
	if base.OHValue == 0 && hard.NCOPercent == 0 {
		return // the sheets say nothing of it, and nobody asked
	}
	x := &f.Index
	switch {
	case base.OHValue == 0:
		x.WhyNot = missingText(&f.Recipe, 0, "OH value")
		return
	case hard.NCOPercent == 0:
		x.WhyNot = missingText(&f.Recipe, h, "NCO content")
		return
	}
	var err error
	if x.Index, err = f.Recipe.Index(&f.Plan); err != nil {
		x.WhyNot = err.Error()
		return
	}
	x.Known = true
	tolerance := f.Recipe.Components[h].Tolerance
	x.Low, x.High = x.Index*(1-tolerance), x.Index*(1+tolerance)
	if tolerance == 0 {
		x.Text = fmt.Sprintf("Index %.2f. It goes with the hardener: 10 %% past the line makes it %.2f.", x.Index, 1.1*x.Index)
		return
	}
	x.Text = fmt.Sprintf("Index %.2f. It goes with the hardener: at ±%s %% it is %.2f to %.2f, and 10 %% past the line makes it %.2f.",
		x.Index, number(100*tolerance), x.Low, x.High, 1.1*x.Index)
}

func missingText(r *Recipe, i int, what string) string {
	return fmt.Sprintf("No index: the %s of %s is not known; it stands on its sheet.", what, nameOf(r, i))
}

// hardener is the place of the hardener in the recipe, -1 where it has none
// beside its base.
func (r *Recipe) hardener() int {
	for i, c := range r.Components {
		if c.Role == RoleHardener && i > 0 {
			return i
		}
	}
	return -1
}
