package checkup

import (
	"bytes"
	"fmt"

	"gramcup/scale"
)

// Grams is a mass that is written into JSON as a decimal number of grams, just
// as long as it needs, and comes back exact.
type Grams scale.Mass

// MarshalJSON writes 412.6.
func (g Grams) MarshalJSON() ([]byte, error) { return scale.Mass(g).AppendGrams(nil), nil }

// UnmarshalJSON reads a plain decimal number; others are an error.
func (g *Grams) UnmarshalJSON(b []byte) error {
	m, err := scale.ParseMass(string(bytes.TrimSpace(b)), scale.UnitGram)
	if err != nil {
		return fmt.Errorf("%s is no number of grams: write it like 412.6: %w", b, err)
	}
	*g = Grams(m)
	return nil
}

// Mass is the same as a scale.Mass.
func (g Grams) Mass() scale.Mass { return scale.Mass(g) }
