package ui

// This file is what /api/cups speaks, as JSON. Fields are only ever added. What
// is not known is 0 or "", a list is never null.

// CupState is the reply to GET /api/cups.
type CupState struct {
	Version uint64     `json:"version"` // what a command must name
	Walk    *CupWalk   `json:"walk"`    // null while no cup is measured
	Said    string     `json:"said"`    // how the last one ended, a sentence or ""
	Kept    string     `json:"kept"`    // the id of the cup that was kept last, "" for none in this run
	NotNow  string     `json:"not_now"` // why none can be started, a sentence or ""
	TempC   float64    `json:"temp_c"`  // a first offer for the water
	Cups    []KnownCup `json:"cups"`    // by name
	Taken   *KnownCup  `json:"taken"`   // the cup that was taken off the list last and can come back; null for none
	// Broken is a measuring that was broken off, null for none; PutAway says that
	// one was put away and can come back, a sentence or "".
	Broken  *BrokenWalk `json:"broken"`
	PutAway string      `json:"put_away"`
}

// KnownCup is a cup that was measured with water.
type KnownCup struct {
	ID     string     `json:"id"`
	Name   string     `json:"name"`
	AtMS   int64      `json:"at_ms"` // Unix time
	WaterC float64    `json:"water_c"`
	EmptyG float64    `json:"empty_g"`
	Scale  string     `json:"scale"`
	Levels []CupLevel `json:"levels"`
	TopML  float64    `json:"top_ml"` // up to where it was measured
	Text   string     `json:"text"`   // where it comes from
}

// CupLevel is water that was weighed at a height.
type CupLevel struct {
	HeightMM  float64 `json:"height_mm"`
	WaterG    float64 `json:"water_g"`
	ML        float64 `json:"ml"`
	ExpandedU float64 `json:"expanded_u_mm"` // of a mark at this height, k = 2
}

// CupWalk is a cup being measured.
type CupWalk struct {
	Step      string     `json:"step"`     // measure.Step
	Sentence  string     `json:"sentence"` // what to do now
	Detail    string     `json:"detail"`
	Waits     string     `json:"waits"`    // why nothing is noted now, "" if all is well
	NotedG    float64    `json:"noted_g"`  // net, of a new filling that stands still
	NotedML   float64    `json:"noted_ml"` // the same as a volume
	Still     bool       `json:"still"`
	DivisionG float64    `json:"division_g"`
	HeightMM  float64    `json:"height_mm"` // to which it is being filled
	LowestMM  float64    `json:"lowest_mm"` // and between which heights it may be
	HighestMM float64    `json:"highest_mm"`
	TempC     float64    `json:"temp_c"`
	EmptyG    float64    `json:"empty_g"` // once step is "done"
	Levels    []CupLevel `json:"levels"`  // taken
	Enough    bool       `json:"enough"`  // they would do
	Name      string     `json:"name"`    // a first offer
}

// The commands around measured cups: those of a walk, and two for the list.
const (
	cupStart  = "start"
	cupHeight = "height"
	cupNext   = "next"
	cupEnough = "enough"
	cupBack   = "back"
	cupAgain  = "again"
	cupCancel = "cancel"
	cupKeep   = "keep"
	cupTake   = "take"  // off the list
	cupBring  = "bring" // back to it
)

// CupBody is what a page posts to /api/cups.
type CupBody struct {
	Key      string   `json:"key"`
	Version  uint64   `json:"version"`             // of the state that was on screen
	Do       string   `json:"do"`                  // start, height, next, enough, back, again, cancel, keep, take, bring, go-on, put-away or undo-put-away
	TempC    *float64 `json:"temp_c,omitempty"`    // of the water, with start
	HeightMM *float64 `json:"height_mm,omitempty"` // with height; with next, if not the one of the walk
	Confirm  bool     `json:"confirm,omitempty"`   // with next: take it although it is unusual; with go-on: although it asks
	Name     string   `json:"name,omitempty"`      // with keep
	ID       string   `json:"id,omitempty"`        // with take and bring
}

// CupAnswer is the reply to a command that was done.
type CupAnswer struct {
	OK    bool      `json:"ok"`
	State *CupState `json:"state,omitempty"`
}
