package ui

import "gramcup/mix"

// This file is what the reading routes under /api answer, as JSON. Fields are
// only ever added. A number that is not known is 0, a list is never null.

// ShelfAnswer is the reply to GET /api/shelf.
type ShelfAnswer struct {
	Recipes []ShelfRecipe `json:"recipes"`
}

// ShelfRecipe is one recipe on the shelf.
type ShelfRecipe struct {
	ID         string           `json:"id"`
	Name       string           `json:"name"`
	Note       string           `json:"note"`
	Basis      string           `json:"basis"` // mix.Basis
	Ratio      string           `json:"ratio"` // "4 : 1 : 1 by volume"
	PotLifeMin int              `json:"pot_life_min"`
	CupUsable  float64          `json:"cup_usable_ml"`
	Components []ShelfComponent `json:"components"`
	Uses       []string         `json:"uses"`    // names of the VOC limits that it is used as
	Stage      string           `json:"stage"`   // mix.Stage: where it can stand in a topcoat of stages, "" where it does not say
	Figures    []ShelfFigure    `json:"figures"` // of the whole mix
	// How a coating of its kind is usually put on: a start, to be edited.
	UsualCoats int     `json:"usual_coats"`
	UsualDryUM float64 `json:"usual_dry_um"` // of one coat
	// Recipe is all of it, to be changed and put back; Revision names this version.
	Revision string     `json:"revision"`
	Recipe   mix.Recipe `json:"recipe"`
}

// ShelfComponent is one tin of a recipe.
type ShelfComponent struct {
	Name       string  `json:"name"`
	Role       string  `json:"role"`
	Share      string  `json:"share"` // "4 parts", "10 % of A+B"
	DensityGML float64 `json:"density_g_ml"`
	ReferenceC float64 `json:"reference_c"`
	AsGiven    string  `json:"density_as_given"`
	Source     string  `json:"density_source"`
	Tolerance  float64 `json:"tolerance"` // fraction of its own amount
	PricePerL  float64 `json:"price_per_l"`
	// UncertaintyGML is standard; Kind is named, or follows from the role.
	SinceMS        int64   `json:"density_since_ms"` // Unix time, 0 if not known
	UncertaintyGML float64 `json:"density_u_g_ml"`
	Kind           string  `json:"kind"`
	// Figures are what else its sheet says, as far as it is known.
	Figures []ShelfFigure `json:"figures"`
}

// BookAnswer is the reply to GET /api/book: ended batches, the newest first.
type BookAnswer struct {
	Batches []BookBatch `json:"batches"`
}

// BookBatch is the row that stays of an ended batch.
type BookBatch struct {
	Batch      string     `json:"batch"`
	RecipeID   string     `json:"recipe_id"`
	Recipe     string     `json:"recipe"`
	Outcome    string     `json:"outcome"` // mix.State
	OnTheLine  bool       `json:"on_the_line"`
	StartedMS  int64      `json:"started_ms"` // Unix time
	EndedMS    int64      `json:"ended_ms"`
	DurationMS int64      `json:"duration_ms"`
	LevelUps   int        `json:"level_ups"`
	TotalG     float64    `json:"total_g"`
	TotalML    float64    `json:"total_ml"`
	Components []BookLine `json:"components"`
	JobText    string     `json:"job_text"` // "2.2 m², 2 coats of 40 µm", "" where the amount was said
	Index      float64    `json:"index"`    // achieved, 0 where not known
}

// BookLine is one component of an ended batch.
type BookLine struct {
	Name     string  `json:"name"`
	Role     string  `json:"role"`
	TargetG  float64 `json:"target_g"`
	PouredG  float64 `json:"poured_g"`
	ErrorG   float64 `json:"error_g"` // poured − target
	VolumeML float64 `json:"volume_ml"`
	Line     string  `json:"line"`
	Kept     bool    `json:"kept"`
	// The first component's amount over this one's as achieved, with its expanded
	// uncertainty (k = 2), and both in words: "4.03 : 1 ± 0.05". 0 and "" for the
	// first and where they are not known.
	Ratio      float64 `json:"ratio"`
	PlusMinus  float64 `json:"ratio_plus_minus"`
	RatioText  string  `json:"ratio_text"`
	DensityGML float64 `json:"density_g_ml"` // that it was poured by, 0 where not known or not kept
	Source     string  `json:"density_source"`
	Provenance string  `json:"provenance"` // both with temperature, date and uncertainty; "" where not kept
}

// TraceAnswer is the reply to GET /api/book/trace: the weight in the cup over
// time, each point as [milliseconds since the first, grams].
type TraceAnswer struct {
	Batch   string       `json:"batch"`
	BeganMS int64        `json:"began_ms"` // Unix time of the first point
	Points  [][2]float64 `json:"points"`
	Damaged bool         `json:"damaged"` // some of it could not be read
}

// DemoBody is what a page posts to /api/demo.
type DemoBody struct {
	// Do is "pour" or "pause" for the simulated painter, "fault", or what a
	// person's own hand does there: "cup", "lift" or "tip", and "fill-water",
	// "fill-base", "fill-hardener" and so on to a mark.
	Do     string  `json:"do"`
	Fault  string  `json:"fault,omitempty"`    // the fault's name, for "fault"
	FlowGS float64 `json:"flow_g_s,omitempty"` // for "tip", which runs on for a moment
}
