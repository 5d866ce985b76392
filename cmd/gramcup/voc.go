package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// vocCmd works out the VOC of a ready-to-spray mix.
type vocCmd struct {
	File string `arg:"" optional:"" placeholder:"RECIPE.toml" help:"The recipe with what its sheets say of volatile, water and exempt solvent, or a product on the shelf of the book in --data."`
	limitFlags
	Data   string    `env:"GRAMCUP_DATA" default:"${state}" type:"path" help:"The folder of the book whose shelf has the product."`
	Stages []float64 `placeholder:"720,500" help:"A topcoat in stages: base, midcoats if any, and last the clear, in g/l; instead of a recipe."`
	List   bool      `help:"List the limits that are known, with their sources, and end."`
	JSON   bool      `name:"json" help:"Print JSON in full precision."`
}

// Help teaches by an example.
func (c *vocCmd) Help() string {
	return `  gramcup voc slate-surfacer.toml --as "primer surfacer"
  gramcup voc "Slate surfacer"
  gramcup voc --stages 720,500 --as "one or two stages"
  gramcup voc --list

Shares by weight are averaged by weight and grams a litre by volume, never the other way
round. A sheet's "less water and exempt" figure of a product that holds either can not be
averaged at all, and is refused. The ± (k = 2) is that of a mix whose weights are met: of
its densities, and, where a recipe says under "said" how a sheet prints a figure, of the
rounding of its last digit; that volumes add is taken as exact. A calculation from the sheets, not a finding: where a
measurement is required it does not replace one, and local rules come first.`
}

// vocJSON is a mix's VOC on every basis, in g/l.
type vocJSON struct {
	MaterialGL      float64 `json:"material_g_l"`
	RegulatoryGL    float64 `json:"regulatory_g_l"`
	RegulatoryLbGal float64 `json:"regulatory_lb_gal"`
	EuropeanGL      float64 `json:"european_g_l"`
	EuropeanWholeGL float64 `json:"european_whole_g_l"`
	// The ± of each (k = 2), 0 where none is known, and what they count.
	MaterialPM      float64 `json:"material_plus_minus_g_l"`
	RegulatoryPM    float64 `json:"regulatory_plus_minus_g_l"`
	EuropeanPM      float64 `json:"european_plus_minus_g_l"`
	EuropeanWholePM float64 `json:"european_whole_plus_minus_g_l"`
	RegulatoryLbPM  float64 `json:"regulatory_plus_minus_lb_gal"`
	Counts          string  `json:"plus_minus_counts"`
}

func vocOf(v coating.VOC, sure mix.VOCSure) *vocJSON {
	s := sure.Spread
	return &vocJSON{MaterialGL: v.MaterialGL, RegulatoryGL: v.RegulatoryGL, RegulatoryLbGal: coating.LbPerGallon(v.RegulatoryGL),
		EuropeanGL: v.EuropeanGL, EuropeanWholeGL: v.EuropeanWholeGL,
		MaterialPM: s.Material.PlusMinusGL(), RegulatoryPM: s.Regulatory.PlusMinusGL(),
		EuropeanPM: s.European.PlusMinusGL(), EuropeanWholePM: s.EuropeanWhole.PlusMinusGL(),
		RegulatoryLbPM: coating.LbPerGallon(s.Regulatory.PlusMinusGL()), Counts: sure.Counts}
}

// vocAnswer is what the command prints.
type vocAnswer struct {
	Recipe       string     `json:"recipe,omitempty"`
	VOC          *vocJSON   `json:"voc,omitempty"`
	StagesGL     *float64   `json:"stages_g_l,omitempty"`
	Limit        *limitJSON `json:"limit,omitempty"`
	Categories   []string   `json:"categories,omitempty"` // that it was held against; the strictest is the limit
	FigureGL     float64    `json:"figure_g_l,omitempty"`
	PlusMinusGL  float64    `json:"figure_plus_minus_g_l,omitempty"` // k = 2; left out where none is known
	SpareGL      *float64   `json:"spare_g_l,omitempty"`
	Within       *bool      `json:"within,omitempty"`
	TooNear      *bool      `json:"too_near_to_call,omitempty"` // the limit lies within the ±
	MostReducer  *float64   `json:"most_more_reducer_ml_per_l,omitempty"`
	ReducerNote  string     `json:"reducer_note,omitempty"`
	ShopC        *float64   `json:"shop_c,omitempty"` // of a product of the shelf: the temperature that its densities were moved to
	Notes        []string   `json:"notes,omitempty"`
	NotAFinding  string     `json:"not_a_finding"`
	CalculatedBy string     `json:"calculated_from"`

	said string // where the figure stands to its limit, for people
}

// limitJSON is one row of a table of limits.
type limitJSON struct {
	Set      string  `json:"set" toml:"set"`
	Category string  `json:"category" toml:"category"`
	GL       float64 `json:"g_l" toml:"g_l"`
	Basis    string  `json:"basis" toml:"basis"`
	Source   string  `json:"source" toml:"source"`
	Date     string  `json:"date" toml:"date"`
}

func limitOf(l coating.Limit) *limitJSON {
	return &limitJSON{Set: l.Set, Category: l.Category, GL: l.GL, Basis: string(l.Basis), Source: l.Source, Date: l.Date}
}

const notAFinding = "Calculated from what was entered; not a finding. The product sheet and local rules come first."

// Run works it out and prints it.
func (c *vocCmd) Run(out io.Writer) error {
	if c.List {
		return c.list(out)
	}
	var err error
	a := vocAnswer{NotAFinding: notAFinding, CalculatedBy: "the sheets' figures, ideal volumes"}
	switch {
	case len(c.Stages) > 0 && c.File != "":
		return errors.New("give a recipe or --stages, not both")
	case len(c.Stages) > 0:
		err = c.stages(&a)
	case c.File == "":
		return errors.New("which mix? name a recipe file or a product of the shelf, or give --stages base,clear")
	default:
		err = c.recipe(&a)
	}
	if err != nil {
		return err
	}
	if c.JSON {
		return printJSON(out, a)
	}
	return a.print(out)
}

func (c *vocCmd) list(out io.Writer) error {
	known, err := c.known()
	if err != nil {
		return err
	}
	if c.JSON {
		var rows []*limitJSON
		for _, l := range known {
			rows = append(rows, limitOf(l))
		}
		return printJSON(out, rows)
	}
	set := ""
	for _, l := range known {
		if l.Set != set {
			set = l.Set
			fmt.Fprintln(out, l.Set)
		}
		fmt.Fprintf(out, "  %4.0f g/l  %-46s %s\n            %s, %s\n", l.GL, l.Category, l.Basis, l.Source, l.Date)
	}
	_, err = fmt.Fprintln(out, "\nThese may be out of date or not the ones in force at your booth: local rules come first.")
	return err
}

func (c *vocCmd) stages(a *vocAnswer) error {
	known, err := c.known()
	if err != nil {
		return err
	}
	categories, err := pickLimits(known, c.As)
	if err != nil {
		return err
	}
	n := len(c.Stages)
	if n < 2 {
		return errors.New("--stages needs at least a base and a clear: --stages 720,500")
	}
	gl, err := coating.MultiStage(c.Stages[0], c.Stages[1:n-1], c.Stages[n-1])
	if err != nil {
		return fmt.Errorf("--stages: %w", err)
	}
	a.StagesGL = &gl
	a.named(categories)
	for _, l := range categories {
		if l.Basis != coating.BasisRegulatory {
			return fmt.Errorf("--as: %s counts each coating on its own, and has no figure for stages together", l.Set)
		}
		if spare := l.GL - gl; a.SpareGL == nil || spare < *a.SpareGL {
			a.held(coating.Comparison{Limit: l, GL: gl, Spare: spare})
		}
	}
	return nil
}

// named notes what the mix is held against.
func (a *vocAnswer) named(categories []coating.Limit) {
	for _, l := range categories {
		a.Categories = append(a.Categories, l.Name())
	}
}

func (a *vocAnswer) held(c coating.Comparison) {
	within, near := c.Within(), c.TooNear()
	a.Limit, a.FigureGL, a.PlusMinusGL, a.SpareGL, a.Within, a.TooNear = limitOf(c.Limit), c.GL, c.PlusMinusGL, &c.Spare, &within, &near
	a.said = strings.Replace(strings.TrimPrefix(mix.HeldText(c), "VOC "), " above the limit", " ABOVE the limit", 1)
}

func (c *vocCmd) recipe(a *vocAnswer) error {
	r, settings, warm, err := warmRecipe(c.File, c.Data)
	if err != nil {
		return err
	}
	if settings.Limits, err = c.knownBeside(settings.Limits); err != nil {
		return err
	}
	categories, err := pickLimits(append(coating.Limits(), settings.Limits...), c.As)
	if err != nil {
		return err
	}
	p, err := r.Plan(mix.Amount{Kind: mix.AmountVolume, ML: 1000})
	if err != nil {
		return err
	}
	v, err := r.VOC(&p)
	if err != nil {
		return err
	}
	sure, err := r.VOCSure(&p, mix.Accuracy{})
	if err != nil {
		return err
	}
	a.Recipe, a.VOC, a.ShopC, a.Notes = r.Name, vocOf(v, sure), settings.ShopC, warm
	a.NotAFinding = strings.TrimSpace(r.VOCAssumes() + " " + a.NotAFinding)
	if len(c.As) == 0 {
		if categories, err = settings.LimitsOf(&r); err != nil {
			return err
		}
	}
	if len(categories) == 0 {
		return nil
	}
	held, err := v.Compare(categories)
	if err != nil {
		return err
	}
	a.named(categories)
	held = sure.Held(held)
	a.held(held)
	most, name, err := r.MostReducer(v, held)
	switch {
	case err != nil:
		a.ReducerNote = err.Error()
	case name != "":
		a.MostReducer = &most
		a.ReducerNote = fmt.Sprintf("At most %.0f ml more %s in a litre of this mix reach the limit%s; the sheet may allow less.", math.Floor(most), name, r.SureReducer(v, held))
	}
	return nil
}

// inPounds is a VOC in lb/gal, its ± rounded up as that in g/l is.
func inPounds(gl, plusMinusGL float64) string {
	if plusMinusGL == 0 {
		return fmt.Sprintf("%.2f lb/gal", coating.LbPerGallon(gl))
	}
	return fmt.Sprintf("%.2f ± %.2f lb/gal", coating.LbPerGallon(gl), math.Ceil(100*coating.LbPerGallon(plusMinusGL))/100)
}

func (a vocAnswer) print(out io.Writer) error {
	if a.VOC != nil {
		fmt.Fprintf(out, "%s, ready to spray\n\n", a.Recipe)
		w := table(out)
		row := func(name string, gl, plusMinus float64) {
			fmt.Fprintf(w, "%-46s\t%s\t%s\t\n", name, mix.VOCText(gl, plusMinus), inPounds(gl, plusMinus))
		}
		row("of the material", a.VOC.MaterialGL, a.VOC.MaterialPM)
		row("less water and exempt solvent (US)", a.VOC.RegulatoryGL, a.VOC.RegulatoryPM)
		row("less water, exempt solvent counting (EU)", a.VOC.EuropeanGL, a.VOC.EuropeanPM)
		row("of the whole product (EU, preparatory)", a.VOC.EuropeanWholeGL, a.VOC.EuropeanWholePM)
		if err := w.Flush(); err != nil {
			return err
		}
		fmt.Fprintf(out, "\n%s\n", a.VOC.Counts)
		for _, line := range a.Notes {
			fmt.Fprintln(out, line)
		}
	}
	if a.StagesGL != nil {
		fmt.Fprintf(out, "The stages together: %.0f g/l (%.2f lb/gal), the clear counted twice. No ± is known: the figures were typed without one.\n", *a.StagesGL, coating.LbPerGallon(*a.StagesGL))
	}
	if a.Limit != nil {
		fmt.Fprintf(out, "\n%s\n", a.said)
		fmt.Fprintln(out, mix.LimitFrom(coating.Limit{Source: a.Limit.Source, Date: a.Limit.Date}))
		if n := len(a.Categories); n > 1 {
			fmt.Fprintf(out, strictest+"\n", n)
		}
	}
	if a.ReducerNote != "" {
		fmt.Fprintln(out, a.ReducerNote)
	}
	_, err := fmt.Fprintf(out, "\n%s\n", a.NotAFinding)
	return err
}
