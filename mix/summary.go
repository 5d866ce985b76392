package mix

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
}
