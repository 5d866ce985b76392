package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"strings"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/mix/coating"
	"gramcup/scale"
)

// cupFlags describe a cup, to compare pouring by eye with the scale.
type cupFlags struct {
	Cup   string `placeholder:"85x120" help:"The cup inside, in millimetres: 85x120 is straight, 70/95x120 is 70 wide at the bottom and 95 at the top, 120 high. Or the name of a cup that was measured with water on the page."`
	Fills string `placeholder:"20:60,60:220" help:"A cup measured with water: height in mm and millilitres, two or more."`
	Data  string `env:"GRAMCUP_DATA" default:"${state}" type:"path" help:"The folder of the book that knows cups by name, the shelf, and what the bench has measured of its scale."`
}

// given reports whether a cup was described at all.
func (c cupFlags) given() bool { return c.Cup != "" || c.Fills != "" }

// vessel is the cup that the flags describe.
func (c cupFlags) vessel() (coating.Vessel, error) {
	if (c.Cup == "") == (c.Fills == "") {
		return nil, errors.New("which cup? give --cup 85x120 in millimetres inside, or --fills from weighing water")
	}
	if c.Fills != "" {
		f := coating.Filled{LevelMM: coating.LevelReadMM}
		for _, text := range strings.Split(c.Fills, ",") {
			p, err := pair("--fills", text)
			if err != nil {
				return nil, fmt.Errorf("--fills %q: write each filling as its height in mm and its millilitres, like 20:60,60:220", c.Fills)
			}
			f.Fills = append(f.Fills, coating.Fill{HeightMM: p[0], VolumeML: p[1]})
		}
		return f, f.Check()
	}
	cup, err := mix.ParseCup(c.Cup)
	if err != nil && (c.Cup[0] < '0' || c.Cup[0] > '9') {
		return c.byName()
	}
	if err != nil {
		return nil, fmt.Errorf("--cup: %w", err)
	}
	return cup, nil
}

// namedCup is a measured cup out of the book.
type namedCup struct {
	coating.Filled
	text string // its name and where it comes from
}

// byName is a cup that was measured at the bench.
func (c cupFlags) byName() (coating.Vessel, error) {
	var list []mix.Cup
	err := ask(c.Data, func(b *book.Book) (err error) {
		list, err = b.Cups()
		return err
	})
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("--cup: the cup is %q: write 85x120 in millimetres inside; there is no book in %s that could know a cup of that name, --data names its folder", c.Cup, c.Data)
	}
	if err != nil {
		return nil, err
	}
	names := []string{}
	for _, known := range list {
		if strings.EqualFold(known.Name, c.Cup) {
			f, err := known.Vessel()
			return namedCup{f, known.Name + ", " + known.Text()}, err
		}
		names = append(names, known.Name)
	}
	if len(names) == 0 {
		names = []string{"none: measure one on the page, under Shelf"}
	}
	return nil, fmt.Errorf("--cup: no cup is called %q; the book in %s knows %s. Or write its size, 85x120 in millimetres inside", c.Cup, c.Data, strings.Join(names, ", "))
}

// repeatFlag is what somebody knows of a scale beyond its division.
type repeatFlag struct {
	RepeatabilityG *float64 `name:"repeatability-g" placeholder:"0.08" help:"How far readings of one load scatter, a standard deviation in grams, as the bench has measured it. Where nobody says, one division is taken."`
}

// accuracy is that of a scale of this division.
func (f repeatFlag) accuracy(division scale.Mass) (mix.Accuracy, error) {
	if f.RepeatabilityG == nil {
		return mix.AccuracyOf(division, scale.Manner{}), nil
	}
	const most = 1000.0
	g := *f.RepeatabilityG
	if !(g >= 0 && g <= most) {
		return mix.Accuracy{}, fmt.Errorf("--repeatability-g %v: give 0 to %.0f g", g, most)
	}
	return mix.AccuracyOf(division, scale.Manner{Noise: scale.MassFromGrams(math.Max(g, 0)), Stills: 1}), nil
}

// compareJSON is how well each way of pouring holds a batch; errors are
// fractions of each component's own amount.
type compareJSON struct {
	ReadMM         float64    `json:"read_mm"` // how well a level is read
	DivisionG      float64    `json:"division_g"`
	RepeatabilityG float64    `json:"repeatability_g"`
	Measured       bool       `json:"repeatability_measured"` // else it is taken as one division
	Components     []stripRow `json:"components"`
	Beyond         string     `json:"beyond,omitempty"` // which marks are not drawn and why
	Why            string     `json:"why_no_scale,omitempty"`
	Scale          *scaleJSON `json:"scale,omitempty"` // where that is taken from the book
	scale          string     // what it was compared with, in words
}

type stripRow struct {
	Name       string   `json:"name"`
	VolumeML   float64  `json:"volume_ml"`
	MarkMM     float64  `json:"mark_mm"`                                // 0 where it is beyond what was measured
	MarkU      float64  `json:"mark_expanded_uncertainty_mm,omitempty"` // of the mark itself, k = 2
	StickError float64  `json:"stick_error_fraction"`
	CupError   float64  `json:"cup_mark_error_fraction"`
	ScaleError *float64 `json:"scale_error_fraction,omitempty"`
}

// compareOf is the comparison as JSON has it.
func compareOf(e mix.ByEye, a ofScale) compareJSON {
	j := compareJSON{ReadMM: coating.StickReadMM, DivisionG: a.DivisionG, RepeatabilityG: a.RepeatabilityG, Measured: a.Measured, Beyond: e.Beyond, Why: e.WhyNoScale, Scale: a.book, scale: a.Text()}
	for i, row := range e.Rows {
		out := stripRow{Name: row.Name, VolumeML: row.VolumeML, MarkMM: row.MarkMM, MarkU: row.MarkU, StickError: row.StickError, CupError: row.CupError}
		if e.WhyNoScale == "" {
			out.ScaleError = &e.Rows[i].ScaleError
		}
		j.Components = append(j.Components, out)
	}
	return j
}

// print is the comparison as a table, with what the figures mean below it.
func (j compareJSON) print(out io.Writer) error {
	w := table(out)
	names := flush("pour up to", "", j.Components, func(row stripRow) string { return row.Name })
	fmt.Fprintf(w, "%s\tml\tmark mm\tstick\tcup marks\tscale\t\n", names[0])
	for i, row := range j.Components {
		scale := "-"
		if row.ScaleError != nil {
			scale = fmt.Sprintf("± %.1f %%", 100**row.ScaleError)
		}
		if row.MarkMM == 0 {
			fmt.Fprintf(w, "%s\t%.1f\t-\t-\t-\t%s\t\n", names[i+1], row.VolumeML, scale)
			continue
		}
		fmt.Fprintf(w, "%s\t%.1f\t%.1f\t± %.1f %%\t± %.1f %%\t%s\t\n", names[i+1], row.VolumeML, row.MarkMM, 100*row.StickError, 100*row.CupError, scale)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if j.Beyond != "" {
		fmt.Fprintf(out, "\n%s\n", j.Beyond)
	}
	fmt.Fprintf(out, "\nOf each component's own amount. By eye: levels read to %.1f mm, common practice.", j.ReadMM)
	if j.Why != "" {
		_, err := fmt.Fprintf(out, "\nBy weight: %s.\n", strings.TrimSuffix(j.Why, "."))
		return err
	}
	_, err := fmt.Fprintf(out, " By weight: %s, with the densities, k = 2.\n", j.scale)
	return err
}
