package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"gramcup/mix"
	"gramcup/mix/coating"
	"gramcup/mix/strip"
	"gramcup/scale"
)

// stripCmd prints the marks of a cup.
type stripCmd struct {
	File     string  `arg:"" placeholder:"RECIPE.toml" help:"The recipe; by volume it needs no density."`
	VolumeML float64 `name:"volume-ml" required:"" placeholder:"300" help:"How much of the mix, in millilitres."`
	Cup      string  `placeholder:"85x120" help:"The cup inside, in millimetres: 85x120 is straight, 70/95x120 is 70 wide at the bottom and 95 at the top, 120 high."`
	Fills    string  `placeholder:"20:60,60:220" help:"A cup measured with water: height in mm and millilitres, two or more."`
	Out      string  `placeholder:"strip.pdf" help:"Draw the strip into a new file, .svg or .pdf, at true size."`
	Division string  `default:"0.1g" help:"The division of the scale that the stick is compared with."`
	JSON     bool    `name:"json" help:"Print JSON in full precision."`
}

// Help teaches by an example.
func (c *stripCmd) Help() string {
	return `Without a density the honest way is a stick and a pot. The marks of a recipe in any cup,
as a strip at true size to cut out and stand beside the stick:

  gramcup strip slate-surfacer.toml --volume-ml 300 --cup 85x120 --out strip.pdf

A line of 100 mm on the sheet shows whether the printer kept the size. The table compares
how well a stick, marks on the cup, and the scale would hold the ratio.`
}

// stripJSON is the marks with their errors, as fractions of each component.
type stripJSON struct {
	Components []stripRow `json:"components"`
	Why        string     `json:"why_no_scale,omitempty"`
}

type stripRow struct {
	Name       string   `json:"name"`
	VolumeML   float64  `json:"volume_ml"`
	MarkMM     float64  `json:"mark_mm"`
	StickError float64  `json:"stick_error"`
	CupError   float64  `json:"cup_mark_error"`
	ScaleError *float64 `json:"scale_error,omitempty"`
}

// Run works out, compares and draws.
func (c *stripCmd) Run(out io.Writer) error {
	r, err := readRecipe(c.File)
	if err != nil {
		return err
	}
	vessel, err := c.vessel()
	if err != nil {
		return err
	}
	volumes, err := r.VolumesML(c.VolumeML)
	if err != nil {
		return err
	}
	marks, err := coating.Levels(vessel, volumes)
	if err != nil {
		return err
	}
	j, err := c.compare(&r, vessel, volumes, marks)
	if err != nil {
		return err
	}
	if c.Out != "" {
		if err := c.draw(&r, vessel, volumes); err != nil {
			return err
		}
	}
	if c.JSON {
		return printJSON(out, j)
	}
	return c.print(out, &r, j)
}

// vessel is the cup that the flags describe.
func (c *stripCmd) vessel() (coating.Vessel, error) {
	if (c.Cup == "") == (c.Fills == "") {
		return nil, errors.New("which cup? give --cup 85x120 in millimetres inside, or --fills from weighing water")
	}
	if c.Fills != "" {
		f := coating.Filled{}
		for _, text := range strings.Split(c.Fills, ",") {
			p, err := pair("--fills", text)
			if err != nil {
				return nil, err
			}
			f.Fills = append(f.Fills, coating.Fill{HeightMM: p[0], VolumeML: p[1]})
		}
		return f, f.Check()
	}
	wide, high, found := strings.Cut(c.Cup, "x")
	bottom, top, tapered := strings.Cut(wide, "/")
	if !tapered {
		top = bottom
	}
	var mm [3]float64
	for i, text := range []string{bottom, top, high} {
		var err error
		if mm[i], err = strconv.ParseFloat(text, 64); err != nil || !found {
			return nil, fmt.Errorf("--cup %q: write 85x120, or 70/95x120 for one that is wider at the top", c.Cup)
		}
	}
	t := coating.Tapered{BottomMM: mm[0], TopMM: mm[1], InnerMM: mm[2]}
	return t, t.Check()
}

// compare holds stick, cup marks and scale against each other for this batch.
func (c *stripCmd) compare(r *mix.Recipe, v coating.Vessel, volumes, marks []float64) (stripJSON, error) {
	division, err := divisionOf(c.Division)
	if err != nil {
		return stripJSON{}, err
	}
	var j stripJSON
	sure, err := certaintyOf(r, c.VolumeML, division)
	if err != nil {
		j.Why = err.Error()
	}
	for i, comp := range r.Components {
		row := stripRow{Name: comp.Name, VolumeML: volumes[i], MarkMM: marks[i]}
		if row.StickError, err = coating.EyeError(v, marks, i, coating.StickReadMM); err != nil {
			return j, err
		}
		if row.CupError, err = coating.EyeError(v, marks, i, coating.MarkReadMM); err != nil {
			return j, err
		}
		if j.Why == "" && i > 0 {
			e := sure.Ratio[i].ExpandedRelative()
			row.ScaleError = &e
		}
		j.Components = append(j.Components, row)
	}
	return j, nil
}

func certaintyOf(r *mix.Recipe, ml float64, division scale.Mass) (mix.Certainty, error) {
	p, err := r.Plan(mix.Amount{Kind: mix.AmountVolume, ML: ml})
	if err != nil {
		return mix.Certainty{}, err
	}
	return r.Certainty(&p, mix.AccuracyOf(division, scale.Manner{}))
}

// draw writes the strip into a new file.
func (c *stripCmd) draw(r *mix.Recipe, v coating.Vessel, volumes []float64) error {
	var names []string
	for _, comp := range r.Components {
		names = append(names, comp.Name)
	}
	s, err := strip.ForCup(fmt.Sprintf("%s, %.0f ml", r.Name, c.VolumeML), v, names, volumes,
		mix.RatioText(*r)+"; cup "+c.Cup+c.Fills+".",
		"Cut it out, stand it on the inner bottom beside the stick, and pour each component up to its mark, in order.",
		"The product sheet comes first. Hardener contains isocyanate: gloves and eye protection when mixing.")
	if err != nil {
		return err
	}
	var picture []byte
	switch filepath.Ext(c.Out) {
	case ".svg":
		picture, err = s.SVG()
	case ".pdf":
		picture, err = s.PDF()
	default:
		err = fmt.Errorf("--out %q: name a file that ends in .svg or .pdf", c.Out)
	}
	if err != nil {
		return err
	}
	file, err := os.OpenFile(c.Out, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return fmt.Errorf("--out: %w; a strip never overwrites a file", err)
	}
	_, err = file.Write(picture)
	return errors.Join(err, file.Close())
}

func (c *stripCmd) print(out io.Writer, r *mix.Recipe, j stripJSON) error {
	fmt.Fprintf(out, "%s, %.0f ml, %s\n\n", r.Name, c.VolumeML, mix.RatioText(*r))
	w := table(out)
	names := flush("pour up to", "", j.Components, func(row stripRow) string { return row.Name })
	fmt.Fprintf(w, "%s\tml\tmark mm\tstick\tcup marks\tscale\t\n", names[0])
	for i, row := range j.Components {
		scale := "-"
		if row.ScaleError != nil {
			scale = fmt.Sprintf("± %.1f %%", 100**row.ScaleError)
		}
		fmt.Fprintf(w, "%s\t%.1f\t%.1f\t± %.1f %%\t± %.1f %%\t%s\t\n", names[i+1], row.VolumeML, row.MarkMM, 100*row.StickError, 100*row.CupError, scale)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if j.Why != "" {
		fmt.Fprintf(out, "\nBy weight: %s\n", j.Why)
	}
	if c.Out != "" {
		fmt.Fprintf(out, "\nThe strip is in %s: print it at 100 %% and measure its line of 100 mm.\n", c.Out)
	}
	return nil
}
