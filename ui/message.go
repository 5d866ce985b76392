package ui

// This file is the whole stream: every struct that travels to a page, as JSON
// over the websocket. Each object has a type. The first is hello; then comes
// one of each of view, weight and health, and after that whichever changed.
// Every message is complete in itself: a page that missed some is right again
// with the next one. Fields are only ever added; DEVELOPERS.md has the list of
// changes. Golden examples stand in testdata/stream.

// Protocol is the version of the stream: a page of another major version
// reloads itself.
const (
	ProtocolMajor = 1
	ProtocolMinor = 4
)

// Hello opens the stream.
type Hello struct {
	Type     string   `json:"type"` // "hello"
	Protocol [2]int   `json:"protocol"`
	Version  string   `json:"version"` // of the program
	Station  string   `json:"station"` // the name of this bench
	NowMS    int64    `json:"now_ms"`  // Unix time at the bench; a tablet's own clock may be wrong
	Demo     bool     `json:"demo"`    // a simulated scale: a simulated painter can pour
	Cautions []string `json:"cautions"`
}

// View is the batch as it is on disk.
type View struct {
	Type       string      `json:"type"`  // "view"
	Seq        uint64      `json:"seq"`   // the version that a command must name
	Batch      string      `json:"batch"` // and the batch; "" when there is none
	State      string      `json:"state"` // mix.State
	Phase      string      `json:"phase"` // mix.Phase
	RecipeID   string      `json:"recipe_id"`
	Recipe     string      `json:"recipe"` // its name
	Ratio      string      `json:"ratio"`  // "4 : 1 : 1 by volume"
	AmountKind string      `json:"amount_kind"`
	Current    int         `json:"current"` // index into components
	Headline   string      `json:"headline"`
	Detail     string      `json:"detail"` // what a held or ended batch needs to be told
	Components []Component `json:"components"`
	CupG       float64     `json:"cup_g"`
	CupUsable  float64     `json:"cup_usable_ml"` // 0 if not known
	TotalG     float64     `json:"total_g"`       // of the plan
	TotalML    float64     `json:"total_ml"`      // of the plan, 0 if not known
	DivisionG  float64     `json:"division_g"`
	Decimals   int         `json:"decimals"` // to show grams with
	LevelUps   int         `json:"level_ups"`
	Hold       string      `json:"hold"` // mix.HoldReason or ""
	Choices    []Choice    `json:"choices"`
	PotLifeMin int         `json:"pot_life_min"` // 0 if the sheet gives none
	ReactiveMS int64       `json:"reactive_ms"`  // Unix time when the hardener went in, 0 before
	OnTheLine  bool        `json:"on_the_line"`  // meaningful once ended
	Fault      string      `json:"fault"`
	JobText    string      `json:"job_text"` // what a volume came from: "2.2 m², 2 coats of 40 µm", or ""
	// Achieved, once a batch has ended with every layer poured: the ratio of the
	// first component to each other one with its expanded uncertainty (k = 2), a
	// sentence each; and the urethane index, 0 and "" where it is not known.
	Achieved  []string `json:"achieved"`
	Index     float64  `json:"index"`
	IndexText string   `json:"index_text"`
}

// Component is one layer of the cup.
type Component struct {
	Name       string  `json:"name"`
	Role       string  `json:"role"`
	Share      string  `json:"share"` // "4 parts", "10 % of A+B"
	TargetG    float64 `json:"target_g"`
	ToleranceG float64 `json:"tolerance_g"`
	PouredG    float64 `json:"poured_g"`
	TargetML   float64 `json:"target_ml"` // 0 if the density is not known
	PouredML   float64 `json:"poured_ml"`
	Line       string  `json:"line"` // mix.Line
	Kept       bool    `json:"kept"`
	DensityGML float64 `json:"density_g_ml"` // 0 if not known
	Source     string  `json:"density_source"`
	Provenance string  `json:"provenance"` // both with temperature, date and uncertainty, "" if not known
	// As achieved, once the batch has ended: the first component's amount over
	// this one's, ± (k = 2), and in words.
	Ratio     float64 `json:"ratio"`
	PlusMinus float64 `json:"ratio_plus_minus"`
	RatioText string  `json:"ratio_text"`
}

// Choice is a button with its consequences.
type Choice struct {
	Do           string   `json:"do"` // mix.Verb
	Label        string   `json:"label"`
	Consequences []string `json:"consequences"`
	Grave        bool     `json:"grave"`
}

// Weight is the live number. It is sent with every reading, and again when
// none comes, with its age growing.
type Weight struct {
	Type       string  `json:"type"` // "weight"
	Seq        uint64  `json:"seq"`  // the view it belongs to
	AgeMS      int64   `json:"age_ms"`
	Valid      bool    `json:"valid"`
	Trouble    string  `json:"trouble"` // mix.Trouble
	Still      bool    `json:"still"`
	ShownG     float64 `json:"shown_g"`
	NetG       float64 `json:"net_g"`
	AmountG    float64 `json:"amount_g"`
	ToGoG      float64 `json:"to_go_g"`
	FlowGS     float64 `json:"flow_g_s"`
	PredictedG float64 `json:"predicted_g"`
	Line       string  `json:"line"`
	Cue        string  `json:"cue"` // mix.Cue
}

// Health is what a person must know about the parts.
type Health struct {
	Type     string   `json:"type"`  // "health"
	Scale    string   `json:"scale"` // bench.ScaleState
	Identity string   `json:"identity"`
	Problems []string `json:"problems"` // sentences; empty is healthy
	// Stranger is the sentence, one of the problems, on another scale that
	// answers and can be taken on; "" when there is none.
	Stranger string `json:"stranger"`
	// OtherUnit is the same on the known scale, which is kept out because it shows
	// another unit, or may show one; it can be taken as it is.
	OtherUnit string `json:"other_unit"`
}

// CommandBody is what a page posts to /api/command.
type CommandBody struct {
	Key     string     `json:"key"`
	Batch   string     `json:"batch"`   // of the view that was on screen, "" if it had none
	Version uint64     `json:"version"` // its seq
	Do      string     `json:"do"`      // mix.Verb
	Start   *StartBody `json:"start,omitempty"`
}

// StartBody is the order of a start command.
type StartBody struct {
	RecipeID string  `json:"recipe_id"`
	Kind     string  `json:"kind"` // mix.AmountKind
	ML       float64 `json:"ml,omitempty"`
	Grams    float64 `json:"g,omitempty"`
	// Job is the area of kind "area", which becomes a volume; ml, if given, is
	// what will be mixed in place of what the job takes.
	Job *JobBody `json:"job,omitempty"`
}

// JobBody is what is to be painted; shares are fractions of one.
type JobBody struct {
	AreaM2   float64 `json:"area_m2"`
	Coats    int     `json:"coats"`
	DryUM    float64 `json:"dry_um"` // dry film of one coat
	Transfer float64 `json:"transfer"`
	Loss     float64 `json:"loss"`
	DeadML   float64 `json:"dead_ml"`
}

// Answer is the reply to a command: OK with the view after it, also for a
// repeat of what was done already, or a refusal with its code and sentence.
type Answer struct {
	OK       bool   `json:"ok"`
	Code     string `json:"code,omitempty"`
	Sentence string `json:"sentence,omitempty"`
	View     *View  `json:"view,omitempty"`
}
