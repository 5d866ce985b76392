package mix

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Figure names one figure that a product sheet gives beyond ratio and density.
type Figure string

// The figures of a component, and those of the whole mix.
const (
	FigurePrice         Figure = "price"
	FigureTolerance     Figure = "tolerance"
	FigureExpansion     Figure = "expansion"
	FigureVolumeSolids  Figure = "volume_solids"
	FigureWeightSolids  Figure = "weight_solids" // kept as what is volatile
	FigureSolvent       Figure = "solvent"
	FigureVolatile      Figure = "volatile"
	FigureWater         Figure = "water"
	FigureExempt        Figure = "exempt"
	FigureExemptDensity Figure = "exempt_density"
	FigureVOC           Figure = "voc"
	FigurePlain         Figure = "plain"
	FigureNCO           Figure = "nco"
	FigureOH            Figure = "oh"

	FigureMixSolids Figure = "mix_solids"
	FigureCup       Figure = "cup"
)

// Said is where a figure came from: as the sheet printed it, and since when.
type Said struct {
	Figure  Figure  `json:"figure" toml:"figure"`
	Value   float64 `json:"value" toml:"value"` // that it was kept as: another one there now has another past
	AsGiven string  `json:"as_given,omitempty" toml:"as_given,omitempty"`
	Source  string  `json:"source,omitempty" toml:"source,omitempty"`
	SinceMS int64   `json:"since_ms,omitempty" toml:"since_ms,omitempty"`
}

// Told is a figure that is known, as the page shows it.
type Told struct {
	Figure Figure
	Text   string // "563 g/l"
	Typed  string // as it was typed, or could be: "4.7 lb/gal"
	From   string // "product sheet, 25 Nov 2026"
}

// FigureError refuses a figure, in a sentence for beside its field.
type FigureError struct {
	Figure   Figure
	Sentence string
}

// Error is the sentence.
func (e *FigureError) Error() string { return e.Sentence }

func refuseFigure(f Figure, format string, args ...any) error {
	return &FigureError{f, fmt.Sprintf(format, args...)}
}

// place is where a component keeps a figure; nil where it is none of its.
func (c *Component) place(f Figure) *float64 {
	switch f {
	case FigurePrice:
		return &c.PricePerL
	case FigureTolerance:
		return &c.Tolerance
	case FigureExpansion:
		return &c.Density.ExpansionPerK
	case FigureVolumeSolids:
		return &c.Content.VolumeSolids
	case FigureSolvent:
		return &c.Content.SolventGML
	case FigureVolatile, FigureWeightSolids:
		return &c.Content.Volatile
	case FigureWater:
		return &c.Content.Water
	case FigureExempt:
		return &c.Content.Exempt
	case FigureExemptDensity:
		return &c.Content.ExemptGML
	case FigureVOC:
		return &c.Content.VOCGL
	case FigureNCO:
		return &c.Content.NCOPercent
	case FigureOH:
		return &c.Content.OHValue
	}
	return nil
}

// componentFigures are in the order in which a page lists them.
func componentFigures() []Figure {
	return []Figure{FigurePrice, FigureTolerance, FigureExpansion, FigureVolumeSolids, FigureWeightSolids, FigureSolvent,
		FigureVOC, FigurePlain, FigureVolatile, FigureWater, FigureExempt, FigureExemptDensity, FigureOH, FigureNCO}
}

// Say writes down what sheets say of a component, each figure as typed; an
// empty one is not known any more. The change is made whole or not at all: an
// error is a *FigureError.
func (c *Component) Say(typed map[Figure]string, source string, sinceMS int64) error {
	next := *c
	next.Said = slices.Clone(c.Said)
	if s, v := typed[FigureWeightSolids], typed[FigureVolatile]; strings.TrimSpace(s) != "" && strings.TrimSpace(v) != "" {
		if err := agree(s, v); err != nil {
			return err
		}
	}
	for _, f := range componentFigures() {
		if text, ok := typed[f]; ok {
			if err := next.say(f, strings.TrimSpace(text), typed, source, sinceMS); err != nil {
				return err
			}
		}
	}
	for f := range typed {
		if f != FigurePlain && next.place(f) == nil {
			return refuseFigure(f, "There is no figure %q of a component.", f)
		}
	}
	if err := next.agrees(); err != nil {
		return err
	}
	*c = next
	return nil
}

// agree holds the two ways to say what is volatile against each other.
func agree(solids, volatile string) error {
	s, err := ParseFigure(FigureWeightSolids, solids)
	if err != nil {
		return err
	}
	v, err := ParseFigure(FigureVolatile, volatile)
	if err != nil {
		return err
	}
	const rounding = 0.005
	if d := s - v; d > rounding || d < -rounding {
		return refuseFigure(FigureVolatile, "Solids by weight and what is volatile make 100 %% together: they make %s %%. Give one of them.", few(100*(1-s+v)))
	}
	return nil
}

func (c *Component) say(f Figure, text string, all map[Figure]string, source string, sinceMS int64) error {
	if f == FigureTolerance && text == "" {
		return refuseFigure(f, "A tolerance is needed: without one nobody knows when a pour is on its line.")
	}
	if other := twin(f); other != "" && text == "" && strings.TrimSpace(all[other]) != "" {
		return nil // the same place, and the other one fills it
	}
	if f == FigurePlain {
		c.Content.Plain = text == plainYes
		if text != plainYes && text != "" {
			return refuseFigure(f, "Say %q or nothing: whether it holds neither water nor exempt solvent.", plainYes)
		}
		c.Said = keepSaid(c.Said, Said{Figure: f, Value: 1, AsGiven: text, Source: source, SinceMS: sinceMS}, text != "")
		return nil
	}
	value := 0.0
	if text != "" {
		var err error
		if value, err = ParseFigure(f, text); err != nil {
			return err
		}
	}
	if f == FigureExpansion && !c.Density.Known() {
		if text == "" {
			return nil
		}
		return refuseFigure(f, "An expansion moves a density, and there is none yet: give the density first.")
	}
	*c.place(f) = value
	c.Said = keepSaid(c.Said, Said{Figure: f, Value: value, AsGiven: text, Source: source, SinceMS: sinceMS}, text != "")
	return nil
}

// plainYes is what is typed for a product that holds neither water nor exempt
// solvent.
const plainYes = "yes"

// twin is the figure that is kept in the same place.
func twin(f Figure) Figure {
	switch f {
	case FigureVolatile:
		return FigureWeightSolids
	case FigureWeightSolids:
		return FigureVolatile
	}
	return ""
}

// keepSaid puts a note in the place of that on the same figure, or takes it away.
func keepSaid(all []Said, s Said, keep bool) []Said {
	all = slices.DeleteFunc(all, func(o Said) bool { return o.Figure == s.Figure || o.Figure == twin(s.Figure) })
	if keep {
		all = append(all, s)
	}
	return all
}

// agrees refuses figures that can not all be right.
func (c *Component) agrees() error {
	x := c.Content
	const slack = 1e-9
	switch {
	case x.Volatile > 0 && x.Water+x.Exempt > x.Volatile+slack:
		return refuseFigure(FigureVolatile, "Water and exempt solvent together are %s %%, and all that is volatile is %s %%: it includes them.", few(100*(x.Water+x.Exempt)), few(100*x.Volatile))
	case x.Volatile == 0 && x.Water+x.Exempt > 0:
		return refuseFigure(FigureVolatile, "Water and exempt solvent are part of what is volatile: give that too, or the solids by weight.")
	case x.Exempt > 0 && x.ExemptGML == 0:
		return refuseFigure(FigureExemptDensity, "Exempt solvent is taken off by its volume: give its density, 0.79 for acetone.")
	case x.Plain && x.Water+x.Exempt > 0:
		return refuseFigure(FigurePlain, "It is said to hold neither water nor exempt solvent, and a share of one is given.")
	case c.Density.Known() && x.VOCGL > 1000*c.Density.GPerML:
		return refuseFigure(FigureVOC, "A litre of it weighs %s g, so %s g/l of VOC can not be right.", few(1000*c.Density.GPerML), few(x.VOCGL))
	}
	return nil
}

// Told lists what is known of a component, each with where it came from; now
// gives the time zone of its day.
func (c *Component) Told(now time.Time) []Told {
	var out []Told
	for _, f := range componentFigures() {
		s, noted := said(c.Said, f)
		if f == FigurePlain {
			if c.Content.Plain {
				out = append(out, Told{f, "no water, no exempt solvent", plainYes, s.from(now)})
			}
			continue
		}
		value := *c.place(f)
		_, other := said(c.Said, twin(f))
		noted = noted && s.Value == value
		switch {
		case f == FigureWeightSolids && !noted, f == FigureVolatile && other && !noted:
			continue // said as its twin
		case value == 0 && !noted:
			continue
		}
		out = append(out, tell(f, value, s, noted, now))
	}
	return out
}

func said(all []Said, f Figure) (Said, bool) {
	i := slices.IndexFunc(all, func(s Said) bool { return s.Figure == f })
	if i < 0 {
		return Said{}, false
	}
	return all[i], true
}

func tell(f Figure, value float64, s Said, noted bool, now time.Time) Told {
	t := Told{Figure: f, Text: FigureText(f, value)}
	if t.Typed = t.Text; noted && s.AsGiven != "" {
		t.Typed = s.AsGiven
	}
	if noted {
		t.From = s.from(now)
	}
	return t
}

// from is where a figure came from and when; "" where that is not written down.
func (s Said) from(now time.Time) string {
	out := s.Source
	if s.SinceMS > 0 {
		out += ", " + time.UnixMilli(s.SinceMS).In(now.Location()).Format("2 Jan 2006")
	}
	return strings.TrimPrefix(out, ", ")
}

// SayMix writes down figures of the whole mix, as Say does for a component.
func (r *Recipe) SayMix(typed map[Figure]string, source string, sinceMS int64) error {
	next := *r
	next.Said = slices.Clone(r.Said)
	for f, text := range typed {
		at := next.place(f)
		if at == nil {
			return refuseFigure(f, "There is no figure %q of a mix.", f)
		}
		text = strings.TrimSpace(text)
		*at = 0
		if text != "" {
			var err error
			if *at, err = ParseFigure(f, text); err != nil {
				return err
			}
		}
		next.Said = keepSaid(next.Said, Said{Figure: f, Value: *at, AsGiven: text, Source: source, SinceMS: sinceMS}, text != "")
	}
	*r = next
	return nil
}

func (r *Recipe) place(f Figure) *float64 {
	switch f {
	case FigureMixSolids:
		return &r.VolumeSolids
	case FigureCup:
		return &r.CupUsableML
	}
	return nil
}

// ToldOfMix lists what is known of the whole mix.
func (r *Recipe) ToldOfMix(now time.Time) []Told {
	var out []Told
	for _, f := range []Figure{FigureMixSolids, FigureCup} {
		s, noted := said(r.Said, f)
		if value := *r.place(f); value > 0 {
			out = append(out, tell(f, value, s, noted && s.Value == value, now))
		}
	}
	return out
}
