package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"unicode/utf8"

	"gramcup/mix"
)

// planCmd works out grams.
type planCmd struct {
	ratioFlags
	VolumeML *float64 `name:"volume-ml" group:"amount" placeholder:"600" help:"How much of the mix, in millilitres."`
	MassG    *float64 `name:"mass-g" group:"amount" placeholder:"500" help:"How much of the mix, in grams."`
	FirstG   *float64 `name:"first-g" group:"amount" placeholder:"590" help:"As poured: the grams of the first component that are in the cup."`
	JSON     bool     `name:"json" help:"Print JSON in full precision instead of a table."`
}

// Help teaches by an example.
func (c *planCmd) Help() string {
	return `A ratio by volume is not a ratio by weight: each part is multiplied by its density.

  gramcup plan --ratio 4:1:1 --density 1.42,1.06,0.87 --volume-ml 600

is 568 g of base, 106 g of hardener and 87 g of reducer. Give exactly one of
--volume-ml, --mass-g and --first-g.`
}

// planJSON is the plan in full precision, not rounded to any division.
type planJSON struct {
	Ratio      string          `json:"ratio"`
	Components []planComponent `json:"components"`
	TotalG     float64         `json:"total_g"`
	TotalML    float64         `json:"total_ml"`
	DensityGML float64         `json:"density_g_ml"`
}

type planComponent struct {
	Name         string  `json:"name"`
	Role         string  `json:"role"`
	TargetG      float64 `json:"target_g"`
	VolumeML     float64 `json:"volume_ml"`
	MassFraction float64 `json:"mass_fraction"`
	DensityGML   float64 `json:"density_g_ml"`
}

// Run works it out and prints it.
func (c *planCmd) Run(out io.Writer) error {
	amount, err := c.amount()
	if err != nil {
		return err
	}
	r, err := c.recipe()
	if err != nil {
		return err
	}
	p, err := r.Plan(amount)
	if err != nil {
		return err
	}
	if c.JSON {
		return printJSON(out, planOf(r, p))
	}
	return printPlan(out, r, p)
}

// amount is the one of the three that was given.
func (c *planCmd) amount() (mix.Amount, error) {
	var a mix.Amount
	given := 0
	if c.VolumeML != nil {
		a, given = mix.Amount{Kind: mix.AmountVolume, ML: *c.VolumeML}, given+1
	}
	if c.MassG != nil {
		a, given = mix.Amount{Kind: mix.AmountMass, Grams: *c.MassG}, given+1
	}
	if c.FirstG != nil {
		a, given = mix.Amount{Kind: mix.AmountFirst, Grams: *c.FirstG}, given+1
	}
	if given != 1 {
		return a, errors.New("how much? give exactly one of --volume-ml, --mass-g and --first-g")
	}
	return a, nil
}

func planOf(r mix.Recipe, p mix.Plan) planJSON {
	j := planJSON{Ratio: mix.RatioText(r), TotalG: p.TotalG, TotalML: p.TotalML, DensityGML: p.DensityGML}
	for i, comp := range r.Components {
		t := p.Targets[i]
		j.Components = append(j.Components, planComponent{
			Name: comp.Name, Role: string(comp.Role), TargetG: t.MassG, VolumeML: t.VolumeML,
			MassFraction: t.MassFraction, DensityGML: comp.Density.GPerML,
		})
	}
	return j
}

func printPlan(out io.Writer, r mix.Recipe, p mix.Plan) error {
	fmt.Fprintf(out, "%s\n\n", mix.RatioText(r))
	w := table(out)
	names := flush("component", "together", r.Components, func(c mix.Component) string { return c.Name })
	fmt.Fprintf(w, "%s\tgrams\tml\tof the weight\tdensity\t\n", names[0])
	for i, comp := range r.Components {
		t := p.Targets[i]
		fmt.Fprintf(w, "%s\t%.1f\t%.1f\t%.2f %%\t%.4g\t\n", names[i+1], t.MassG, t.VolumeML, 100*t.MassFraction, comp.Density.GPerML)
	}
	fmt.Fprintf(w, "%s\t%.1f\t%.1f\t100.00 %%\t%.4g\t\n", names[len(names)-1], p.TotalG, p.TotalML, p.DensityGML)
	return w.Flush()
}

// flush makes the texts of a column, with its head and its last line, equally
// long, so that words stand flush left among numbers.
func flush[T any](head, last string, rows []T, text func(T) string) []string {
	column := []string{head}
	for _, row := range rows {
		column = append(column, text(row))
	}
	column = append(column, last)
	width := 0
	for _, s := range column {
		width = max(width, utf8.RuneCountInString(s))
	}
	for i, s := range column {
		column[i] = s + strings.Repeat(" ", width-utf8.RuneCountInString(s))
	}
	return column
}

// table aligns columns to the right, as numbers are read.
func table(out io.Writer) *tabwriter.Writer {
	return tabwriter.NewWriter(out, 0, 0, 3, ' ', tabwriter.AlignRight)
}

func printJSON(out io.Writer, v any) error {
	e := json.NewEncoder(out)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
