package ui

import "gramcup/mix"

// This file is what POST /api/shelf speaks, as JSON. Fields are only ever added.

// ShelfBody is what a page posts to /api/shelf.
type ShelfBody struct {
	Key string `json:"key"`
	Do  string `json:"do"` // put, take or undo
	ID  string `json:"id"` // of the recipe; "" with put adds a new one
	// Revision is that of the recipe on screen, "" where none is on the shelf.
	Revision string      `json:"revision"`
	Recipe   *mix.Recipe `json:"recipe,omitempty"`
	// Densities are new ones for the components, in their order; an empty one
	// leaves what the recipe says.
	Densities []ShelfDensity `json:"densities,omitempty"`
	// Figures are what the sheets say beside ratio and density, one for each
	// component in their order, and Mix those of the whole mix; From is where they
	// stand. What is not named stays.
	Figures []ShelfFigures        `json:"figures,omitempty"`
	Mix     map[mix.Figure]string `json:"mix,omitempty"`
	From    string                `json:"from,omitempty"`
	Confirm bool                  `json:"confirm,omitempty"` // the answer to code "ask"
}

// ShelfDensity is where a density of a component is to come from.
type ShelfDensity struct {
	Typed    string   `json:"typed,omitempty"`     // as the sheet prints it, "11.85 lb/gal"
	AtC      *float64 `json:"at_c,omitempty"`      // that it holds for; 20 °C if not given
	ByWeight string   `json:"by_weight,omitempty"` // the tin's ratio by weight to the first one, "100:19.5"
}

// ShelfFigures are figures of a component, each as typed; an empty one is not
// known any more.
type ShelfFigures struct {
	Typed map[mix.Figure]string `json:"typed,omitempty"`
}

// ShelfFigure is a figure that is known.
type ShelfFigure struct {
	Figure string `json:"figure"` // mix.Figure
	Text   string `json:"text"`   // "563 g/l"
	Typed  string `json:"typed"`  // as it was typed: "4.7 lb/gal"
	From   string `json:"from"`   // "product sheet, 25 Nov 2026", "" where not written down
}

// FigureAnswer is the reply to GET /api/shelf/figure: what is typed for a
// figure, as it would be understood.
type FigureAnswer struct {
	OK   bool   `json:"ok"`
	Text string `json:"text"` // "563 g/l"
}

// ShelfRefusal is a refusal with the field that it belongs beside: the figure
// and the place of its component, "voc-1"; "" where it belongs to no field.
type ShelfRefusal struct {
	OK       bool   `json:"ok"`
	Code     string `json:"code"`
	Sentence string `json:"sentence"`
	Field    string `json:"field"`
}

// ShelfEditAnswer is the reply to a change that was made.
type ShelfEditAnswer struct {
	OK     bool         `json:"ok"`
	ID     string       `json:"id"`
	Recipe *ShelfRecipe `json:"recipe"` // as it stands now; null where it is off the shelf
}
