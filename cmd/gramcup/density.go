package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// densityCmd finds out a density where the sheet gives none.
type densityCmd struct {
	Water  densityWaterCmd  `cmd:"" help:"From the weight of water and of the paint, filled to the same mark."`
	Ratios densityRatiosCmd `cmd:"" help:"From a tin that states its ratio both by volume and by weight."`
	At     densityAtCmd     `cmd:"" help:"Move a density to another temperature."`
}

// densityJSON is a density with how sure it is.
type densityJSON struct {
	GML          float64 `json:"density_g_ml"`
	UncertainGML float64 `json:"uncertainty_g_ml,omitempty"` // standard
	LbGal        float64 `json:"density_lb_gal"`
	VolumeML     float64 `json:"vessel_ml,omitempty"`
	TemperatureC float64 `json:"temperature_c"`
	Note         string  `json:"note,omitempty"`
}

// densityWaterCmd measures one.
type densityWaterCmd struct {
	WaterG   float64  `name:"water-g" required:"" placeholder:"99.8" help:"Net weight of the water, in grams."`
	WaterC   float64  `name:"water-c" default:"20" help:"Temperature of the water, in °C."`
	PaintG   float64  `name:"paint-g" required:"" placeholder:"131.5" help:"Net weight of the paint, to the same mark."`
	PaintC   float64  `name:"paint-c" default:"20" help:"Temperature of the paint, in °C."`
	HeightMM float64  `name:"height-mm" default:"60" help:"How high the mark stands above the bottom: half a millimetre of reading is a part of it. 0 for a vessel filled to a brim."`
	Division string   `default:"0.1g" help:"The scale's division."`
	Kind     kindFlag `placeholder:"hardener" help:"What it is, to tell a slip from a density: primer surfacer, epoxy primer, etch primer, hardener, reducer, solvent base, water base, clear."`
	JSON     bool     `name:"json" help:"Print JSON in full precision."`
}

// kindFlag is a kind of component.
type kindFlag string

// check refuses a density that can not be, and gives the note of one that is
// unusual.
func (k kindFlag) check(gml float64) (note string, err error) {
	kind := coating.Kind(k)
	if kind != "" {
		known := false
		for _, r := range coating.Rows() {
			known = known || r.Kind == kind
		}
		if !known {
			return "", fmt.Errorf("--kind %q is not known; gramcup density water --help lists them", k)
		}
	}
	err = coating.Plausible(kind, gml)
	if r, ok := err.(*coating.Refusal); ok && r.Ask {
		return r.Sentence, nil
	}
	return "", err
}

// Help teaches by an example.
func (c *densityWaterCmd) Help() string {
	return `Weigh an empty cup with a mark, fill it to the mark with water and weigh again, empty and
dry it, fill it to the same mark with paint and weigh:

  gramcup density water --water-g 99.8 --water-c 21 --paint-g 131.5 --paint-c 20 --height-mm 60

The weight of the water gives the volume of the mark (Tanaka 2001), whatever the cup is
called. A taller, narrower vessel is surer: its mark is read better.`
}

// Run works it out and prints it.
func (c *densityWaterCmd) Run(out io.Writer) error {
	division, err := parseDivision(c.Division)
	if err != nil {
		return err
	}
	net := func(g float64) coating.Weighed { return coating.NetOf(g, division.Grams(), division.Grams()) }
	mark := coating.Mark{}
	switch {
	case !(c.HeightMM >= 0) || math.IsInf(c.HeightMM, 0):
		return fmt.Errorf("--height-mm %v: give the height of the mark above the bottom in millimetres, or 0 for a vessel filled to its brim", c.HeightMM)
	case c.HeightMM > 0:
		mark = coating.CupMark(c.HeightMM)
	}
	if !(c.WaterG <= mostG && c.PaintG <= mostG) {
		return fmt.Errorf("water of %v g and paint of %v g: a bench scale carries at most %v g", c.WaterG, c.PaintG, float64(mostG))
	}
	m, err := coating.AgainstWater(net(c.WaterG), c.WaterC, net(c.PaintG), c.PaintC, mark)
	if err != nil {
		return err
	}
	j := densityJSON{GML: m.GML, UncertainGML: m.Uncertainty, LbGal: coating.LbPerGallon(1000 * m.GML), VolumeML: m.VolumeML, TemperatureC: c.PaintC}
	if j.Note, err = c.Kind.check(m.GML); err != nil {
		return err
	}
	if err := (mix.Density{GPerML: m.GML, ReferenceC: c.PaintC, UncertaintyGML: m.Uncertainty}).Check(); err != nil {
		return fmt.Errorf("%w; weigh more of it, on a finer scale, to a mark that stands higher", err)
	}
	if c.JSON {
		return printJSON(out, j)
	}
	fmt.Fprintf(out, "%.3f g/ml ± %.3f at %.4g °C (%.2f lb/gal); the mark holds %.1f ml.\n", m.GML, coating.Coverage*m.Uncertainty, c.PaintC, j.LbGal, m.VolumeML)
	fmt.Fprintln(out, c.counted(division.Grams()))
	return j.rest(out, "weighed here against water")
}

// mostG is more than any bench scale carries.
const mostG = 100_000

// counted says what the ± holds, and what of it was given or is the default.
func (c *densityWaterCmd) counted(divisionG float64) string {
	mark := "a brim that is met exactly"
	if c.HeightMM > 0 {
		mark = fmt.Sprintf("half a millimetre at a mark %.4g mm high", c.HeightMM)
	}
	return fmt.Sprintf("The ± counts %s, twice, and a scale of %.4g g that scatters by as much; water at %.4g °C. Say so if yours differ.", mark, divisionG, c.WaterC)
}

// rest prints the note and the line for a recipe file.
func (j densityJSON) rest(out io.Writer, source string) error {
	if j.Note != "" {
		fmt.Fprintln(out, j.Note)
	}
	u := ""
	if j.UncertainGML > 0 {
		u = fmt.Sprintf(", u_g_ml = %.4f", j.UncertainGML)
	}
	_, err := fmt.Fprintf(out, "\nFor a recipe file:\ndensity = { g_ml = %.4f, reference_c = %.4g%s, since_ms = %d, source = %q }\n", j.GML, j.TemperatureC, u, time.Now().UnixMilli(), source)
	return err
}

// densityRatiosCmd finds one out from a tin.
type densityRatiosCmd struct {
	First  float64  `required:"" placeholder:"1.36" help:"The density of the first component in g/ml."`
	Volume string   `required:"" placeholder:"4:1" help:"The ratio by volume."`
	Weight string   `required:"" placeholder:"100:19.5" help:"The ratio by weight."`
	Kind   kindFlag `placeholder:"hardener" help:"What the second component is."`
	JSON   bool     `name:"json" help:"Print JSON in full precision."`
}

// Help teaches by an example.
func (c *densityRatiosCmd) Help() string {
	return `  gramcup density ratios --first 1.36 --volume 4:1 --weight 100:19.5

The ratio by weight on a tin is rounded to its last digit, and what is printed here is no
surer than that.`
}

// Run works it out and prints it.
func (c *densityRatiosCmd) Run(out io.Writer) error {
	v, err := pair("--volume", c.Volume)
	if err != nil {
		return err
	}
	w, err := pair("--weight", c.Weight)
	if err != nil {
		return err
	}
	gml, err := coating.FromBothRatios(c.First, v[0], v[1], w[0], w[1])
	if err != nil {
		return err
	}
	_, printed, _ := strings.Cut(c.Weight, ":")
	first, _ := mix.Density{GPerML: c.First}.Spread()
	u := gml * math.Hypot(first/c.First, coating.Rounding(printed)/w[1])
	j := densityJSON{GML: gml, UncertainGML: u, LbGal: coating.LbPerGallon(1000 * gml), TemperatureC: 20}
	if j.Note, err = c.Kind.check(gml); err != nil {
		return err
	}
	if c.JSON {
		return printJSON(out, j)
	}
	fmt.Fprintf(out, "%.3f g/ml ± %.3f (%.2f lb/gal): the %s is rounded, the figure before it is taken as exact, and half a per cent is assumed for the first density.\n", gml, coating.Coverage*u, j.LbGal, strings.TrimSpace(printed))
	return j.rest(out, "both ratios on the tin")
}

func pair(flag, text string) (out [2]float64, err error) {
	a, b, found := strings.Cut(text, ":")
	for i, s := range []string{a, b} {
		if out[i], err = strconv.ParseFloat(strings.TrimSpace(s), 64); err != nil || !found {
			return out, fmt.Errorf("%s %q: write two numbers like 4:1", flag, text)
		}
	}
	return out, nil
}

// densityAtCmd moves one.
type densityAtCmd struct {
	Density    float64 `arg:"" placeholder:"1.05" help:"The density in g/ml."`
	ReferenceC float64 `name:"reference-c" default:"20" help:"The temperature it holds for, in °C."`
	ShopC      float64 `name:"shop-c" required:"" placeholder:"28" help:"The temperature of the paint."`
	PerK       float64 `name:"per-k" default:"0.0008" help:"By how much of itself it grows for a kelvin: about 0.0008 for paint (from memory), 0.0011 for reducer (Perry's handbook, table 2-32)."`
	JSON       bool    `name:"json" help:"Print JSON in full precision."`
}

// Run works it out and prints it.
func (c *densityAtCmd) Run(out io.Writer) error {
	j := densityJSON{TemperatureC: c.ShopC}
	if _, err := kindFlag("").check(c.Density); err != nil {
		return err
	}
	err := coating.CheckTemperature(c.ReferenceC, c.ShopC, c.PerK)
	if r, ok := err.(*coating.Refusal); ok && r.Ask {
		j.Note, err = r.Sentence, nil
	}
	if err != nil {
		return err
	}
	j.GML = coating.AtTemperature(c.Density, c.ReferenceC, c.ShopC, c.PerK)
	j.LbGal = coating.LbPerGallon(1000 * j.GML)
	if c.JSON {
		return printJSON(out, j)
	}
	fmt.Fprintf(out, "%.4f g/ml at %.4g °C (%.2f lb/gal), moved from %.4g °C by %.4g a kelvin; paint has 0.0006 to 0.0010, so that alone leaves ± %.4f.\n",
		j.GML, c.ShopC, j.LbGal, c.ReferenceC, c.PerK, coating.Coverage*coating.MovingUncertaintyGML(j.GML, c.ReferenceC, c.ShopC, c.PerK))
	if j.Note != "" {
		fmt.Fprintln(out, j.Note)
	}
	return nil
}
