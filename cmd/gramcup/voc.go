package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// vocCmd works out the VOC of a ready-to-spray mix.
type vocCmd struct {
	File   string    `arg:"" optional:"" placeholder:"RECIPE.toml" help:"The recipe with what its sheets say of volatile, water and exempt solvent."`
	As     []string  `placeholder:"CATEGORY" sep:"none" help:"A category that the mix is used as, or a part of its name; several, and the strictest governs. Without it those that the recipe names under uses. --list shows them."`
	Limits string    `placeholder:"FILE.toml" help:"Further limits of your own: tables [[limit]] with set, category, g_l, basis, source and date."`
	Stages []float64 `placeholder:"720,500" help:"A topcoat in stages: base, midcoats if any, and last the clear, in g/l; instead of a recipe."`
	List   bool      `help:"List the limits that are known, with their sources, and end."`
	JSON   bool      `name:"json" help:"Print JSON in full precision."`
}

// Help teaches by an example.
func (c *vocCmd) Help() string {
	return `  gramcup voc slate-surfacer.toml --as "primer surfacer"
  gramcup voc --stages 720,500 --as "one or two stages"
  gramcup voc --list

Shares by weight are averaged by weight and grams a litre by volume, never the other way
round. A sheet's "less water and exempt" figure of a product that holds either can not be
averaged at all, and is refused. A calculation from the sheets, not a finding: where a
measurement is required it does not replace one, and local rules come first.`
}

// vocJSON is a mix's VOC on every basis, in g/l.
type vocJSON struct {
	MaterialGL      float64 `json:"material_g_l"`
	RegulatoryGL    float64 `json:"regulatory_g_l"`
	RegulatoryLbGal float64 `json:"regulatory_lb_gal"`
	EuropeanGL      float64 `json:"european_g_l"`
	EuropeanWholeGL float64 `json:"european_whole_g_l"`
}

func vocOf(v coating.VOC) *vocJSON {
	return &vocJSON{MaterialGL: v.MaterialGL, RegulatoryGL: v.RegulatoryGL, RegulatoryLbGal: coating.LbPerGallon(v.RegulatoryGL),
		EuropeanGL: v.EuropeanGL, EuropeanWholeGL: v.EuropeanWholeGL}
}

// vocAnswer is what the command prints.
type vocAnswer struct {
	Recipe       string     `json:"recipe,omitempty"`
	VOC          *vocJSON   `json:"voc,omitempty"`
	StagesGL     *float64   `json:"stages_g_l,omitempty"`
	Limit        *limitJSON `json:"limit,omitempty"`
	Categories   []string   `json:"categories,omitempty"` // that it was held against; the strictest is the limit
	FigureGL     float64    `json:"figure_g_l,omitempty"`
	SpareGL      *float64   `json:"spare_g_l,omitempty"`
	Within       *bool      `json:"within,omitempty"`
	MostReducer  *float64   `json:"most_more_reducer_ml_per_l,omitempty"`
	ReducerNote  string     `json:"reducer_note,omitempty"`
	NotAFinding  string     `json:"not_a_finding"`
	CalculatedBy string     `json:"calculated_from"`
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
	known, err := c.known()
	if err != nil {
		return err
	}
	if c.List {
		return c.list(out, known)
	}
	categories, err := pickLimits(known, c.As)
	if err != nil {
		return err
	}
	a := vocAnswer{NotAFinding: notAFinding, CalculatedBy: "the sheets' figures, ideal volumes"}
	switch {
	case len(c.Stages) > 0 && c.File != "":
		return errors.New("give a recipe or --stages, not both")
	case len(c.Stages) > 0:
		err = c.stages(&a, categories)
	case c.File == "":
		return errors.New("which mix? name a recipe file, or give --stages base,clear")
	default:
		err = c.recipe(&a, known, categories)
	}
	if err != nil {
		return err
	}
	if c.JSON {
		return printJSON(out, a)
	}
	return a.print(out)
}

// known are the built-in limits and the shop's own.
func (c *vocCmd) known() ([]coating.Limit, error) {
	all := coating.Limits()
	if c.Limits == "" {
		return all, nil
	}
	var file struct {
		Limit []limitJSON `toml:"limit"`
	}
	meta, err := decodeTOML(c.Limits, &file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("--limits: %s does not exist", c.Limits)
	case err != nil:
		return nil, fmt.Errorf("--limits %s: %w", c.Limits, err)
	case len(meta.Undecoded()) > 0:
		return nil, fmt.Errorf("--limits %s: there is no key %s; a [[limit]] has set, category, g_l, basis, source and date", c.Limits, meta.Undecoded()[0])
	}
	for _, l := range file.Limit {
		row := coating.Limit{Set: l.Set, Category: l.Category, GL: l.GL, Basis: coating.Basis(l.Basis), Source: l.Source, Date: l.Date}
		if err := row.Check(); err != nil {
			return nil, fmt.Errorf("--limits %s: %w", c.Limits, err)
		}
		all = append(all, row)
	}
	if err := (mix.Settings{Limits: all[len(coating.Limits()):]}).Check(); err != nil {
		return nil, fmt.Errorf("--limits %s: %w", c.Limits, err)
	}
	return all, nil
}

// pickLimits finds each category by a part of its name or of its table's.
func pickLimits(known []coating.Limit, names []string) (picked []coating.Limit, err error) {
	for _, name := range names {
		if strings.TrimSpace(name) == "" {
			return nil, errors.New("--as is empty: give a category or a part of its name; gramcup voc --list shows them")
		}
		found := 0
		for _, l := range known {
			if strings.Contains(strings.ToLower(l.Set+": "+l.Category), strings.ToLower(name)) {
				picked = append(picked, l)
				found++
			}
		}
		if found == 0 {
			return nil, fmt.Errorf("--as %q: no category is called that; gramcup voc --list shows them", name)
		}
	}
	return picked, nil
}

func (c *vocCmd) list(out io.Writer, known []coating.Limit) error {
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
			fmt.Fprintf(out, "%s, %s\n", l.Set, l.Date)
		}
		fmt.Fprintf(out, "  %4.0f g/l  %-46s %s\n            %s\n", l.GL, l.Category, l.Basis, l.Source)
	}
	_, err := fmt.Fprintln(out, "\nThese may be out of date or not the ones in force at your booth: local rules come first.")
	return err
}

func (c *vocCmd) stages(a *vocAnswer, categories []coating.Limit) error {
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
			a.held(l, gl)
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

func (a *vocAnswer) held(l coating.Limit, gl float64) {
	spare, within := l.GL-gl, l.GL >= gl
	a.Limit, a.FigureGL, a.SpareGL, a.Within = limitOf(l), gl, &spare, &within
}

func (c *vocCmd) recipe(a *vocAnswer, known, categories []coating.Limit) error {
	r, err := readRecipe(c.File)
	if err != nil {
		return err
	}
	settings := mix.Settings{Limits: known[len(coating.Limits()):]}
	p, err := r.Plan(mix.Amount{Kind: mix.AmountVolume, ML: 1000})
	if err != nil {
		return err
	}
	v, err := r.VOC(&p)
	if err != nil {
		return err
	}
	a.Recipe, a.VOC = r.Name, vocOf(v)
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
	a.held(held.Limit, held.GL)
	most, name, err := r.MostReducer(v, held)
	switch {
	case err != nil:
		a.ReducerNote = err.Error()
	case name != "":
		a.MostReducer = &most
		a.ReducerNote = fmt.Sprintf("At most %.0f ml more %s in a litre of this mix reach the limit; the sheet may allow less.", most, name)
	}
	return nil
}

func (a vocAnswer) print(out io.Writer) error {
	if a.VOC != nil {
		fmt.Fprintf(out, "%s, ready to spray\n\n", a.Recipe)
		w := table(out)
		row := func(name string, gl float64) {
			fmt.Fprintf(w, "%-46s\t%.0f g/l\t%.2f lb/gal\t\n", name, gl, coating.LbPerGallon(gl))
		}
		row("of the material", a.VOC.MaterialGL)
		row("less water and exempt solvent (US)", a.VOC.RegulatoryGL)
		row("less water, exempt solvent counting (EU)", a.VOC.EuropeanGL)
		row("of the whole product (EU, preparatory)", a.VOC.EuropeanWholeGL)
		if err := w.Flush(); err != nil {
			return err
		}
	}
	if a.StagesGL != nil {
		fmt.Fprintf(out, "The stages together: %.0f g/l (%.2f lb/gal), the clear counted twice.\n", *a.StagesGL, coating.LbPerGallon(*a.StagesGL))
	}
	if a.Limit != nil {
		word := "below"
		spare := *a.SpareGL
		if !*a.Within {
			word, spare = "ABOVE", -spare
		}
		if spare < 1 {
			fmt.Fprintln(out, "\nCloser to the limit than the sheet's own figures are: take it as at the limit.")
		}
		fmt.Fprintf(out, "\n%.0f g/l %s, %.0f g/l %s the limit of %.0f for %s (%s).\n", a.FigureGL, a.Limit.Basis, spare, word, a.Limit.GL, a.Limit.Category, a.Limit.Set)
		fmt.Fprintf(out, "Limit from: %s, %s.\n", a.Limit.Source, a.Limit.Date)
		if n := len(a.Categories); n > 1 {
			fmt.Fprintf(out, "Of the %d categories that it is used as this is the strictest, and it governs.\n", n)
		}
	}
	if a.ReducerNote != "" {
		fmt.Fprintln(out, a.ReducerNote)
	}
	_, err := fmt.Fprintf(out, "\n%s\n", a.NotAFinding)
	return err
}
