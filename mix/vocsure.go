package mix

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gramcup/mix/coating"
)

// VOCSure is how sure the VOC of a plan is, and what was counted for it.
type VOCSure struct {
	Spread coating.VOCSpread
	// Counts says what the ± counts and what nobody gave one of.
	Counts string
	// Sheets is false where of a figure that matters nobody wrote down as what its
	// sheet prints it, so that the ± is too small by that.
	Sheets bool
}

// VOCSure works out the uncertainty of the VOC of a plan, where r is the recipe as
// its sheets have it. A sheet gives no ± of its figures: where it is written down
// how one was printed, it is taken as rounded in its last digit; where not, nothing
// is taken in its place and it is said. A division of 0 leaves the scale out.
func (r *Recipe) VOCSure(p *Plan, a Accuracy) (VOCSure, error) {
	parts, err := r.parts(p)
	if err != nil {
		return VOCSure{}, err
	}
	known := make([]coating.PartU, len(parts))
	var silent, assumed []string
	told := false
	for i := range parts {
		c := r.Components[i]
		u, given := c.Density.Spread()
		if !given {
			assumed = append(assumed, nameOf(r, i))
		}
		var some, all bool
		known[i], some, all = c.sheetU(parts[i].Composed)
		known[i].DensityGML = u
		told = told || some
		if !all {
			silent = append(silent, nameOf(r, i))
		}
	}
	readingG := 0.0
	if a.DivisionG > 0 {
		readingG = coating.ReadingUncertaintyG(a.RepeatabilityG, a.DivisionG)
	}
	s := VOCSure{Sheets: len(silent) == 0}
	if s.Spread, err = coating.MixVOCSpread(parts, known, readingG, usualWaterC); err != nil {
		return VOCSure{}, err
	}
	none := true
	for _, b := range []coating.Basis{coating.BasisMaterial, coating.BasisRegulatory, coating.BasisEuropean, coating.BasisEuropeanWhole} {
		none = none && s.Spread.On(b).PlusMinusGL() == 0
	}
	s.Counts = countsText(none, readingG > 0, told, silent, assumed, len(parts))
	return s, nil
}

// Held is a comparison with the ± of its figure.
func (s VOCSure) Held(c coating.Comparison) coating.Comparison {
	c.PlusMinusGL = s.Spread.On(c.Limit.Basis).PlusMinusGL()
	return c
}

// sheetU is how well the figures of a component's sheet are known that its VOC is
// worked out from: some of them, or all.
func (c *Component) sheetU(composed bool) (u coating.PartU, some, all bool) {
	all = true
	note := func(x float64, known bool) float64 {
		some, all = some || known, all && known
		return x
	}
	if !composed {
		u.StatedGL = note(c.printedU(FigureVOC))
		return u, some, all
	}
	u.Volatile = note(c.printedU(FigureVolatile))
	if c.Content.Water > 0 {
		u.Water = note(c.printedU(FigureWater))
	}
	if c.Content.Exempt > 0 {
		u.Exempt = note(c.printedU(FigureExempt))
		u.ExemptDensityGML = note(c.printedU(FigureExemptDensity))
	}
	return u, some, all
}

// printedU is the standard uncertainty of a figure from its last printed digit, in
// the unit that it is kept in; known is false where nobody wrote down how it was
// printed, or it is another figure by now.
func (c *Component) printedU(f Figure) (u float64, known bool) {
	value := *c.place(f)
	s, noted := said(c.Said, f)
	if !noted {
		s, noted = said(c.Said, twin(f))
	}
	if !noted || s.Value != value || s.AsGiven == "" {
		return 0, false
	}
	digits, _ := numberPart(s.AsGiven)
	number, err := strconv.ParseFloat(digits, 64)
	u = coating.Rounding(digits)
	switch {
	case err != nil:
		return 0, false
	case f == FigureVolatile || f == FigureWater || f == FigureExempt:
		return coating.RoundingOf(value, u*math.Sqrt(3)/100), true // printed in per cent
	case number == 0:
		return 0, true // none is none
	}
	return u * value / number, true
}

// countsText says what the ± of a VOC counts; none is true where that comes to
// nothing.
func countsText(none, scale, told bool, silent, assumed []string, n int) string {
	counted := []string{"the densities"}
	if scale {
		counted = append(counted, "the scale")
	}
	if told {
		counted = append(counted, "the sheets' figures as rounded in their last digit")
	}
	text := "The ± counts " + AndList(counted)
	switch {
	case none && len(silent) > 0:
		return "No ± of this VOC is known: the sheets give none, and the densities do not change it."
	case len(silent) == n && !scale:
		text += " alone; the sheets give no ± of their VOC."
	case len(silent) == n:
		text += "; the sheets give no ± of their VOC."
	case len(silent) > 0:
		text += fmt.Sprintf("; for %s nobody wrote down how the sheet prints it.", AndList(silent))
	default:
		text += "."
	}
	if len(assumed) > 0 {
		text += fmt.Sprintf(" Half a per cent is assumed for the density of %s, which came without one.", AndList(assumed))
	}
	return text
}

// AndList joins words as a sentence does: "a, b and c".
func AndList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// VOCText writes a VOC in g/l with its ±, rounded up so that it never looks surer
// than it is: "562 ± 3 g/l". Where no ± is known it is the figure alone.
func VOCText(gl, plusMinusGL float64) string {
	if !(plusMinusGL > 0) {
		return fmt.Sprintf("%.0f g/l", gl)
	}
	return fmt.Sprintf("%.0f ± %.0f g/l", gl, math.Ceil(plusMinusGL))
}
