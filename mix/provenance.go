package mix

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"gramcup/mix/coating"
)

// Provenance is a density with the temperature it holds for and where it came
// from, in a line for the page: "1.06 g/ml at 20 °C, product sheet", "1.062 g/ml
// at 23 °C, weighed here 25 Nov, ± 0.013". The ± is the expanded uncertainty
// (k = 2); now gives the year and the time zone.
func (d Density) Provenance(now time.Time) string {
	if !d.Known() {
		return "no density"
	}
	s := gml(d.GPerML) + " g/ml"
	if d.ReferenceC != 0 {
		s += " at " + number(math.Round(10*d.ReferenceC)/10) + " °C"
	}
	source := d.Source
	if source == "" {
		source = "where from is not written down"
	}
	s += ", " + source
	if d.SinceMS > 0 {
		at := time.UnixMilli(d.SinceMS).In(now.Location())
		layout := "2 Jan"
		if at.Year() != now.Year() {
			layout = "2 Jan 2006"
		}
		s += " " + at.Format(layout)
	}
	if d.UncertaintyGML > 0 {
		s += fmt.Sprintf(", ± %.3f", coating.Coverage*d.UncertaintyGML)
	}
	return s
}

// AgeDays is how many days ago the density was measured or entered, -1 where
// that is not known.
func (d Density) AgeDays(now time.Time) int {
	if d.SinceMS <= 0 {
		return -1
	}
	const day = 24 * time.Hour
	return max(int(now.Sub(time.UnixMilli(d.SinceMS))/day), 0)
}

// gml writes a density with two to three decimals.
func gml(x float64) string {
	s := strconv.FormatFloat(x, 'f', 3, 64)
	return strings.TrimSuffix(s, "0")
}
