package main

import (
	"fmt"
	"io"
	"strings"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// greyWeighing is what pouring a grey by weight adds to how sure it is; all are L*,
// standard.
type greyWeighing struct {
	LightnessU       float64 `json:"lightness_uncertainty"` // the drawdowns, the densities and the scale together
	DensitiesU       float64 `json:"densities_lightness_uncertainty"`
	ScaleU           float64 `json:"scale_lightness_uncertainty"` // 0 where no scale is given
	PerGram          float64 `json:"lightness_per_g"`             // by how much L* falls for a gram more of the dark one
	DensitiesAssumed bool    `json:"densities_assumed"`           // half a per cent, where one came without an uncertainty
	Scale            string  `json:"scale,omitempty"`             // what was taken for it, in words
}

// densities are those that are typed, and of --system those that are not.
func (c *greyCmd) densities() [2]mix.Density {
	d := c.tins
	for i, typed := range [2]float64{c.Light, c.Dark} {
		if typed != 0 {
			d[i] = mix.Density{GPerML: typed}
		}
	}
	return d
}

// weigh adds grams where both densities are known, and what weighing them adds to
// the uncertainty: no density is assumed.
func (c *greyCmd) weigh(j *greyJSON, pair coating.Grey, s coating.Shade) error {
	division, err := parseDivision(c.Division)
	if err != nil {
		return err
	}
	scale, err := c.accuracy(division)
	if err != nil {
		return err
	}
	d := c.densities()
	if !d[0].Known() || !d[1].Known() {
		j.WhyNoWeights = "Without both densities there are no grams: give --light and --dark, or pour by volume."
		return nil
	}
	var layers [2]coating.Layer
	w := greyWeighing{}
	for i, ml := range [2]float64{j.LightML, j.DarkML} {
		if _, err := kindFlag("").check(d[i].GPerML); err != nil {
			return err
		}
		u, given := d[i].Spread()
		w.DensitiesAssumed = w.DensitiesAssumed || !given
		layers[i] = coating.Layer{Grams: ml * d[i].GPerML, DensityGML: d[i].GPerML, DensityU: u}
	}
	j.LightG, j.DarkG = &layers[0].Grams, &layers[1].Grams
	if layers[0].Grams == 0 || layers[1].Grams == 0 {
		return nil // one of the two alone: nothing is weighed together
	}
	sure, err := pair.Weighed(s, layers[0], layers[1], scale.ScaleAccuracy)
	if err != nil {
		return err
	}
	w.LightnessU, w.DensitiesU, w.ScaleU, w.PerGram = sure.Uncertainty, sure.Paint, sure.Scale, sure.PerGram
	if division > 0 {
		w.Scale = scale.Text()
	}
	j.Weighed = &w
	return nil
}

func (j greyJSON) print(out io.Writer) error {
	w := table(out)
	row := func(name string, ml float64, g *float64) {
		grams := ""
		if g != nil {
			grams = fmt.Sprintf("%.1f", *g)
		}
		fmt.Fprintf(w, "%s\t%.1f\t%s\t\n", name, ml, grams)
	}
	fmt.Fprintf(w, "undercoat\tml\tgrams\t\n")
	row("light", j.LightML, j.LightG)
	row("dark ", j.DarkML, j.DarkG)
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(out, "\n"+strings.Join(j.sentences(), "\n"))
	_, err := fmt.Fprintln(out, "Draw this mix down before it goes under a colour.")
	return err
}

// sentences say what the grey is and how sure, and what that does not count.
func (j greyJSON) sentences() (out []string) {
	const k = coating.Coverage
	from := "from your cards and the usual scatter of half an L* a card"
	if !j.FromCards {
		from = "with a scatter of half an L* a card, an assumption: from four cards on, yours count too"
	}
	if j.EndCard != nil {
		of := fmt.Sprintf("%.4g %% of the dark one", 100*j.DarkShare)
		switch j.DarkShare {
		case 0:
			of = "the light one alone"
		case 1:
			of = "the dark one alone"
		}
		out = append(out, fmt.Sprintf("L* %.4g is where your cards end: %s, which dried to L* %.1f ± %.1f, %s.", j.Wanted, of, *j.EndCard, k*j.LightnessU, from))
	} else {
		out = append(out, fmt.Sprintf("L* %.1f ± %.1f, %s; that is %.1f ± %.1f %% of the dark one by volume.", j.Wanted, k*j.LightnessU, from, 100*j.DarkShare, 100*k*j.DarkShareU))
	}
	if j.WhyNoWeights != "" {
		out = append(out, j.WhyNoWeights)
	}
	switch w := j.Weighed; {
	case j.LightML == 0 || j.DarkML == 0:
	case w == nil:
		out = append(out, "The ± holds the drawdowns alone: densities and scale come on top, and count most for a small share of the dark one.")
	default:
		out = append(out, w.sentences()...)
	}
	return out
}

func (w *greyWeighing) sentences() []string {
	const k = coating.Coverage
	densities := "densities ± " + mix.TwoFigures(k*w.DensitiesU)
	if w.DensitiesAssumed {
		densities += " (half a per cent where one came without)"
	}
	if w.Scale == "" {
		return []string{fmt.Sprintf("Weighed ± %.1f L*: %s; what the scale adds is not counted: give --division.", k*w.LightnessU, densities)}
	}
	return []string{
		fmt.Sprintf("Weighed ± %.1f L*: scale ± %s, %s. A pour off its line is not counted: 1 g more of the dark one is %s L* darker.",
			k*w.LightnessU, mix.TwoFigures(k*w.ScaleU), densities, mix.TwoFigures(w.PerGram)),
		"Worked out for " + w.Scale + ".",
	}
}
