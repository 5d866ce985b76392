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
	Confirm   bool           `json:"confirm,omitempty"` // the answer to code "ask"
}

// ShelfDensity is where a density of a component is to come from.
type ShelfDensity struct {
	Typed    string   `json:"typed,omitempty"`     // as the sheet prints it, "11.85 lb/gal"
	AtC      *float64 `json:"at_c,omitempty"`      // that it holds for; 20 °C if not given
	ByWeight string   `json:"by_weight,omitempty"` // the tin's ratio by weight to the first one, "100:19.5"
}

// ShelfEditAnswer is the reply to a change that was made.
type ShelfEditAnswer struct {
	OK     bool         `json:"ok"`
	ID     string       `json:"id"`
	Recipe *ShelfRecipe `json:"recipe"` // as it stands now; null where it is off the shelf
}
