package main

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/mix/coating"
)

// greyCmd mixes an undercoat of a wanted lightness.
type greyCmd struct {
	Card     []string `placeholder:"SHARE:L" help:"A drawdown of your own: per cent of the dark undercoat by volume, and the L* it dried to. At least three."`
	System   string   `placeholder:"NAME" help:"Undercoats that are kept in the book, with their drawdowns, steps and densities, in place of --card."`
	Data     string   `env:"GRAMCUP_DATA" default:"${state}" type:"path" help:"The folder of the book, for --system."`
	Wanted   string   `required:"" placeholder:"55" help:"The lightness wanted: CIE L*, or the name of one of --step."`
	Step     []string `placeholder:"NAME=L" help:"A step of your own scale and its L*, such as \"light=82\"."`
	VolumeML float64  `name:"volume-ml" default:"1000" help:"How much undercoat, in millilitres."`
	Light    float64  `placeholder:"1.45" help:"Density of the light undercoat in g/ml, for grams."`
	Dark     float64  `placeholder:"1.38" help:"Density of the dark undercoat in g/ml, for grams."`
	JSON     bool     `name:"json" help:"Print JSON in full precision."`

	kept  []coating.Drawdown // of --system
	steps []mix.GreyStep
}

// Help teaches by an example.
func (c *greyCmd) Help() string {
	return `Draw down the light undercoat, the dark one and at least one mix of the two over full
hiding, let them dry, measure L*, and ask for a grey in between:

  gramcup grey --card 0:91 --card 10:68 --card 50:44 --card 100:30 --wanted 60 \
    --volume-ml 300 --light 1.45 --dark 1.38

Undercoats that were kept on the page, under Shelf, are asked by their name:

  gramcup grey --system "Slate greys" --wanted middle --volume-ml 300

The pair is fitted after Kubelka and Munk (1931) with two constants each. Nothing is said
outside what was drawn down. Both undercoats must be of one system.`
}

// fromBook takes what the book keeps of --system. A density that is typed here
// goes before.
func (c *greyCmd) fromBook() error {
	switch {
	case c.System == "" && len(c.Card) == 0:
		return errors.New("which undercoats? give --system, or at least three drawdowns with --card")
	case c.System == "":
		return nil
	case len(c.Card) > 0:
		return errors.New("--system has its own drawdowns: leave out --card, or add yours on the page, under Shelf")
	}
	return ask(c.Data, func(b *book.Book) error {
		systems, err := b.Greys()
		if err != nil {
			return err
		}
		shelf, err := b.Recipes()
		if err != nil {
			return err
		}
		return c.take(systems, shelf)
	})
}

// take picks --system by its name or its id.
func (c *greyCmd) take(systems []mix.GreySystem, shelf []mix.Recipe) error {
	var names []string
	for _, s := range systems {
		names = append(names, s.Name)
		if !strings.EqualFold(s.Name, c.System) && s.ID != c.System {
			continue
		}
		for _, card := range s.Cards {
			c.kept = append(c.kept, coating.Drawdown{Dark: card.DarkPercent / 100, Lightness: card.Lightness})
		}
		c.steps = s.Steps
		light, _ := s.Tin(s.Light, shelf)
		dark, _ := s.Tin(s.Dark, shelf)
		if c.Light == 0 {
			c.Light = light.Density.GPerML
		}
		if c.Dark == 0 {
			c.Dark = dark.Density.GPerML
		}
		return nil
	}
	if len(names) == 0 {
		return fmt.Errorf("the book keeps no undercoats yet: add them on the page, under Shelf, or give --card")
	}
	return fmt.Errorf("no undercoats are called %q; the book keeps: %s", c.System, strings.Join(names, ", "))
}

// mostML is more undercoat than any bench mixes at once.
const mostML = 100_000

// greyJSON is the answer.
type greyJSON struct {
	Wanted       float64  `json:"wanted_lightness"`
	DarkShare    float64  `json:"dark_share_by_volume"`
	DarkShareU   float64  `json:"dark_share_uncertainty"` // standard
	LightnessU   float64  `json:"lightness_uncertainty"`  // standard
	FromCards    bool     `json:"uncertainty_from_cards"` // else half an L* is assumed
	Strength     float64  `json:"tinting_strength"`
	LightML      float64  `json:"light_ml"`
	DarkML       float64  `json:"dark_ml"`
	LightG       *float64 `json:"light_g,omitempty"`
	DarkG        *float64 `json:"dark_g,omitempty"`
	WhyNoWeights string   `json:"why_no_weights,omitempty"`
}

// Run fits and prints.
func (c *greyCmd) Run(out io.Writer) error {
	if err := c.fromBook(); err != nil {
		return err
	}
	if !(c.VolumeML > 0 && c.VolumeML <= mostML) {
		return fmt.Errorf("--volume-ml %v: give the undercoat wanted in millilitres, above 0 and at most %v", c.VolumeML, float64(mostML))
	}
	cards, err := c.cards()
	if err != nil {
		return err
	}
	wanted, err := c.wanted()
	if err != nil {
		return err
	}
	pair, err := coating.FitGrey(cards)
	if err != nil {
		return err
	}
	s, err := pair.For(wanted)
	if err != nil {
		return err
	}
	j := greyJSON{Wanted: wanted, DarkShare: s.Dark, DarkShareU: s.DarkU, LightnessU: s.Uncertainty, FromCards: s.FromCards,
		Strength: pair.Strength(), LightML: (1 - s.Dark) * c.VolumeML, DarkML: s.Dark * c.VolumeML}
	if err := c.weigh(&j); err != nil {
		return err
	}
	if c.JSON {
		return printJSON(out, j)
	}
	return j.print(out)
}

// weigh adds grams where both densities are known: none is assumed.
func (c *greyCmd) weigh(j *greyJSON) error {
	if c.Light == 0 || c.Dark == 0 {
		j.WhyNoWeights = "Without both densities there are no grams: give --light and --dark, or pour by volume."
		return nil
	}
	for _, gml := range []float64{c.Light, c.Dark} {
		if _, err := kindFlag("").check(gml); err != nil {
			return err
		}
	}
	light, dark := j.LightML*c.Light, j.DarkML*c.Dark
	j.LightG, j.DarkG = &light, &dark
	return nil
}

func (c *greyCmd) cards() (cards []coating.Drawdown, err error) {
	cards = c.kept
	for _, text := range c.Card {
		p, err := pair("--card", text)
		if err != nil {
			return nil, fmt.Errorf("--card %q: write the per cent of the dark one and the L*, like 50:44", text)
		}
		cards = append(cards, coating.Drawdown{Dark: p[0] / 100, Lightness: p[1]})
	}
	return cards, nil
}

func (c *greyCmd) wanted() (float64, error) {
	var names []string
	for _, step := range c.steps {
		if strings.EqualFold(step.Name, c.Wanted) {
			return step.Lightness, nil
		}
		names = append(names, step.Name)
	}
	for _, step := range c.Step {
		name, l, found := strings.Cut(step, "=")
		x, err := strconv.ParseFloat(l, 64)
		if !found || err != nil {
			return 0, fmt.Errorf("--step %q: write its name and its L*, like light=82", step)
		}
		if name == c.Wanted {
			return x, nil
		}
		names = append(names, name)
	}
	x, err := strconv.ParseFloat(c.Wanted, 64)
	if err != nil {
		return 0, fmt.Errorf("--wanted %q is neither an L* nor a step; steps are: %s", c.Wanted, strings.Join(names, ", "))
	}
	return x, nil
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
	from := "from your cards and the usual scatter of half an L* a card"
	if !j.FromCards {
		from = "with a scatter of half an L* a card, an assumption: from four cards on, yours count too"
	}
	fmt.Fprintf(out, "\nL* %.1f ± %.1f, %s; that is %.1f ± %.1f %% of the dark one by volume.\n", j.Wanted, coating.Coverage*j.LightnessU, from, 100*j.DarkShare, 100*coating.Coverage*j.DarkShareU)
	if j.WhyNoWeights != "" {
		fmt.Fprintln(out, j.WhyNoWeights)
	}
	fmt.Fprintln(out, "The ± holds the drawdowns alone: densities and scale come on top, and count most for a small share of the dark one.")
	_, err := fmt.Fprintln(out, "Draw this mix down before it goes under a colour.")
	return err
}
