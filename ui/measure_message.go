package ui

// This file is what /api/measure speaks, as JSON. Fields are only ever added.
// What is not known is 0 or "", a list is never null.

// MeasureState is the reply to GET /api/measure.
type MeasureState struct {
	Version uint64        `json:"version"` // what a command must name
	Walk    *MeasureWalk  `json:"walk"`    // null while nothing is measured
	Said    string        `json:"said"`    // how the last one ended, a sentence or ""
	NotNow  string        `json:"not_now"` // why none can be started, a sentence or ""
	Vessels []MeasureCup  `json:"vessels"` // cups whose mark is known, the newest first
	Usual   MeasureUsual  `json:"usual"`   // what a start takes where nothing is said
	Kinds   []MeasureKind `json:"kinds"`   // with their usual densities
	// Broken is a measuring that was broken off, null for none; PutAway says that
	// one was put away and can come back, a sentence or "".
	Broken  *BrokenWalk `json:"broken"`
	PutAway string      `json:"put_away"`
}

// MeasureUsual is what the form begins with.
type MeasureUsual struct {
	HeightMM float64 `json:"height_mm"`
	TempC    float64 `json:"temp_c"`
}

// MeasureKind is the usual range of a kind of component, in g/ml.
type MeasureKind struct {
	Kind string  `json:"kind"`
	Low  float64 `json:"low_g_ml"`
	High float64 `json:"high_g_ml"`
}

// MeasureCup is a cup whose mark was measured with water, on the scale that is
// heard.
type MeasureCup struct {
	ID       string  `json:"id"`
	EmptyG   float64 `json:"empty_g"`
	ML       float64 `json:"ml"` // to the mark
	HeightMM float64 `json:"height_mm"`
	AtMS     int64   `json:"at_ms"` // Unix time
}

// MeasureWalk is the measurement under way.
type MeasureWalk struct {
	RecipeID  string  `json:"recipe_id"`
	Recipe    string  `json:"recipe"`
	Component int     `json:"component"` // 0-based
	Name      string  `json:"name"`      // of the component
	Role      string  `json:"role"`
	Kind      string  `json:"kind"`
	Step      string  `json:"step"` // measure.Step
	At        int     `json:"at"`   // number of the step
	Of        int     `json:"of"`
	Sentence  string  `json:"sentence"` // what to do now
	Detail    string  `json:"detail"`
	Waits     string  `json:"waits"`   // why nothing is noted now, "" if all is well
	NotedG    float64 `json:"noted_g"` // net, of the filling that stands there
	Still     bool    `json:"still"`
	This      string  `json:"this"`       // what the command "this" is called, "" if it is not on offer
	DivisionG float64 `json:"division_g"` // of the scale
	HeightMM  float64 `json:"height_mm"`
	TempC     float64 `json:"temp_c"`
	CupKnown  bool    `json:"cup_known"` // the mark was measured before
	// Result is there once step is "done".
	Result *MeasureResult `json:"result"`
}

// MeasureResult is a density that was measured.
type MeasureResult struct {
	GML       float64 `json:"g_ml"`
	ExpandedU float64 `json:"expanded_u_g_ml"` // with a coverage factor of 2
	LbGal     float64 `json:"lb_gal"`
	ML        float64 `json:"ml"` // of the mark
	WaterG    float64 `json:"water_g"`
	PaintG    float64 `json:"paint_g"`
	Asks      string  `json:"asks"`  // why keeping it has to be confirmed, "" if not
	Surer     string  `json:"surer"` // what would make it surer, a sentence
}

// The commands of a measurement.
const (
	measureStart  = "start"
	measureBack   = "back"
	measureAgain  = "again"
	measureCancel = "cancel"
	measureThis   = "this"
	measureKeep   = "keep"
)

// MeasureBody is what a page posts to /api/measure.
type MeasureBody struct {
	Key     string        `json:"key"`
	Version uint64        `json:"version"` // of the state that was on screen
	Do      string        `json:"do"`      // start, back, again, cancel, this, keep, go-on, put-away or undo-put-away
	Start   *MeasureStart `json:"start,omitempty"`
	Confirm bool          `json:"confirm,omitempty"` // keep it although it is unusual, go on although it asks
}

// MeasureStart says what is measured, and in which cup.
type MeasureStart struct {
	RecipeID  string  `json:"recipe_id"`
	Component int     `json:"component"` // 0-based
	HeightMM  float64 `json:"height_mm,omitempty"`
	TempC     float64 `json:"temp_c"`
	Vessel    string  `json:"vessel,omitempty"` // the id of a known cup; "" begins with water
}

// MeasureAnswer is the reply to a command that was done.
type MeasureAnswer struct {
	OK    bool          `json:"ok"`
	State *MeasureState `json:"state,omitempty"`
}
