package mix

import (
	"errors"
	"fmt"

	"gramcup/mix/coating"
)

// Limit is one row of a table of VOC limits.
type Limit = coating.Limit

// Settings are what a shop sets for all its recipes. The zero value is a shop
// that has set nothing.
type Settings struct {
	// ShopC is the temperature of the paint in °C; nil leaves each density at its
	// own.
	ShopC *float64
	// Limits are the shop's own, beside the built-in ones.
	Limits []Limit
}

// maxOwnLimits bounds what a shop adds.
const maxOwnLimits = 100

// Check refuses settings that can not be right: a temperature that no shop has,
// a limit without its source, two limits of one name.
func (s Settings) Check() error {
	if s.ShopC != nil {
		const usualC, none = 20.0, 0.0
		var ask *coating.Refusal
		if err := coating.CheckTemperature(usualC, *s.ShopC, none); err != nil && !(errors.As(err, &ask) && ask.Ask) {
			return err
		}
	}
	if len(s.Limits) > maxOwnLimits {
		return fmt.Errorf("%d limits of your own are too many: keep at most %d", len(s.Limits), maxOwnLimits)
	}
	seen := map[string]bool{}
	for _, l := range append(coating.Limits(), s.Limits...) {
		if err := l.Check(); err != nil {
			return err
		}
		if seen[l.Name()] {
			return fmt.Errorf("there is a limit of the name %q already: take that one away first, or give this one a name of its own", l.Name())
		}
		seen[l.Name()] = true
	}
	return nil
}

// AllLimits are the built-in limits and then the shop's own.
func (s Settings) AllLimits() []Limit { return append(coating.Limits(), s.Limits...) }

// Panels are the parts that the picker of an area offers, with rough areas.
func Panels() []coating.Panel { return coating.Panels() }

// Warm is the recipe at the shop's temperature, or as it stands where none is
// set.
func (s Settings) Warm(r Recipe) (Warmed, error) {
	if s.ShopC == nil {
		return Warmed{Recipe: r}, nil
	}
	return r.At(*s.ShopC)
}

// usualWaterC is what water is taken at where no temperature is set, and in the
// litre that a VOC is counted by.
const usualWaterC = 20.0

// Celsius is the shop's temperature, 20 °C where none is set: what the water and
// the paint of a measurement are taken at until somebody says otherwise.
func (s Settings) Celsius() float64 {
	if s.ShopC == nil {
		return usualWaterC
	}
	return *s.ShopC
}

// LimitsOf are the limits that a recipe is used as. A name that no limit has
// any more is refused: a limit that silently vanished would look kept.
func (s Settings) LimitsOf(r *Recipe) ([]Limit, error) {
	all := s.AllLimits()
	var picked []Limit
	for _, name := range r.Uses {
		found := false
		for _, l := range all {
			if l.Name() == name {
				picked, found = append(picked, l), true
			}
		}
		if !found {
			return nil, &coating.Refusal{Sentence: fmt.Sprintf("%s is used as %q, and no limit is called that any more: choose its category again.", r.Name, name)}
		}
	}
	return picked, nil
}

// NewLimit is a row of a shop's own table. Settings.Check refuses it where it
// can not be right, has no source or a basis that is not known.
func NewLimit(set, category string, gl float64, basis, source, date string) Limit {
	return Limit{Set: set, Category: category, GL: gl, Basis: coating.Basis(basis), Source: source, Date: date}
}
