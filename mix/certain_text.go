package mix

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"gramcup/mix/coating"
)

// CertaintyText says before the pour how sure the ratio would be, a sentence
// each: the ratio, what is too small for the scale and what would do, and what
// was assumed of the densities and of the scale.
func CertaintyText(r *Recipe, p *Plan, c *Certainty) []string {
	i := c.leastSure()
	if i == 0 {
		return nil
	}
	x := c.Ratio[i]
	out := []string{fmt.Sprintf("This batch would be %s %s ± %s %%.", ratioOf(x.Value), against(r, i), roundPercent(x.ExpandedRelative()))}
	if w := c.Weakest; w >= 0 {
		out = append(out, fmt.Sprintf("The %s of %s g is too small for a scale of %s: %s would do.",
			nameOf(r, w), short(p.Targets[w].MassG), c.scaleText(), c.wouldDo()))
	}
	if x.PaintRelative > x.ScaleRelative {
		out = append(out, paintText(r, i))
	}
	return append(out, "Worked out for "+c.Accuracy.Text()+".")
}

// paintText says what of the densities of a pair makes its ratio unsure: what was
// assumed of them, what the shop's temperature adds, or one that is known no better.
func paintText(r *Recipe, i int) string {
	var all, assumed, moved, most float64
	least := 0
	for _, k := range [2]int{0, i} {
		d := r.Components[k].Density
		u, given := d.Spread()
		part := (u / d.GPerML) * (u / d.GPerML)
		all += part
		if warm := d.MovedUGML / d.GPerML; !given {
			assumed += part - warm*warm
			moved += warm * warm
		}
		if part > most {
			least, most = k, part
		}
	}
	switch {
	case 2*assumed > all:
		return "Most of that is the half per cent assumed for densities that came without an uncertainty: one measured here with care can be surer."
	case 2*moved > all:
		return "Most of that is how these liquids expand, which is not known: let the tins come to the temperature of their densities."
	case most < 0.6*all:
		return "Most of that comes from the densities, not from the scale."
	}
	return "Most of that is how well the density of " + nameOf(r, least) + " is known, not the scale."
}

// Text says what was taken for a scale: "a scale of 0.1 g that scatters by 0.3 g,
// as it was measured". A reading at rest can not show a scatter below the step,
// so that no figure is said of it.
func (a Accuracy) Text() string {
	division := strconv.FormatFloat(a.DivisionG, 'g', 4, 64)
	if !a.Measured {
		return "a scale of " + division + " g, taken to scatter by one division because nobody measured it"
	}
	if a.Checked.N > 0 {
		return a.checkedText(division)
	}
	if a.RepeatabilityG < a.DivisionG {
		return "a scale of " + division + " g that scatters by less than its step, as it was measured"
	}
	return fmt.Sprintf("a scale of %s g that scatters by %s g, as it was measured", division, strconv.FormatFloat(a.RepeatabilityG, 'g', 2, 64))
}

// checkedText says what the weighings of a check gave, and of which.
func (a Accuracy) checkedText(division string) string {
	from := fmt.Sprintf("from the scale check of %s", time.UnixMilli(a.Checked.AtMS).Format("2 Jan 2006"))
	if a.RepeatabilityG < a.DivisionG {
		return "a scale of " + division + " g that scatters by less than its step, " + from
	}
	return fmt.Sprintf("a scale of %s g, taken to scatter by %s g %s, which put a weight on %d times",
		division, strconv.FormatFloat(a.RepeatabilityG, 'g', 2, 64), from, a.Checked.N)
}

// AchievedText says after the pour what ratio was achieved: "Achieved 4.03 : 1
// ± 0.05, base to hardener." Where the scatter of the scale comes from a check, it
// says of which.
func AchievedText(r *Recipe, c *Certainty) []string {
	var out []string
	for i := 1; i < c.N; i++ {
		x := c.Ratio[i]
		out = append(out, fmt.Sprintf("Achieved %s, %s to %s by %s.", RatioPlusMinus(x.Value, coating.Coverage*x.Uncertainty),
			r.Components[0].Name, r.Components[i].Name, r.Basis))
	}
	if len(out) > 0 && c.Accuracy.Checked.N > 0 {
		out = append(out, "Worked out for "+c.Accuracy.Text()+".")
	}
	return out
}

// RatioPlusMinus writes a ratio with its expanded uncertainty, to two figures of
// that: "4.03 : 1 ± 0.05". "" where there is none.
func RatioPlusMinus(ratio, plusMinus float64) string {
	if ratio <= 0 {
		return ""
	}
	digits := decimalsFor(plusMinus)
	return fmt.Sprintf("%s : 1 ± %s", strconv.FormatFloat(ratio, 'f', digits, 64), strconv.FormatFloat(plusMinus, 'f', digits, 64))
}

// leastSure is the component whose ratio to the first is the least sure.
func (c *Certainty) leastSure() int {
	worst := 0
	for i := 1; i < c.N; i++ {
		if worst == 0 || c.Ratio[i].ExpandedRelative() > c.Ratio[worst].ExpandedRelative() {
			worst = i
		}
	}
	return worst
}

func (c *Certainty) scaleText() string {
	s := strconv.FormatFloat(c.Accuracy.DivisionG, 'g', 4, 64) + " g"
	if c.Accuracy.Measured && c.Accuracy.RepeatabilityG > c.Accuracy.DivisionG {
		s += " that scatters by " + strconv.FormatFloat(c.Accuracy.RepeatabilityG, 'g', 2, 64) + " g"
	}
	return s
}

// wouldDo is the smallest batch that the scale can mix honestly, rounded up to
// what a person would say.
func (c *Certainty) wouldDo() string {
	if c.SmallestML > 0 {
		return number(roundUp(c.SmallestML)) + " ml"
	}
	return number(roundUp(c.SmallestG)) + " g"
}

// roundUp rounds up to two figures, so that what is said is never too little.
func roundUp(x float64) float64 {
	step := math.Pow(10, math.Floor(math.Log10(x))-1)
	return math.Ceil(x/step-1e-9) * step
}

// against names the pair of a ratio.
func against(r *Recipe, i int) string { return "(" + nameOf(r, 0) + " to " + nameOf(r, i) + ")" }

func nameOf(r *Recipe, i int) string {
	if n := strings.TrimSpace(r.Components[i].Name); n != "" {
		return n
	}
	return string(r.Components[i].Role)
}

// ratioOf writes a ratio as a tin does: "4 : 1", "3.33 : 1", and "1 : 1.5" where
// the first is the smaller.
func ratioOf(x float64) string {
	if x < 1 {
		return "1 : " + strconv.FormatFloat(math.Round(100/x)/100, 'f', -1, 64)
	}
	return strconv.FormatFloat(math.Round(x*100)/100, 'f', -1, 64) + " : 1"
}

// roundPercent writes a fraction in per cent with two figures, upwards: a
// certainty is never rounded to more than there is.
func roundPercent(x float64) string {
	p := 100 * x
	digits := decimalsFor(p)
	scale := math.Pow(10, float64(digits))
	return strconv.FormatFloat(math.Ceil(p*scale-1e-9)/scale, 'f', digits, 64)
}

// decimalsFor is how many decimals show two figures of a number, at most four.
func decimalsFor(x float64) int {
	if !(x > 0) {
		return 2
	}
	return min(max(1-int(math.Floor(math.Log10(x))), 0), 4)
}

// short writes a number with as many decimals as a bench needs: none from a
// hundred up.
func short(x float64) string {
	digits := 1
	if x >= 100 {
		digits = 0
	}
	return strconv.FormatFloat(x, 'f', digits, 64)
}
