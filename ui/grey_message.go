package ui

import "gramcup/mix"

// This file is what /api/grey speaks, as JSON. Fields are only ever added.
// A name that ends in lstar is a CIE lightness L*; litres end in _l nowhere here.

// GreyAnswer is the reply to GET /api/grey: the shop's undercoats.
type GreyAnswer struct {
	Systems []GreySystem `json:"systems"`
}

// GreySystem is a light and a dark undercoat with what was drawn down of them.
type GreySystem struct {
	ID       string         `json:"id"`
	Revision string         `json:"revision"`
	System   mix.GreySystem `json:"system"` // all of it, to be changed and put back
	Light    GreyTin        `json:"light"`
	Dark     GreyTin        `json:"dark"`
	LikeName string         `json:"like_name"` // "" where the two are used as they are, or the recipe is gone
	Fit      GreyFit        `json:"fit"`
}

// GreyTin is one of the two as it is now, its density from wherever it is known.
type GreyTin struct {
	Name       string  `json:"name"`
	DensityGML float64 `json:"density_g_ml"` // 0 where not known
	Provenance string  `json:"provenance"`   // "1.38 g/ml, product sheet 25 Nov"
	From       string  `json:"from"`         // the recipe of the shelf that it stands in, "" for the system's own
}

// GreyFit is the fitted line. Where OK is false Why says what the drawdowns lack.
type GreyFit struct {
	OK          bool         `json:"ok"`
	Why         string       `json:"why"`
	Strength    float64      `json:"strength"`     // how much more the dark one scatters for its volume
	SpreadL     float64      `json:"spread_lstar"` // of one drawdown, standard
	FromCards   bool         `json:"from_cards"`   // else the spread is assumed
	LowPercent  float64      `json:"low_percent"`
	HighPercent float64      `json:"high_percent"`
	LightestL   float64      `json:"lightest_lstar"`
	DarkestL    float64      `json:"darkest_lstar"`
	Line        [][3]float64 `json:"line"` // per cent of the dark one, L*, its ± (k = 2)
}

// ShadeAnswer is the reply to GET /api/grey/shade.
type ShadeAnswer struct {
	WantedL       float64     `json:"wanted_lstar"`
	Step          string      `json:"step"`           // the shop's, "" where it is none
	Name          string      `json:"name"`           // that the product would have
	DarkPercent   float64     `json:"dark_percent"`   // of the two by volume
	DarkPlusMinus float64     `json:"dark_u"`         // of that, k = 2
	FitPlusMinus  float64     `json:"fit_u_lstar"`    // of L* by the drawdowns, k = 2
	PlusMinus     float64     `json:"u_lstar"`        // of L* with scale and densities, k = 2; that of the fit where they are not known
	PerGramL      float64     `json:"per_gram_lstar"` // L* that 1 g more of the dark one costs; 0 where there are no grams
	Parts         []ShadePart `json:"parts"`          // in pouring order
	TotalML       float64     `json:"total_ml"`       // ready to spray
	TotalG        float64     `json:"total_g"`        // 0 where not known
	Sentences     []string    `json:"sentences"`      // how sure
	WhyNoGrams    string      `json:"why_no_grams"`   // with the ways on
	Notes         []string    `json:"notes"`          // on the shop's temperature
	RevisionOf    string      `json:"of_revision"`    // of the system that this was worked out from
	ShopRatio     string      `json:"ratio"`          // of the product
	OnTheShelf    bool        `json:"on_the_shelf"`   // it was made before
	RecipeID      string      `json:"recipe_id"`      // that it has, or would have
	DivisionG     float64     `json:"division_g"`     // 0 where not known
	ScaleMeasured bool        `json:"scale_measured"` // its repeatability was, else a division stands for it
}

// ShadePart is one component of a grey.
type ShadePart struct {
	Name       string  `json:"name"`
	Role       string  `json:"role"`
	Share      string  `json:"share"`
	ML         float64 `json:"ml"`
	G          float64 `json:"g"` // 0 where not known
	Provenance string  `json:"provenance"`
}

// GreyBody is what a page posts to /api/grey.
type GreyBody struct {
	Key string `json:"key"`
	Do  string `json:"do"` // put, take, undo, or make: a grey becomes a product of the shelf
	ID  string `json:"id"` // of the system; "" with put adds a new one
	// Revision is that of the system on screen, "" where there is none.
	Revision string          `json:"revision"`
	System   *mix.GreySystem `json:"system,omitempty"`
	// The densities as a sheet prints them; "" leaves what the system says.
	LightDensity string  `json:"light_density,omitempty"`
	DarkDensity  string  `json:"dark_density,omitempty"`
	Confirm      bool    `json:"confirm,omitempty"` // the answer to code "ask"
	Lightness    float64 `json:"l,omitempty"`       // for make
}

// GreyEditAnswer is the reply to a change that was made.
type GreyEditAnswer struct {
	OK       bool         `json:"ok"`
	ID       string       `json:"id"`
	Revision string       `json:"revision"` // "" where the system was taken away
	Made     *ShelfRecipe `json:"made"`     // the product, after make
}
