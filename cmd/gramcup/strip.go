package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"gramcup/mix"
	"gramcup/mix/coating"
	"gramcup/mix/strip"
)

// stripCmd prints the marks of a cup.
type stripCmd struct {
	File     string  `arg:"" placeholder:"RECIPE.toml" help:"A recipe file, or a product on the shelf of the book in --data; by volume it needs no density."`
	VolumeML float64 `name:"volume-ml" required:"" placeholder:"300" help:"How much of the mix, in millilitres."`
	cupFlags
	Out string `placeholder:"strip.pdf" help:"Draw the strip into a new file, .svg or .pdf, at true size."`
	scaleFlags
	JSON bool `name:"json" help:"Print JSON in full precision."`
}

// usualDivision is that of a usual bench scale: what a stick is compared with where
// nobody names a scale and no bench has one.
const usualDivision = "0.1g"

// Help teaches by an example.
func (c *stripCmd) Help() string {
	return `Without a density the honest way is a stick and a pot. The marks of a recipe in any cup,
as a strip at true size to cut out and stand beside the stick:

  gramcup strip slate-surfacer.toml --volume-ml 300 --cup 85x120 --out strip.pdf

A line of 100 mm on the sheet shows whether the printer kept the size. The table compares
how well a stick, marks on the cup, and the scale would hold the ratio: that of --division,
else the one that the bench has measured, else a usual one of ` + usualDivision + `.`
}

// Run works out, compares and draws.
func (c *stripCmd) Run(out io.Writer) error {
	r, _, warm, err := warmRecipe(c.File, c.Data)
	if err != nil {
		return err
	}
	vessel, err := c.vessel()
	if err != nil {
		return err
	}
	bench, err := c.scaleFlags.of(c.Data)
	if err != nil {
		return err
	}
	if bench.DivisionG == 0 {
		c.Division = usualDivision
		said := bench.said
		if bench, err = c.scaleFlags.of(c.Data); err != nil {
			return err
		}
		bench.said = said
	}
	e, err := r.ByEye(vessel, c.VolumeML, bench.Accuracy)
	if err != nil {
		return err
	}
	j := compareOf(e, bench)
	if c.Out != "" {
		if err := c.draw(r, vessel, e); err != nil {
			return err
		}
	}
	if c.JSON {
		return printJSON(out, j)
	}
	if bench.said != "" {
		warm = append(warm, bench.said)
	}
	return c.print(out, &r, j, warm)
}

// draw writes the strip into a new file.
func (c *stripCmd) draw(r mix.Recipe, v coating.Vessel, e mix.ByEye) error {
	name := c.Cup + c.Fills
	if known, ok := v.(namedCup); ok {
		name = known.text
	}
	lines := mix.StripLines(r, name)
	for _, more := range []string{e.MarkedWell(), e.Beyond} {
		if more != "" {
			lines = append(lines, more)
		}
	}
	s, err := strip.ForCup(e.Title, v, e.Names(), e.VolumesML(), lines...)
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

func (c *stripCmd) print(out io.Writer, r *mix.Recipe, j compareJSON, said []string) error {
	fmt.Fprintf(out, "%s, %.0f ml, %s\n\n", r.Name, c.VolumeML, mix.RatioText(*r))
	if err := j.print(out); err != nil {
		return err
	}
	for _, line := range said {
		fmt.Fprintln(out, line)
	}
	if c.Out == "" {
		return nil
	}
	_, err := fmt.Fprintf(out, "\nThe strip is in %s: print it at 100 %% and measure its line of 100 mm.\n", c.Out)
	return err
}
