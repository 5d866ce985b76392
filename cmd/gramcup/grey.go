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
	Division string   `placeholder:"0.1g" help:"The scale's division: what weighing adds is worked out for it."`
	repeatFlag
	JSON bool `name:"json" help:"Print JSON in full precision."`

	kept  []coating.Drawdown // of --system
	steps []mix.GreyStep
	tins  [2]mix.Density // of --system, the light one first
}

// Help teaches by an example.
func (c *greyCmd) Help() string {
	return `Draw down the light undercoat, the dark one and at least one mix of the two over full
hiding, let them dry, measure L*, and ask for a grey in between:

  gramcup grey --card 0:91 --card 10:68 --card 50:44 --card 100:30 --wanted 60 \
    --volume-ml 300 --light 1.45 --dark 1.38 --division 0.1g

Undercoats that were kept on the page, under Shelf, are asked by their name:

  gramcup grey --system "Slate greys" --wanted middle --volume-ml 300

The pair is fitted after Kubelka and Munk (1931) with two constants each. Nothing is said
outside what was drawn down; at its two ends the drawdown there counts, within its ±. The ±
holds the drawdowns, with densities theirs, and with --division the scale. Both undercoats must be of one system.`
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
		c.tins = [2]mix.Density{light.Density, dark.Density}
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
	// EndCard is what the drawdown at an end of them dried to, where that is the grey.
	EndCard *float64      `json:"end_card_lightness,omitempty"`
	Weighed *greyWeighing `json:"weighed,omitempty"`
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
	if s.End {
		j.EndCard = &s.CardL
	}
	if err := c.weigh(&j, pair, s); err != nil {
		return err
	}
	if c.JSON {
		return printJSON(out, j)
	}
	return j.print(out)
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
