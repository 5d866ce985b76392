package coating

// Kind is what a component is, for telling a likely density from a slip.
type Kind string

// The kinds of component, in the trade's words.
const (
	KindSurfacer      Kind = "primer surfacer"
	KindEpoxy         Kind = "epoxy primer"
	KindEtch          Kind = "etch primer"
	KindHardener      Kind = "hardener"
	KindReducer       Kind = "reducer"
	KindSolventBase   Kind = "solvent base"
	KindWaterBase     Kind = "water base"
	KindClear         Kind = "clear"
	KindSomethingElse Kind = ""
)

// The density that any component can have, in g/ml: lighter than the lightest
// solvent or heavier than the heaviest filled primer is a slip.
const (
	LightestGML = 0.6
	HeaviestGML = 3.0
)

// Row is the usual range of a kind at 20 °C, in g/ml: common practice, no
// source, and for asking again only.
type Row struct {
	Kind            Kind
	LowGML, HighGML float64
}

// Rows lists the usual ranges.
func Rows() []Row {
	return []Row{
		{KindSurfacer, 1.30, 1.75},
		{KindEpoxy, 1.25, 1.65},
		{KindEtch, 0.88, 1.10},
		{KindHardener, 0.95, 1.12},
		{KindReducer, 0.80, 0.96},
		{KindSolventBase, 0.92, 1.30},
		{KindWaterBase, 1.00, 1.20},
		{KindClear, 0.93, 1.04},
	}
}

// Plausible refuses a density that no component can have, and asks again at one
// that is unusual for its kind. nil is believed.
func Plausible(kind Kind, gml float64) error {
	if !(gml >= LightestGML && gml <= HeaviestGML) {
		return refuse("A density of %.4g g/ml can not be right: paint, hardener and reducer lie between %.1f and %.1f g/ml. Was it grams a litre, or pounds a gallon?", gml, LightestGML, HeaviestGML)
	}
	for _, r := range Rows() {
		if r.Kind == kind && !(gml >= r.LowGML && gml <= r.HighGML) {
			return &Refusal{Ask: true, Sentence: sprintf("%.3f g/ml is unusual for %s: most lie between %.2f and %.2f. Look at the sheet or weigh it again, and take it if it is so.", gml, kind, r.LowGML, r.HighGML)}
		}
	}
	return nil
}
