package mix

import (
	"fmt"
	"slices"
	"strings"

	"gramcup/mix/coating"
)

// maxOver bounds the stages over a base.
const maxOver = 4

// StagesFigure is the VOC of a topcoat of several stages together, which US
// rules hold against the topcoat's limit in place of the base alone (40 CFR
// 59.104(a)(2)).
type StagesFigure struct {
	Asked  bool // the recipe says what goes over it
	Known  bool
	WhyNot string
	GL     float64 // less water and exempt solvent
	// PlusMinusGL is its expanded uncertainty (k = 2), 0 where none is known.
	PlusMinusGL float64
	Names       []string // the base first, the clear last
	Text        string
	// Held is the comparison with the limit that governs, of the topcoat categories
	// that the base is used as; HeldWhyNot says why there is none.
	Held       *coating.Comparison
	HeldWhyNot string
}

// ofStages tells a limit that counts the stages of a topcoat together.
func ofStages(l Limit) bool {
	return l.Basis == coating.BasisRegulatory && strings.Contains(strings.ToLower(l.Category), "topcoat")
}

// stages works out the stages together; over is what goes over the base, the
// clear last.
func (f *Figures) stages(over []Recipe, s Settings) {
	x := &f.VOC.Stages
	if x.Asked = len(over) > 0; !x.Asked {
		return
	}
	x.Names = []string{f.Recipe.Name}
	all, plusMinus := make([]float64, 0, len(over)), make([]float64, 0, len(over))
	for _, r := range over {
		gl, pm, err := regulatoryGL(r)
		if err != nil {
			x.WhyNot = fmt.Sprintf("The stages together are not known. %s", err)
			return
		}
		x.Names = append(x.Names, r.Name)
		all, plusMinus = append(all, gl), append(plusMinus, pm)
	}
	if !f.VOC.Known {
		x.WhyNot = "The stages together are not known, because this one is not."
		return
	}
	last := len(all) - 1
	gl, err := coating.MultiStage(f.VOC.VOC.RegulatoryGL, all[:last], all[last])
	if err != nil {
		x.WhyNot = err.Error()
		return
	}
	x.Known, x.GL = true, gl
	x.PlusMinusGL = coating.MultiStagePlusMinus(f.VOC.Sure.Spread.Regulatory.PlusMinusGL(), plusMinus[:last], plusMinus[last])
	x.Text = fmt.Sprintf("The %d stages together (%s): VOC %s %s, the clear counted twice.", len(x.Names), strings.Join(x.Names, ", "), VOCText(gl, x.PlusMinusGL), coating.BasisRegulatory)
	f.holdStages(s)
}

// regulatoryGL is the VOC of a recipe ready to spray, with its ± on no scale.
func regulatoryGL(r Recipe) (gl, plusMinusGL float64, err error) {
	if len(r.Components) == 0 {
		return 0, 0, &coating.Refusal{Sentence: fmt.Sprintf("What goes over it is not on the shelf any more (%s): choose it again.", r.Name)}
	}
	const anyG = 1000
	p, err := r.Plan(Amount{Kind: AmountMass, Grams: anyG})
	if err != nil {
		return 0, 0, err
	}
	v, err := r.VOC(&p)
	if err != nil {
		return 0, 0, err
	}
	sure, err := r.VOCSure(&p, Accuracy{})
	return v.RegulatoryGL, sure.Spread.Regulatory.PlusMinusGL(), err
}

func (f *Figures) holdStages(s Settings) {
	x := &f.VOC.Stages
	limits, err := s.LimitsOf(&f.Recipe)
	if err != nil {
		x.HeldWhyNot = err.Error()
		return
	}
	for _, l := range limits {
		if spare := l.GL - x.GL; ofStages(l) && (x.Held == nil || spare < x.Held.Spare) {
			x.Held = &coating.Comparison{Limit: l, GL: x.GL, Spare: spare, PlusMinusGL: x.PlusMinusGL}
		}
	}
	if x.Held == nil {
		x.HeldWhyNot = "Which topcoat category is it used as? Choose one of its table: only those count the stages together."
		return
	}
	x.Text += " " + HeldText(*x.Held)
	category, more := strings.ToLower(x.Held.Limit.Category), len(x.Names) > 2
	if more && strings.Contains(category, "one or two stages") || !more && strings.Contains(category, "more than two stages") {
		x.Text += fmt.Sprintf(" That category is for another number of stages: these are %d.", len(x.Names))
	}
}

// ofItself takes out of the limits those that the stages are held against
// together.
func (f *Figures) ofItself(limits []Limit) []Limit {
	if !f.VOC.Stages.Known {
		return limits
	}
	return slices.DeleteFunc(limits, ofStages)
}
