package mix

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gramcup/mix/coating"
)

// Limits of a density that is believed, in g/mL. Lighter than the lightest
// solvent or heavier than the heaviest filled primer is a slip of the pen
// (plausibility rows: common practice, no source).
const (
	DensityMinGML = coating.LightestGML
	DensityMaxGML = coating.HeaviestGML
)

// Density is a component's density with where it came from. The zero value
// means that it is not known, and nothing is ever assumed for it.
type Density struct {
	// GPerML is the density in g/mL (the same number in kg/L) at ReferenceC.
	GPerML float64 `json:"g_ml,omitempty" toml:"g_ml,omitempty"`
	// ReferenceC is the temperature it holds for, in °C.
	ReferenceC float64 `json:"reference_c,omitempty" toml:"reference_c,omitempty"`
	// AsGiven is the figure as the source printed it, "11.85 lb/gal".
	AsGiven string `json:"as_given,omitempty" toml:"as_given,omitempty"`
	// Source says where it came from: "product sheet", "weighed here against
	// water", "invented".
	Source string `json:"source,omitempty" toml:"source,omitempty"`
	// UncertaintyGML is its standard uncertainty, 0 if nobody gave one: see
	// Spread.
	UncertaintyGML float64 `json:"u_g_ml,omitempty" toml:"u_g_ml,omitempty"`
	// ExpansionPerK is by how much of itself the liquid grows for a kelvin, 0 if
	// it is not known.
	ExpansionPerK float64 `json:"expansion_per_k,omitempty" toml:"expansion_per_k,omitempty"`
	// SinceMS is when it was measured or entered, Unix time; 0 if not known.
	SinceMS int64 `json:"since_ms,omitempty" toml:"since_ms,omitempty"`
	// MovedUGML is the standard uncertainty that moving it to the shop's temperature
	// adds where UncertaintyGML is not given: see Recipe.At.
	MovedUGML float64 `json:"moved_u_g_ml,omitempty" toml:"-"`
}

// Known reports whether there is a density at all.
func (d Density) Known() bool { return d.GPerML != 0 }

// Check refuses what no paint can have.
func (d Density) Check() error {
	if d.GPerML >= 1000*DensityMinGML && d.GPerML <= 1000*DensityMaxGML {
		return fmt.Errorf("density %.6g g/mL can not be right: did you mean %.6g g/L? then write the unit", d.GPerML, d.GPerML)
	}
	if !finite(d.GPerML) || d.GPerML < DensityMinGML || d.GPerML > DensityMaxGML {
		return fmt.Errorf("density %.4g g/mL can not be right: paint, hardener and reducer lie between %v and %v g/mL", d.GPerML, DensityMinGML, DensityMaxGML)
	}
	if !finite(d.ReferenceC) || d.ReferenceC < -20 || d.ReferenceC > 60 {
		return fmt.Errorf("reference temperature %v °C can not be right: a sheet gives 15 to 25 °C", d.ReferenceC)
	}
	if !finite(d.UncertaintyGML) || d.UncertaintyGML < 0 || d.UncertaintyGML > d.GPerML/4 {
		return fmt.Errorf("an uncertainty of %v g/mL can not be right for a density of %v: it is a few per cent of it at most", d.UncertaintyGML, d.GPerML)
	}
	if !finite(d.ExpansionPerK) || d.ExpansionPerK < 0 || d.ExpansionPerK > coating.ExpansionMaxPerK {
		return fmt.Errorf("an expansion of %v for a kelvin can not be right: paint has about 0.0008, solvent up to 0.0015", d.ExpansionPerK)
	}
	return nil
}

// assumedSpread is the standard uncertainty of a density that comes without
// one, as a fraction: common practice, no source; public tables of one pure
// solvent differ by 0.3 to 0.7 %, and paint varies more from batch to batch.
const assumedSpread = 0.005

// Spread is the standard uncertainty of the density in g/mL, and whether it was
// given or is the assumed half per cent, with what the shop's temperature adds.
func (d Density) Spread() (gml float64, given bool) {
	if d.UncertaintyGML > 0 {
		return d.UncertaintyGML, true
	}
	return math.Hypot(assumedSpread*d.GPerML, d.MovedUGML), false
}

// densityUnits gives the size of each unit in g/mL; the exact gallons and the
// pound stand in coating, with their source.
var densityUnits = map[string]float64{
	"": 1, "g/ml": 1, "kg/l": 1, "g/cm3": 1, "g/cm³": 1, "g/cc": 1,
	"g/l": 0.001, "kg/m3": 0.001, "kg/m³": 0.001,
	"lb/gal": lbPerUSGallon, "lb/usgal": lbPerUSGallon,
	"lb/ukgal": coating.GramsPerPound / (1000 * coating.LitresPerUKGallon),
}

// lbPerUSGallon is a pound a US gallon in g/mL.
const lbPerUSGallon = coating.GramsPerPound / (1000 * coating.LitresPerUSGallon)

// ParseDensity reads a density as a sheet prints it: "1.42", "1.42 g/mL",
// "1420 g/L", "11.85 lb/gal" (the US gallon), "11.85 lb/ukgal". A bare number
// is g/mL. It refuses what can not be right.
func ParseDensity(s string) (Density, error) {
	text := strings.TrimSpace(s)
	end := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("+-.0123456789", r) })
	if end < 0 {
		end = len(text)
	}
	unit := strings.ToLower(strings.ReplaceAll(text[end:], " ", ""))
	value, err := strconv.ParseFloat(text[:end], 64)
	if err != nil {
		return Density{}, fmt.Errorf("density %q is not a number with a unit: write 1.42, 1420 g/L or 11.85 lb/gal", s)
	}
	if strings.HasPrefix(unit, "oz") {
		return Density{}, fmt.Errorf("density %q: \"oz\" may be a mass or a fluid ounce, and US and imperial differ: give g/mL, kg/L, g/L or lb/gal", s)
	}
	factor, ok := densityUnits[unit]
	if !ok {
		return Density{}, fmt.Errorf("density %q: unit %q is not known, use g/mL, kg/L, g/L, lb/gal (US) or lb/ukgal", s, text[end:])
	}
	d := Density{GPerML: value * factor, ReferenceC: 20, AsGiven: text, Source: "typed in"}
	if d.GPerML == 0 {
		return Density{}, fmt.Errorf("density %q: a density of 0 means that nothing is known, and nothing is assumed: read it from the product sheet or weigh it against water", s)
	}
	return d, d.Check()
}
