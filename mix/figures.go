package mix

import (
	"fmt"
	"time"

	"gramcup/mix/coating"
	"gramcup/scale"
)

// Question is what somebody at the bench asks before pouring: what would this
// amount of that recipe come to?
type Question struct {
	Amount Amount
	// Job asks for the amount that an area takes, in place of Amount; MixML, if
	// not 0, is what will really be mixed for it.
	Job      *Job
	MixML    float64
	Over     []Recipe // what goes over it in further stages, the clear last
	Settings Settings
	Division scale.Mass   // of the scale, 0 if it is not known yet
	Manner   scale.Manner // of the scale, as far as it is known
	Now      time.Time    // to tell the age of a density with
}

// Figures are everything that there is to know before a drop is poured. A part
// that can not be worked out says why in its WhyNot and blocks nothing: the pour
// by weight goes on without it.
type Figures struct {
	Amount Amount // for a job the volume that it takes
	Recipe Recipe // with its densities at the shop's temperature
	sheet  Recipe // with its densities as the sheets have them
	Plan   Plan
	Need   *Need // of a job
	// Cost of the whole mix in the shop's money; known where every component has a
	// price and a density.
	Cost      float64
	CostKnown bool
	Left      []LeftOver
	Sure      Sureness
	VOC       VOCFigure
	Index     IndexFigure
	Warmed    Warmed
	Details   [MaxComponents]Detail
}

// Detail is what stands under a component.
type Detail struct {
	Provenance string // "1.06 g/ml at 20 °C, product sheet"
	AgeDays    int    // of the density, -1 where it is not known
	// Ask is a question about a density that is unusual for the kind of component,
	// "" where there is none.
	Ask  string
	Cost float64 // of its amount, 0 where it is not known
}

// Figures answers a question. Its error is one that leaves nothing to pour: no
// such amount, no density for a ratio by volume, no volume solids for an area.
func (r Recipe) Figures(q Question) (Figures, error) {
	w, err := q.Settings.Warm(r)
	if err != nil {
		return Figures{}, err
	}
	f := Figures{Amount: q.Amount, Recipe: w.Recipe, sheet: r, Warmed: w}
	if q.Job != nil {
		var n Need
		if f.Amount, n, err = f.Recipe.AmountFor(*q.Job, q.MixML); err != nil {
			return Figures{}, err
		}
		f.Need = &n
	}
	if f.Plan, err = f.Recipe.Plan(f.Amount); err != nil {
		return Figures{}, err
	}
	f.details(q.Now)
	f.price()
	if f.Need != nil {
		f.leftOver(q.MixML)
	}
	f.sure(q)
	f.voc(q.Settings, q.Over, AccuracyOf(q.Division, q.Manner))
	f.index()
	return f, nil
}

func (f *Figures) details(now time.Time) {
	for i, c := range f.Recipe.Components {
		d := &f.Details[i]
		d.Provenance, d.AgeDays = c.Density.Provenance(now), c.Density.AgeDays(now)
		if !c.Density.Known() {
			continue
		}
		if err := coating.Plausible(c.Content.Kind, c.Density.GPerML); err != nil {
			d.Ask = err.Error()
		}
		d.Cost = f.Plan.Targets[i].VolumeML / mlPerL * c.PricePerL
	}
}

const mlPerL = 1000

func (f *Figures) price() {
	f.CostKnown = f.Plan.TotalML > 0
	for i, c := range f.Recipe.Components {
		f.CostKnown = f.CostKnown && c.PricePerL > 0
		f.Cost += f.Details[i].Cost
	}
	if !f.CostKnown {
		f.Cost = 0
	}
}

// LeftOver is what would remain of a mix after the job.
type LeftOver struct {
	Of   string  // "cup" for a full one, "typed" for an amount that was typed
	OfML float64 // what is mixed
	ML   float64 // what remains; 0 where it is less than the job takes
	Cost float64 // of what remains, 0 where a price is not known
	Text string
}

func (f *Figures) leftOver(typedML float64) {
	if typedML > 0 {
		f.Left = append(f.Left, f.leftOf("typed", typedML))
	}
	cup, usual := f.Recipe.CupUsableML, NextCupML(f.Need.MixML)
	if cup < f.Need.MixML || usual > 0 && usual < cup {
		cup = usual // the smallest that holds the job
	}
	if cup > 0 {
		f.Left = append(f.Left, f.leftOf("cup", cup))
	}
}

func (f *Figures) leftOf(of string, ml float64) LeftOver {
	l := LeftOver{Of: of, OfML: ml}
	perL := 0.0
	if f.CostKnown {
		perL = f.Cost / f.Plan.TotalML * mlPerL
	}
	l.ML, l.Cost = f.Need.Leftover(ml, perL)
	what := fmt.Sprintf("%.0f ml", ml)
	if of == "cup" {
		what = fmt.Sprintf("A full cup of %.0f ml", ml)
	}
	switch {
	case ml < f.Need.MixML-0.5:
		l.Text = fmt.Sprintf("%s is %.0f ml less than the job takes.", what, f.Need.MixML-ml)
	case l.ML < 1:
		l.Text = fmt.Sprintf("%s leaves nothing over.", what)
	case l.Cost > 0:
		l.Text = fmt.Sprintf("%s would leave %.0f ml over: %.2f in material.", what, l.ML, l.Cost)
	default:
		l.Text = fmt.Sprintf("%s would leave %.0f ml over.", what, l.ML)
	}
	return l
}

// usualCups are the usable volumes of mixing cups that shops have, in
// millilitres: common practice, no source.
var usualCups = [...]float64{180, 400, 650, 1000, 1400, 2300}

// NextCupML is the smallest usual mixing cup that holds a volume, both in
// millilitres; 0 where none does.
func NextCupML(ml float64) float64 {
	for _, c := range usualCups {
		if c >= ml-1e-9 {
			return c
		}
	}
	return 0
}

// Sureness is how sure the ratio would be, in sentences, and the way on where it
// is not sure enough.
type Sureness struct {
	Known     bool
	Certainty Certainty
	Sentences []string
	WhyNot    string
	// WouldDo is the smallest batch that this scale mixes honestly, of the kind
	// that was asked for and rounded up; zero where the batch is large enough.
	WouldDo Amount
	CupML   float64 // the next usual cup for the batch, or for the one that would do
}

func (f *Figures) sure(q Question) {
	s := &f.Sure
	switch {
	case f.Amount.Kind == AmountAsPoured:
		s.WhyNot = "How sure the ratio will be depends on how much you pour."
		return
	case q.Division <= 0:
		s.WhyNot = "How sure the ratio will be is not known yet: no weight has come from the scale, so its step is not known."
		return
	}
	var err error
	if s.Certainty, err = f.Recipe.Certainty(&f.Plan, AccuracyOf(q.Division, q.Manner)); err != nil {
		s.WhyNot = err.Error()
		return
	}
	s.Known, s.Sentences = true, CertaintyText(&f.Recipe, &f.Plan, &s.Certainty)
	ml := f.Plan.TotalML
	if s.Certainty.Weakest >= 0 {
		if s.Certainty.SmallestML > 0 {
			ml = roundUp(s.Certainty.SmallestML)
		}
		s.WouldDo = f.wouldDo()
	}
	if ml > 0 {
		s.CupML = NextCupML(ml)
	}
}

// wouldDo is the batch that would do, said in the way in which the amount was.
func (f *Figures) wouldDo() Amount {
	c, factor := &f.Sure.Certainty, f.Sure.Certainty.SmallestG/f.Plan.TotalG
	switch {
	case f.Amount.Kind == AmountFirst:
		return Amount{Kind: AmountFirst, Grams: roundUp(f.Amount.Grams * factor)}
	case f.Amount.Kind == AmountMass || c.SmallestML == 0:
		return Amount{Kind: AmountMass, Grams: roundUp(c.SmallestG)}
	}
	return Amount{Kind: AmountVolume, ML: roundUp(c.SmallestML)}
}
