package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"
	"unicode/utf8"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// planCmd works out grams.
type planCmd struct {
	File string `arg:"" optional:"" placeholder:"RECIPE.toml" help:"A recipe file, or a product on the shelf of the book in --data; or say --ratio and --density."`
	ratioFlags
	VolumeML *float64 `name:"volume-ml" group:"amount" placeholder:"600" help:"How much of the mix, in millilitres."`
	MassG    *float64 `name:"mass-g" group:"amount" placeholder:"500" help:"How much of the mix, in grams."`
	FirstG   *float64 `name:"first-g" group:"amount" placeholder:"590" help:"As poured: the grams of the first component that are in the cup."`
	AreaM2   *float64 `name:"area-m2" group:"amount" placeholder:"2.2" help:"The area to paint, in square metres; with --coats and --dry-um. Needs volume solids, so a recipe file."`
	jobFlags
	scaleFlags
	limitFlags
	cupFlags
	ShopC *float64 `name:"shop-c" placeholder:"28" help:"The temperature of the paint in °C: densities are moved there by their expansion."`
	JSON  bool     `name:"json" help:"Print JSON in full precision instead of a table."`
	ofBook
}

// Help teaches by an example.
func (c *planCmd) Help() string {
	return `A ratio by volume is not a ratio by weight: each part is multiplied by its density.

  gramcup plan --ratio 4:1:1 --density 1.42,1.06,0.87 --volume-ml 600

is 568 g of base, 106 g of hardener and 87 g of reducer. Give exactly one of
--volume-ml, --mass-g, --first-g and --area-m2. From a recipe it also says the VOC, held
against --as or what it is used as, and how sure the ratio would be on the scale of
--division, else on the one that the bench has measured:

  gramcup plan slate-surfacer.toml --area-m2 2.2 --coats 2 --dry-um 40 --division 0.1g

With --cup it compares a stick, marks on that cup, and the scale. Densities are moved to
--shop-c by their expansion; more than 10 K from where they hold there is a warning.

` + recipeHelp
}

// planJSON is the plan in full precision, not rounded to any division.
type planJSON struct {
	Ratio      string          `json:"ratio"`
	Components []planComponent `json:"components"`
	TotalG     float64         `json:"total_g"`
	TotalML    float64         `json:"total_ml"`
	DensityGML float64         `json:"density_g_ml"`
	ShopC      *float64        `json:"shop_c,omitempty"`
	Need       *needJSON       `json:"need,omitempty"`
	Cost       float64         `json:"cost,omitempty"` // in the shop's money
	Left       []leftJSON      `json:"left,omitempty"`
	NextCupML  float64         `json:"next_cup_ml,omitempty"`
	VOC        *vocJSON        `json:"voc,omitempty"`
	VOCWhyNot  string          `json:"voc_why_not,omitempty"`
	Limit      *heldJSON       `json:"limit,omitempty"`
	LimitWhy   string          `json:"limit_why_not,omitempty"`
	Sure       *sureJSON       `json:"sure,omitempty"`
	Scale      *scaleJSON      `json:"scale,omitempty"` // where it is taken from the book
	Compare    *compareJSON    `json:"compare,omitempty"`
	Index      *float64        `json:"index,omitempty"`
	Notes      []string        `json:"notes,omitempty"`
}

type planComponent struct {
	Name          string  `json:"name"`
	Role          string  `json:"role"`
	TargetG       float64 `json:"target_g"`
	VolumeML      float64 `json:"volume_ml"`
	MassFraction  float64 `json:"mass_fraction"`
	DensityGML    float64 `json:"density_g_ml"`
	ReferenceC    float64 `json:"density_reference_c"`
	UncertainGML  float64 `json:"density_u_g_ml,omitempty"` // standard, 0 where nobody gave one
	SinceMS       int64   `json:"density_since_ms,omitempty"`
	DensitySource string  `json:"density_source,omitempty"`
	Provenance    string  `json:"density_provenance"`
}

// sureJSON is how sure the ratio of each component to the first would be.
type sureJSON struct {
	DivisionG      float64     `json:"division_g"`
	RepeatabilityG float64     `json:"repeatability_g"`
	Measured       bool        `json:"repeatability_measured"` // else it is taken as one division
	Components     []sureShare `json:"components"`
	SmallestML     float64     `json:"smallest_ml"`
	SmallestG      float64     `json:"smallest_g"`
}

type sureShare struct {
	Name             string  `json:"name"`
	Ratio            float64 `json:"ratio,omitempty"`             // of the first component to it; not of itself
	ExpandedRelative float64 `json:"expanded_relative,omitempty"` // k = 2
	NeedG            float64 `json:"need_g"`
}

// Run works it out and prints it.
func (c *planCmd) Run(out io.Writer) error {
	r, err := c.whichRecipe()
	if err != nil {
		return err
	}
	if err := c.prepare(); err != nil {
		return err
	}
	j, sheet := planJSON{ShopC: c.ShopC}, r
	var said []string
	if c.ShopC != nil {
		w, err := r.At(*c.ShopC)
		if err != nil {
			return fmt.Errorf("--shop-c: %w", err)
		}
		r, j.Notes = w.Recipe, w.Notes
		said = append(said, w.ShiftText()...)
	}
	amount, err := c.amount(&r, &j, &said)
	if err != nil {
		return err
	}
	p, err := r.Plan(amount)
	if err != nil {
		return err
	}
	j.fill(r, p)
	for _, comp := range r.Components {
		if err := coating.Plausible(comp.Content.Kind, comp.Density.GPerML); err != nil && comp.Density.Known() {
			j.Notes = append(j.Notes, comp.Name+": "+err.Error())
		}
	}
	said = append(said, c.around(&r, amount, &p, &j)...)
	said = append(said, c.content(&r, &sheet, &p, &j)...)
	sure, err := c.sure(&r, &p, &j)
	if err != nil {
		return err
	}
	said = append(append(said, sure...), j.Notes...)
	if c.JSON {
		return printJSON(out, j)
	}
	if err := printPlan(out, r, p, j); err != nil {
		return err
	}
	if len(said) > 0 {
		fmt.Fprintln(out, "\n"+strings.Join(said, "\n"))
	}
	if j.Compare == nil {
		return nil
	}
	fmt.Fprintln(out)
	return j.Compare.print(out)
}

// amount is the one of the four that was given.
func (c *planCmd) amount(r *mix.Recipe, j *planJSON, said *[]string) (mix.Amount, error) {
	var a mix.Amount
	given := 0
	for kind, p := range map[mix.AmountKind]*float64{mix.AmountVolume: c.VolumeML, mix.AmountMass: c.MassG, mix.AmountFirst: c.FirstG} {
		switch {
		case p == nil:
			continue
		case kind == mix.AmountVolume:
			a = mix.Amount{Kind: kind, ML: *p}
		default:
			a = mix.Amount{Kind: kind, Grams: *p}
		}
		given++
	}
	if c.AreaM2 != nil {
		given++
	}
	if given != 1 {
		return a, errors.New("how much? give exactly one of --volume-ml, --mass-g, --first-g and --area-m2")
	}
	if c.AreaM2 == nil {
		return a, nil
	}
	n, err := r.ForJob(c.job())
	if err != nil {
		return a, err
	}
	j.Need = &needJSON{MixML: n.MixML, TheoreticalML: n.TheoreticalML, AtGunML: n.AtGunML, WetUM: n.WetUM, CoverM2L: n.CoverM2L, VolumeSolids: n.Solids, SolidsStated: n.Stated}
	*said = append(*said, n.Text()...)
	*said = append(*said, fmt.Sprintf("Assumed: transfer efficiency %.0f %%, %.0f %% lost, %.0f ml left in cup and hose.", 100*c.Transfer, 100*c.Loss, c.DeadML))
	return mix.Amount{Kind: mix.AmountVolume, ML: n.MixML}, nil
}

// sure works out the certainty for a scale of the given division, and holds it
// beside pouring by eye where a cup is given.
func (c *planCmd) sure(r *mix.Recipe, p *mix.Plan, j *planJSON) ([]string, error) {
	j.Scale = c.bench.book
	var said []string
	if c.bench.said != "" {
		said = append(said, c.bench.said)
	}
	accuracy := c.bench.Accuracy
	if err := c.compare(r, p, c.bench, j); err != nil || accuracy.DivisionG == 0 {
		return said, err
	}
	sure, err := r.Certainty(p, accuracy)
	if err != nil {
		return nil, err
	}
	j.Sure = &sureJSON{DivisionG: accuracy.DivisionG, RepeatabilityG: accuracy.RepeatabilityG, Measured: accuracy.Measured, SmallestML: sure.SmallestML, SmallestG: sure.SmallestG}
	for i, comp := range r.Components {
		s := sureShare{Name: comp.Name, NeedG: sure.NeedG[i]}
		if i > 0 {
			s.Ratio, s.ExpandedRelative = sure.Ratio[i].Value, sure.Ratio[i].ExpandedRelative()
		}
		j.Sure.Components = append(j.Sure.Components, s)
	}
	return append(said, mix.CertaintyText(r, p, &sure)...), nil
}

// compare holds stick and cup marks beside the scale.
func (c *planCmd) compare(r *mix.Recipe, p *mix.Plan, a ofScale, j *planJSON) error {
	if !c.given() {
		return nil
	}
	vessel, err := c.vessel()
	if err != nil {
		return err
	}
	if p.TotalML == 0 {
		return errors.New("--cup: marks by volume need each density where the parts count weight: give them in the recipe")
	}
	e, err := r.ByEye(vessel, p.TotalML, a.Accuracy)
	if err != nil {
		return err
	}
	compared := compareOf(e, a)
	j.Compare = &compared
	return nil
}

func (j *planJSON) fill(r mix.Recipe, p mix.Plan) {
	j.Ratio, j.TotalG, j.TotalML, j.DensityGML = mix.RatioText(r), p.TotalG, p.TotalML, p.DensityGML
	for i, comp := range r.Components {
		t, d := p.Targets[i], comp.Density
		j.Components = append(j.Components, planComponent{
			Name: comp.Name, Role: string(comp.Role), TargetG: t.MassG, VolumeML: t.VolumeML, MassFraction: t.MassFraction,
			DensityGML: d.GPerML, ReferenceC: d.ReferenceC, UncertainGML: d.UncertaintyGML, SinceMS: d.SinceMS,
			DensitySource: d.Source, Provenance: d.Provenance(time.Now()),
		})
	}
}

// printPlan prints the grams, and below them where each density is from: none is
// shown without that.
func printPlan(out io.Writer, r mix.Recipe, p mix.Plan, j planJSON) error {
	fmt.Fprintf(out, "%s\n\n", mix.RatioText(r))
	w := table(out)
	names := flush("component", "together", r.Components, func(c mix.Component) string { return c.Name })
	fmt.Fprintf(w, "%s\tgrams\tml\tof the weight\tdensity\t\n", names[0])
	for i, comp := range r.Components {
		t := p.Targets[i]
		fmt.Fprintf(w, "%s\t%.1f\t%s\t%.2f %%\t%s\t\n", names[i+1], t.MassG, known(t.VolumeML, "%.1f"), 100*t.MassFraction, known(comp.Density.GPerML, "%.4g"))
	}
	fmt.Fprintf(w, "%s\t%.1f\t%s\t100.00 %%\t%s\t\n", names[len(names)-1], p.TotalG, known(p.TotalML, "%.1f"), known(p.DensityGML, "%.4g"))
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(out)
	for _, comp := range j.Components {
		fmt.Fprintf(out, "%s: %s.\n", comp.Name, comp.Provenance)
	}
	return nil
}

// known writes a figure, and a dash where no density tells it.
func known(x float64, format string) string {
	if x == 0 {
		return "-"
	}
	return fmt.Sprintf(format, x)
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
