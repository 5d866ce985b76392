package coating

import (
	"math"
	"sort"
)

// Limit is one row of a table of VOC limits for the ready-to-spray product. It
// is data, with where it comes from; a shop adds its own.
type Limit struct {
	Set      string  `json:"set"` // the table
	Category string  `json:"category"`
	GL       float64 `json:"g_l"` // the metric value is the one that is compared
	Basis    Basis   `json:"basis"`
	Source   string  `json:"source"`
	Date     string  `json:"date"` // of the rule, as its source gives it
}

// Name is what the row is called by: its table and its category.
func (l Limit) Name() string { return l.Set + ": " + l.Category }

const (
	setUS = "US national, 40 CFR 59 subpart B"
	setEU = "EU, Directive 2004/42/EC annex II B"

	srcUS       = "40 CFR 59.102 table 1; value as in 9VAC5-40-6990 table 4-48A, which follows it"
	srcUSSecond = "40 CFR 59.102 table 1, from a public restatement of it and from memory; the page itself was not seen"
	srcEU       = "nibusinessinfo.co.uk, Solvent limits in vehicle refinishing products"
	dateUS      = "11 September 1998"
	dateEU      = "since 1 January 2007 (from memory)"
)

// Limits lists the built-in tables. They may be out of date or not the ones in
// force where the booth stands: local rules come first.
func Limits() []Limit {
	us := func(category string, gl float64, source string) Limit {
		return Limit{setUS, category, gl, BasisRegulatory, source, dateUS}
	}
	eu := func(category string, gl float64, b Basis) Limit {
		return Limit{setEU, category, gl, b, srcEU, dateEU}
	}
	return []Limit{
		us("Pretreatment wash primer", 780, srcUS),
		us("Primer and primer surfacer", 580, srcUSSecond),
		us("Primer sealer", 550, srcUS),
		us("Topcoat of one or two stages", 600, srcUS),
		us("Topcoat of more than two stages", 630, srcUSSecond),
		us("Multi-colored topcoat", 680, srcUS),
		us("Specialty coating", 840, srcUS),
		eu("(a)(i) Preparatory product", 850, BasisEuropeanWhole),
		eu("(a)(ii) Pre-cleaner", 200, BasisEuropeanWhole),
		eu("(b) Bodyfiller and stopper", 250, BasisEuropean),
		eu("(c)(i) Surfacer, filler, general metal primer", 540, BasisEuropean),
		eu("(c)(ii) Wash primer", 780, BasisEuropean),
		eu("(d) Topcoat: base, clear, single stage", 420, BasisEuropean),
		eu("(e) Special finish", 840, BasisEuropean),
	}
}

// Check refuses a row that nobody could compare with.
func (l Limit) Check() error {
	switch {
	case l.Set == "" || l.Category == "":
		return refuse("A limit needs the name of its table and of its category.")
	case !(l.GL > 0 && l.GL <= maxVOCGL):
		return refuse("%s, %s: a limit of %.4g g/l can not be right: give it in g/l, above 0 and up to %.0f.", l.Set, l.Category, l.GL, maxVOCGL)
	case l.Source == "" || l.Date == "":
		return refuse("%s, %s: say where the limit comes from and of when it is: a figure without a source can not be trusted later.", l.Set, l.Category)
	}
	_, err := VOC{}.On(l.Basis)
	return err
}

// Comparison is a mix held against limits: a calculation from what was
// entered, not a finding.
type Comparison struct {
	Limit Limit   // the strictest, which governs
	GL    float64 // of the mix, on the limit's basis
	Spare float64 // g/l below the limit, negative above it
	// PlusMinusGL is the expanded uncertainty of the figure (k = 2), 0 where it is
	// not known.
	PlusMinusGL float64
}

// TooNear reports whether the limit lies within the ± of the figure, as that is
// written: in whole g/l, rounded up. It says nothing where no ± is known.
func (c Comparison) TooNear() bool {
	return math.Abs(c.Spare) <= math.Ceil(c.PlusMinusGL) && c.PlusMinusGL > 0
}

// Within reports whether the figure is not above the limit. The lb/gal that
// tables print are rounded, so only g/l are compared.
func (c Comparison) Within() bool { return c.Spare >= 0 }

// Compare holds a mix against all categories that it is used as: where one mix
// serves several, the strictest governs (40 CFR 59.102(b)). Rows on different
// bases are each compared on their own.
func (v VOC) Compare(categories []Limit) (Comparison, error) {
	if len(categories) == 0 {
		return Comparison{}, refuse("Which category is the mix used as? Without one there is no limit to compare with.")
	}
	var all []Comparison
	for _, l := range categories {
		if err := l.Check(); err != nil {
			return Comparison{}, err
		}
		gl, err := v.On(l.Basis)
		if err != nil {
			return Comparison{}, err
		}
		all = append(all, Comparison{Limit: l, GL: gl, Spare: l.GL - gl})
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].Spare < all[j].Spare })
	return all[0], nil
}
