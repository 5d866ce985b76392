package main

import (
	"fmt"
	"io"

	"gramcup/mix"
)

// levelCmd works out a rescue.
type levelCmd struct {
	ratioFlags
	TargetML float64 `name:"target-ml" required:"" placeholder:"600" help:"How much of the mix was wanted, in millilitres."`
	PouredG  string  `name:"poured-g" required:"" placeholder:"212.4,70.0" help:"Grams in the cup of each component, in order; what was not poured yet may be left out."`
	JSON     bool    `name:"json" help:"Print JSON in full precision instead of a table."`
}

// Help teaches by an example.
func (c *levelCmd) Help() string {
	return `When a pour went past its line, the others are raised until the ratio holds again.
Nothing is ever taken out of a mixed cup.

  gramcup level --ratio 3:1 --density 1.05,1.05 --target-ml 203.8 --poured-g 160.5,58

says to add 13.5 g of base.`
}

// levelJSON is the rescue in full precision. TotalG is what the cup holds in
// the end, AddTotalG how much of that is still to be added.
type levelJSON struct {
	Factor     float64          `json:"factor"`
	Components []levelComponent `json:"components"`
	AddTotalG  float64          `json:"add_total_g"`
	TotalG     float64          `json:"total_g"`
	TotalML    float64          `json:"total_ml"`
}

type levelComponent struct {
	Name    string  `json:"name"`
	Role    string  `json:"role"`
	PouredG float64 `json:"poured_g"`
	AddG    float64 `json:"add_g"`
	TargetG float64 `json:"target_g"`
}

// Run works it out and prints it.
func (c *levelCmd) Run(out io.Writer) error {
	r, err := c.recipe()
	if err != nil {
		return err
	}
	p, err := r.Plan(mix.Amount{Kind: mix.AmountVolume, ML: c.TargetML})
	if err != nil {
		return fmt.Errorf("--target-ml: %w", err)
	}
	poured, err := numbers("--poured-g", c.PouredG)
	if err != nil {
		return err
	}
	rescue, err := p.LevelUp(poured)
	if err != nil {
		return fmt.Errorf("--poured-g: %w", err)
	}
	j := levelJSON{Factor: rescue.Factor, AddTotalG: rescue.TotalG, TotalML: rescue.Plan.TotalML}
	for i, comp := range r.Components {
		l := levelComponent{Name: comp.Name, Role: string(comp.Role), AddG: rescue.AddG[i], TargetG: rescue.Plan.Targets[i].MassG}
		if i < len(poured) {
			l.PouredG = poured[i]
		}
		j.TotalG += l.PouredG + l.AddG
		j.Components = append(j.Components, l)
	}
	if c.JSON {
		return printJSON(out, j)
	}
	return printLevel(out, r, j)
}

func printLevel(out io.Writer, r mix.Recipe, j levelJSON) error {
	more := "as much as planned"
	if j.Factor >= 1.0005 { // what would show as 0.0 % is none
		more = fmt.Sprintf("%.1f %% more than planned", 100*(j.Factor-1))
	}
	fmt.Fprintf(out, "%s, %s\n\n", mix.RatioText(r), more)
	w := table(out)
	names := flush("component", "together", j.Components, func(l levelComponent) string { return l.Name })
	fmt.Fprintf(w, "%s\tin the cup g\tadd g\tin the end g\t\n", names[0])
	for i, l := range j.Components {
		fmt.Fprintf(w, "%s\t%.1f\t%.1f\t%.1f\t\n", names[i+1], l.PouredG, l.AddG, l.PouredG+l.AddG)
	}
	fmt.Fprintf(w, "%s\t%.1f\t%.1f\t%.1f\t\n", names[len(names)-1], j.TotalG-j.AddTotalG, j.AddTotalG, j.TotalG)
	if err := w.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(out, "\n%.0f ml in the cup in the end: make sure that it fits.\n", j.TotalML)
	return err
}
