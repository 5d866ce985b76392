package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
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
	division, err := divisionOf(c.Division)
	if err != nil {
		return err
	}
	e, err := r.ByEye(vessel, c.VolumeML, mix.AccuracyOf(division, scale.Manner{}))
	if err != nil {
		return err
	}
	j := stripOf(e)
	if c.Out != "" {
		if err := c.draw(r, vessel, e); err != nil {
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
	cup, err := mix.ParseCup(c.Cup)
	if err != nil {
		return nil, fmt.Errorf("--cup: %w", err)
	}
	return cup, nil
}

// stripOf is the figures as JSON has them.
func stripOf(e mix.ByEye) stripJSON {
	j := stripJSON{Why: e.WhyNoScale}
	for i, row := range e.Rows {
		out := stripRow{Name: row.Name, VolumeML: row.VolumeML, MarkMM: row.MarkMM, StickError: row.StickError, CupError: row.CupError}
		if e.WhyNoScale == "" && i > 0 {
			out.ScaleError = &e.Rows[i].ScaleError
		}
		j.Components = append(j.Components, out)
	}
	return j
}

// draw writes the strip into a new file.
func (c *stripCmd) draw(r mix.Recipe, v coating.Vessel, e mix.ByEye) error {
	s, err := strip.ForCup(e.Title, v, e.Names(), e.VolumesML(), mix.StripLines(r, c.Cup+c.Fills)...)
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
