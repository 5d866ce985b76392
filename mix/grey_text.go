package mix

import (
	"fmt"

	"gramcup/mix/coating"
)

// GreySure says how sure a grey is, in sentences: by its drawdowns, and, where
// its grams are known, what the scale and the densities add. a is what the scale
// is worth; a division of 0 is not known yet.
func (m *GreyMix) GreySure(p *Plan, a Accuracy) []string {
	const k = coating.Coverage
	s := m.Shade
	first := fmt.Sprintf("± %.1f L* by your drawdowns, or ± %.1f %% of the dark one.", k*s.Uncertainty, 100*k*s.DarkU)
	if s.End {
		first = fmt.Sprintf("Your drawdowns end here: this one dried to L* %.1f, ± %.1f for the next.", s.CardL, k*s.Uncertainty)
	}
	if !s.FromCards {
		first += " Their scatter is assumed, half an L*: a fourth one tells more."
	}
	out := []string{first}
	if missing := m.noDensity(); missing != "" || p.N == 0 {
		return out
	}
	w, err := m.Weighed(p, a)
	if err != nil {
		return append(out, err.Error())
	}
	dark := m.Recipe.Components[1].Name
	out = append(out, fmt.Sprintf("1 g more of %s makes it %s L* darker.", dark, TwoFigures(w.PerGram)))
	if a.DivisionG <= 0 {
		return append(out, "What the scale adds is not known yet: no weight has come from it.")
	}
	return append(out, fmt.Sprintf("Weighed ± %.1f L*: scale ± %s, densities ± %s%s.",
		k*w.Uncertainty, TwoFigures(k*w.Scale), TwoFigures(k*w.Paint), m.assumed()))
}

// assumed says that a density of the two came without an uncertainty, in short, "" where
// both have one.
func (m *GreyMix) assumed() string {
	for _, c := range m.Recipe.Components[:2] {
		if _, given := c.Density.Spread(); !given {
			return " assumed"
		}
	}
	return ""
}

// WhyNoGrams says which density is missing and the ways on; "" where none is.
func (m *GreyMix) WhyNoGrams() string {
	missing := m.noDensity()
	if missing == "" {
		return ""
	}
	return fmt.Sprintf("The density of %s is not known, and none is assumed: millilitres, no grams. Put the grey on the shelf and measure it there, type it from the sheet, or pour by the marks of a cup.", missing)
}

// noDensity names the components that lack one.
func (m *GreyMix) noDensity() (names string) {
	if m.Recipe.Basis == ByWeight {
		return ""
	}
	for _, c := range m.Recipe.Components {
		if c.Density.Known() {
			continue
		}
		if names != "" {
			names += " and of "
		}
		names += c.Name
	}
	return names
}

// TwoFigures writes a small number with the decimals that it needs.
func TwoFigures(x float64) string {
	switch {
	case x < 0.01:
		return "0.01"
	case x < 0.1:
		return fmt.Sprintf("%.2f", x)
	}
	return fmt.Sprintf("%.1f", x)
}
