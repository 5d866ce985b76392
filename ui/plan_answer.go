package ui

// This file is what GET /api/plan answers, as JSON. Fields are only ever added.
// A part that can not be worked out has known false and a sentence in why_not;
// it blocks nothing. A golden example stands in testdata/stream.

// PlanAnswer is the reply to GET /api/plan: what an amount comes to, and
// everything that is needed to decide on it. The query says recipe and kind
// (mix.AmountKind with ml or g, or "area" with area_m2, coats and dry_um, where
// transfer, loss and dead_ml replace the usual assumptions and mix_ml the amount
// that follows).
type PlanAnswer struct {
	OK         bool            `json:"ok"`
	RecipeID   string          `json:"recipe_id"`
	Components []PlanComponent `json:"components"`
	TotalG     float64         `json:"total_g"`
	TotalML    float64         `json:"total_ml"`
	CupUsable  float64         `json:"cup_usable_ml"`
	Fits       *bool           `json:"fits"` // null where the cup or the volume is not known
	Cup        string          `json:"cup"`  // the same in words, "" where not known
	DivisionG  float64         `json:"division_g"`
	Decimals   int             `json:"decimals"`
	Cautions   []string        `json:"cautions"` // sentences
	Kind       string          `json:"kind"`     // mix.AmountKind of what will be poured: a volume for an area
	Need       *PlanNeed       `json:"need"`     // of an area, else null
	Cost       float64         `json:"cost"`     // of the material in the shop's money, 0 where a price is not known
	CostText   string          `json:"cost_text"`
	Left       []PlanLeft      `json:"left"`
	Sure       PlanSure        `json:"sure"`
	VOC        PlanVOC         `json:"voc"`
	Index      PlanIndex       `json:"index"`
	Shop       PlanShop        `json:"shop"`
}

// PlanComponent is one component of a plan. As poured, the figures are those
// for 100 g of the first component and only the shares mean something.
type PlanComponent struct {
	Name           string  `json:"name"`
	Role           string  `json:"role"`
	Share          string  `json:"share"`
	TargetG        float64 `json:"target_g"`
	VolumeML       float64 `json:"volume_ml"`
	MassFraction   float64 `json:"mass_fraction"`
	VolumeFraction float64 `json:"volume_fraction"`
	DensityGML     float64 `json:"density_g_ml"` // at the shop's temperature, 0 if not known
	ReferenceC     float64 `json:"reference_c"`
	Source         string  `json:"density_source"`
	Provenance     string  `json:"provenance"`       // all of it in a line: "1.06 g/ml at 20 °C, product sheet"
	AgeDays        int     `json:"density_age_days"` // -1 where it is not known
	Ask            string  `json:"ask"`              // a question about an unusual density, or ""
	Cost           float64 `json:"cost"`             // of this amount, 0 where not known
}

// PlanNeed is what an area takes, with what was assumed for it.
type PlanNeed struct {
	Job           JobBody  `json:"job"`
	JobText       string   `json:"job_text"` // "2.2 m², 2 coats of 40 µm"
	MixML         float64  `json:"mix_ml"`   // what the job takes
	TheoreticalML float64  `json:"theoretical_ml"`
	AtGunML       float64  `json:"at_gun_ml"`
	WetUM         float64  `json:"wet_um"` // the wet film of a coat to look for
	VolumeSolids  float64  `json:"volume_solids"`
	SolidsStated  bool     `json:"volume_solids_stated"` // on the sheet; else worked out
	Sentences     []string `json:"sentences"`
}

// PlanLeft is what would be left over of a mix after the job.
type PlanLeft struct {
	Of   string  `json:"of"`    // "cup" or "typed"
	OfML float64 `json:"of_ml"` // what is mixed
	ML   float64 `json:"left_ml"`
	Cost float64 `json:"cost"` // 0 where not known
	Text string  `json:"text"`
}

// PlanSure is how sure the ratio would be on this scale.
type PlanSure struct {
	Known     bool     `json:"known"`
	Sentences []string `json:"sentences"`
	WhyNot    string   `json:"why_not"`
	Enough    bool     `json:"enough"` // every component is heavy enough for the scale
	// What would do where it is not, said as the amount was: kind with ml or g.
	WouldDoKind string  `json:"would_do_kind"`
	WouldDoML   float64 `json:"would_do_ml"`
	WouldDoG    float64 `json:"would_do_g"`
	WouldDoText string  `json:"would_do_text"` // "260 ml would do", "" where it is enough
	CupML       float64 `json:"next_cup_ml"`   // the next usual cup, 0 where not known
	// Ratios of the first component to each other one, with the expanded
	// uncertainty as a fraction (k = 2) and what the weakest link is.
	Ratios           []PlanRatio `json:"ratios"`
	RepeatabilityG   float64     `json:"repeatability_g"`
	Measured         bool        `json:"repeatability_measured"` // else it is taken as one division
	DensitiesAssumed bool        `json:"densities_assumed"`      // some came without an uncertainty
}

// PlanRatio is how sure one ratio would be.
type PlanRatio struct {
	Name     string  `json:"name"` // of the component that the first is compared with
	Ratio    float64 `json:"ratio"`
	Expanded float64 `json:"expanded"` // fraction of the ratio, k = 2
	NeedG    float64 `json:"need_g"`   // the least weight of the component, 0 where no tolerance is given
}

// PlanVOC is the VOC of the ready-to-spray mix on each basis, in g/l, and where
// it stands to the limit that governs.
type PlanVOC struct {
	Known           bool       `json:"known"`
	WhyNot          string     `json:"why_not"`
	MaterialGL      float64    `json:"material_g_l"`
	RegulatoryGL    float64    `json:"regulatory_g_l"`
	EuropeanGL      float64    `json:"european_g_l"`
	EuropeanWholeGL float64    `json:"european_whole_g_l"`
	Text            string     `json:"text"`
	Limit           *LimitBody `json:"limit"`      // the strictest of those that it is used as, or null
	FigureGL        float64    `json:"figure_g_l"` // on the limit's basis
	SpareGL         float64    `json:"spare_g_l"`  // negative above the limit
	Within          bool       `json:"within"`
	// The ± of each figure (k = 2), 0 where none is known, and what they count.
	MaterialPM      float64    `json:"material_plus_minus_g_l"`
	RegulatoryPM    float64    `json:"regulatory_plus_minus_g_l"`
	EuropeanPM      float64    `json:"european_plus_minus_g_l"`
	EuropeanWholePM float64    `json:"european_whole_plus_minus_g_l"`
	FigurePM        float64    `json:"figure_plus_minus_g_l"`
	Counts          string     `json:"plus_minus_counts"`
	TooNear         bool       `json:"too_near"` // the limit lies within the ±
	LimitWhyNot     string     `json:"limit_why_not"`
	Uses            []string   `json:"uses"` // names of limits
	MoreReducerML   float64    `json:"more_reducer_ml"`
	ReducerText     string     `json:"reducer_text"`
	NotAFinding     string     `json:"not_a_finding"`
	Stages          PlanStages `json:"stages"`
}

// PlanStages is the VOC of a topcoat of several stages together, less water and
// exempt solvent, against the topcoat's limit.
type PlanStages struct {
	Over    []string   `json:"over"` // ids of what goes over this one, the clear last; empty where there are none
	Known   bool       `json:"known"`
	WhyNot  string     `json:"why_not"`
	GL      float64    `json:"g_l"`
	Text    string     `json:"text"`
	Limit   *LimitBody `json:"limit"` // that governs, or null
	SpareGL float64    `json:"spare_g_l"`
	Within  bool       `json:"within"`
	// PlusMinusGL is the ± of the figure (k = 2), 0 where none is known; TooNear says
	// that the limit lies within it.
	PlusMinusGL float64 `json:"plus_minus_g_l"`
	TooNear     bool    `json:"too_near"`
	// LimitWhyNot says why no limit is compared with.
	LimitWhyNot string `json:"limit_why_not"`
}

// PlanIndex is the urethane index.
type PlanIndex struct {
	Known  bool    `json:"known"`
	Index  float64 `json:"index"`
	Low    float64 `json:"low"` // at the ends of the hardener's tolerance
	High   float64 `json:"high"`
	Text   string  `json:"text"`
	WhyNot string  `json:"why_not"` // "" as well where there is no hardener, or no sheet says anything of it
}

// PlanShop is what the shop's temperature does.
type PlanShop struct {
	Set   bool     `json:"set"`
	C     float64  `json:"c"` // meaningful when set
	Notes []string `json:"notes"`
	Shift []string `json:"shift"` // what ignoring it would do to the ratio
}
