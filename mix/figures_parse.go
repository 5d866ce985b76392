package mix

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"gramcup/mix/coating"
)

// ParseFigure reads a figure as a sheet prints it, with the units that sheets
// use: "4.7 lb/gal", "563 g/l", "52 %", "262 g/eq". A bare number is taken only
// where it can mean one thing. An error is a *FigureError.
func ParseFigure(f Figure, text string) (float64, error) {
	if f == FigureSolvent || f == FigureExemptDensity {
		d, err := ParseDensity(strings.ReplaceAll(text, ",", "."))
		if err != nil {
			return 0, refuseFigure(f, "%s.", upper(err.Error()))
		}
		return d.GPerML, nil
	}
	value, unit, ok := splitFigure(text)
	if !ok {
		return 0, refuseFigure(f, "“%s” is no number with a unit: write it like %s.", text, figureExample(f))
	}
	switch f {
	case FigurePrice:
		return parsePrice(value, unit)
	case FigureTolerance, FigureVolumeSolids, FigureWeightSolids, FigureVolatile, FigureWater, FigureExempt, FigureMixSolids:
		return parseShare(f, value, unit)
	case FigureExpansion:
		return parseExpansion(value, unit)
	case FigureVOC:
		return parseVOC(value, unit)
	case FigureNCO, FigureOH:
		return parseGroups(f, value, unit)
	case FigureCup:
		return parseCup(value, unit)
	}
	return 0, refuseFigure(f, "There is no figure %q.", f)
}

// splitFigure parts a number from its unit, which comes back in small letters
// and without blanks.
func splitFigure(text string) (value float64, unit string, ok bool) {
	digits, rest := numberPart(text)
	value, err := strconv.ParseFloat(digits, 64)
	unit = strings.ToLower(strings.NewReplacer(" ", "", "\u00a0", "", "\u202f", "").Replace(rest))
	return value, unit, err == nil && !math.IsInf(value, 0)
}

// numberPart parts the digits of a figure, as they are printed, from what follows.
func numberPart(text string) (digits, rest string) {
	text = strings.TrimLeft(strings.TrimSpace(strings.ReplaceAll(text, ",", ".")), "±€£$ ")
	end := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune(".0123456789", r) })
	if end < 0 {
		end = len(text)
	}
	return text[:end], text[end:]
}

func figureExample(f Figure) string {
	switch f {
	case FigurePrice:
		return "26, or 98 /gal"
	case FigureExpansion:
		return "0.0008 /K"
	case FigureVOC:
		return "563 g/l or 4.7 lb/gal"
	case FigureNCO:
		return "16 % or 262 g/eq"
	case FigureOH:
		return "95 mg KOH/g or 590 g/eq"
	case FigureCup:
		return "650 ml"
	}
	return "52 %"
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// parseShare reads a percentage as a fraction. What it is a share of stands in
// the name of the field; a unit that says otherwise is refused.
func parseShare(f Figure, value float64, unit string) (float64, error) {
	byVolume := f == FigureVolumeSolids || f == FigureMixSolids
	says := strings.Trim(strings.NewReplacer("%", "", "percent", "", "by", "", ".", "").Replace(unit), "()-/")
	volume := says == "vol" || says == "v" || says == "v/v" || says == "volume"
	weight := says == "w" || says == "wt" || says == "w/w" || says == "weight" || says == "mass"
	switch {
	case says != "" && !volume && !weight:
		return 0, refuseFigure(f, "The unit “%s” is not known here: give per cent, such as 52 %%.", unit)
	case byVolume && weight:
		return 0, refuseFigure(f, "That is per cent by weight: it belongs beside solids by weight.")
	case !byVolume && f != FigureTolerance && volume:
		return 0, refuseFigure(f, "That is per cent by volume, and by weight is wanted here.")
	case unit == "" && value > 0 && value < 1:
		return 0, refuseFigure(f, "%s may be %s %% or a share: write it with %%.", few(value), few(value))
	case value > 100:
		return 0, refuseFigure(f, "%s %% is more than all of it.", few(value))
	}
	share := value / 100
	switch {
	case f == FigureTolerance && (share == 0 || share > 0.5):
		return 0, refuseFigure(f, "A tolerance of %s %% can not be right: give one above 0 and up to 50 %%.", few(value))
	case f == FigureVolumeSolids && share == 0:
		return 0, refuseFigure(f, "0 %% is what a reducer has anyway, and nothing else can have it: leave it empty.")
	case f == FigureVolatile && share == 0 || f == FigureWeightSolids && share == 1:
		return 0, refuseFigure(f, "Where nothing evaporates, give a VOC of 0 g/l and say that it holds neither water nor exempt solvent.")
	case f == FigureWeightSolids:
		return 1 - share, nil
	}
	return share, nil
}

func parsePrice(value float64, unit string) (float64, error) {
	litres := map[string]float64{"": 1, "/l": 1, "/litre": 1, "/liter": 1, "alitre": 1, "perlitre": 1,
		"/gal": coating.LitresPerUSGallon, "/usgal": coating.LitresPerUSGallon, "/ukgal": coating.LitresPerUKGallon, "/ml": 0.001}[unit]
	const most = 100_000
	switch {
	case litres == 0:
		return 0, refuseFigure(FigurePrice, "The unit “%s” is not known: give the price of a litre, or of a gallon as 98 /gal (US) or 98 /ukgal.", unit)
	case value == 0 || value/litres > most:
		return 0, refuseFigure(FigurePrice, "%s a litre can not be right: leave it empty where it is not known.", few(value/litres))
	}
	return value / litres, nil
}

func parseExpansion(value float64, unit string) (float64, error) {
	factor := map[string]float64{"": 1, "/k": 1, "1/k": 1, "perk": 1, "/°c": 1, "/c": 1, "%/k": 0.01, "%/°c": 0.01, "/°f": 1.8, "/f": 1.8}[unit]
	switch perK := value * factor; {
	case factor == 0:
		return 0, refuseFigure(FigureExpansion, "The unit “%s” is not known: write 0.0008 /K, or 0.08 %%/K.", unit)
	case perK > coating.ExpansionMaxPerK:
		return 0, refuseFigure(FigureExpansion, "%s for a kelvin can not be right: paint has about 0.0008, solvent up to 0.0015. Was it per cent?", few(perK))
	default:
		return perK, nil
	}
}

// parseVOC reads grams of solvent a litre. A bare number below the least that
// anybody would write in g/l may be pounds a gallon.
func parseVOC(value float64, unit string) (float64, error) {
	const bareLeast, most = 20, 2000
	gl := value
	switch unit {
	case "", "g/l", "gm/l", "g/litre", "g/liter":
	case "kg/l":
		gl = 1000 * value
	case "lb/gal", "lbs/gal", "lb/usgal", "lbs/usgal":
		gl = coating.GramsPerLitre(value)
	case "lb/ukgal":
		gl = value * coating.GramsPerPound / coating.LitresPerUKGallon
	case "%":
		return 0, refuseFigure(FigureVOC, "Per cent of its weight belongs beside volatile; here it is grams a litre.")
	default:
		return 0, refuseFigure(FigureVOC, "The unit “%s” is not known: write 563 g/l or 4.7 lb/gal.", unit)
	}
	switch {
	case unit == "" && value > 0 && value < bareLeast:
		return 0, refuseFigure(FigureVOC, "%s may be lb/gal or g/l: write the unit.", few(value))
	case gl > most:
		return 0, refuseFigure(FigureVOC, "%s g/l can not be right: no solvent is heavier than %d g/l.", few(gl), most)
	}
	return gl, nil
}

// parseGroups reads what is reactive in a urethane's side, also where a sheet
// gives the mass that carries one mole of it.
func parseGroups(f Figure, value float64, unit string) (float64, error) {
	units, equivalent, most := []string{"", "%", "%nco"}, coating.EquivalentNCO, 50.0
	if f == FigureOH {
		units, equivalent, most = []string{"", "mgkoh/g", "mg/g", "mgkoh"}, coating.EquivalentOH, 1000
	}
	x := value
	switch {
	case (unit == "g/eq" || unit == "g/mol" || unit == "g/val") && value > 0:
		x = equivalent(value) // the relation is its own inverse
	case !slices.Contains(units, unit):
		return 0, refuseFigure(f, "The unit “%s” is not known: write it like %s.", unit, figureExample(f))
	}
	switch {
	case x == 0:
		return 0, refuseFigure(f, "With 0 there is nothing to react: leave it empty where the sheet does not say it.")
	case f == FigureNCO && x > most:
		return 0, refuseFigure(f, "An NCO content of %s %% can not be right: hardeners as supplied have about 5 to 25 %%.", few(x))
	case x >= most:
		return 0, refuseFigure(f, "An OH value of %s mg KOH/g can not be right: as supplied it lies between about 20 and 300.", few(x))
	}
	return x, nil
}

func parseCup(value float64, unit string) (float64, error) {
	factor := map[string]float64{"": 1, "ml": 1, "cl": 10, "l": 1000}[unit]
	const least, most = 10, 100_000
	switch ml := value * factor; {
	case factor == 0:
		return 0, refuseFigure(FigureCup, "The unit “%s” is not known: write 650 ml.", unit)
	case ml < least || ml > most:
		return 0, refuseFigure(FigureCup, "A cup of %s ml can not be right: give what it holds below the rim, in millilitres.", few(ml))
	default:
		return ml, nil
	}
}

// FigureText writes a figure as a person reads it, and could type it again.
func FigureText(f Figure, value float64) string {
	round := func(x float64, digits int) string {
		p := math.Pow(10, float64(digits))
		return strconv.FormatFloat(math.Round(x*p)/p, 'f', -1, 64)
	}
	switch f {
	case FigurePrice:
		return strconv.FormatFloat(value, 'f', 2, 64) + " /l"
	case FigureExpansion:
		return round(value, 6) + " /K"
	case FigureSolvent, FigureExemptDensity:
		return gml(value) + " g/ml"
	case FigureVOC:
		return round(value, 0) + " g/l"
	case FigureNCO:
		return round(value, 2) + " %"
	case FigureOH:
		return round(value, 1) + " mg KOH/g"
	case FigureCup:
		return round(value, 0) + " ml"
	case FigureWeightSolids:
		return round(100*(1-value), 2) + " %"
	}
	return round(100*value, 2) + " %"
}

// few writes a number with at most four figures, as a sentence needs it.
func few(x float64) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 4, 64), 64)
	if err != nil {
		return number(x)
	}
	return number(rounded)
}
