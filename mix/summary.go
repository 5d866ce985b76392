package mix

import "time"

// Summary is the row that stays of a finished batch.
type Summary struct {
	Batch      string
	Recipe     string // its name
	RecipeID   string
	Outcome    State
	OnTheLine  bool // complete, with every layer on its line
	Started    Stamp
	Ended      Stamp
	LevelUps   int
	TotalG     float64
	TotalML    float64 // 0 if a density was not known
	Components []SummaryLine
	SummaryMore
}

// SummaryMore is what was added to the row of a batch later; an older row has
// none of it.
type SummaryMore struct {
	// Job is the area that the amount came from, if it did.
	Job Job `json:"job,omitzero"`
	// Basis is what the ratios of the lines count.
	Basis Basis `json:"basis,omitempty"`
	// Index is the urethane index that was achieved, 0 where it is not known.
	Index float64 `json:"index,omitempty"`
}

// SummaryLine is one component of a finished batch.
type SummaryLine struct {
	Name     string  `json:"name"`
	Role     Role    `json:"role"`
	TargetG  float64 `json:"target_g"`
	PouredG  float64 `json:"poured_g"`
	ErrorG   float64 `json:"error_g"` // poured − target
	VolumeML float64 `json:"volume_ml"`
	Line     Line    `json:"line"`
	Kept     bool    `json:"kept,omitempty"`
	// Ratio is the first component's amount over this one's as it was achieved,
	// and PlusMinus its expanded uncertainty (k = 2); 0 for the first and where
	// they are not known. DensityGML and Source are what it was worked out with.
	Ratio      float64 `json:"ratio,omitempty"`
	PlusMinus  float64 `json:"ratio_plus_minus,omitempty"`
	DensityGML float64 `json:"density_g_ml,omitempty"`
	Source     string  `json:"density_source,omitempty"`
	// ReferenceC is the temperature in °C that the density held for, SinceMS when
	// it was measured or entered, UncertaintyGML its standard uncertainty: 0 where
	// nobody said it, and in an older row.
	ReferenceC     float64 `json:"density_reference_c,omitempty"`
	SinceMS        int64   `json:"density_since_ms,omitempty"`
	UncertaintyGML float64 `json:"density_u_g_ml,omitempty"`
}

// Provenance is the density that the component was poured by, with where it came
// from; now gives the year and the time zone. "" where none is written down.
func (l SummaryLine) Provenance(now time.Time) string {
	if l.DensityGML == 0 {
		return ""
	}
	return Density{GPerML: l.DensityGML, Source: l.Source, ReferenceC: l.ReferenceC, SinceMS: l.SinceMS, UncertaintyGML: l.UncertaintyGML}.Provenance(now)
}
