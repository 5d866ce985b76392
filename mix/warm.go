package mix

import (
	"fmt"
	"math"
	"strings"

	"gramcup/mix/coating"
)

// Warmed is a recipe with its densities moved to the shop's temperature, and
// what a person must know about it.
type Warmed struct {
	Recipe Recipe
	// Shift is by how much the ratio of each component to the first would be off
	// if the densities had been left alone, as a fraction; 0 for the first.
	Shift [MaxComponents]float64
	// Notes are sentences: whose expansion is not known, and who is too far from
	// the temperature of its density.
	Notes []string
}

// At moves every density to a temperature in °C by the expansion of its liquid.
// A density without a coefficient stays as it is, and a note says so.
func (r Recipe) At(celsius float64) (Warmed, error) {
	w := Warmed{Recipe: r}
	w.Recipe.Components = append([]Component(nil), r.Components...)
	moved := [MaxComponents]float64{}
	for i := range w.Recipe.Components {
		d := &w.Recipe.Components[i].Density
		moved[i] = 1
		if !d.Known() {
			continue
		}
		if err := coating.CheckTemperature(d.ReferenceC, celsius, d.ExpansionPerK); err != nil {
			refusal, ok := err.(*coating.Refusal)
			if !ok || !refusal.Ask {
				return w, err
			}
			w.note(nameOf(&r, i), refusal.Sentence)
		}
		d.widen(celsius)
		if d.ExpansionPerK == 0 {
			if math.Abs(celsius-d.ReferenceC) >= 0.5 {
				w.note(nameOf(&r, i), fmt.Sprintf("how much it expands is not known, so its density stays at that of %.4g °C; paint grows by about 0.8 %% in 10 K.", d.ReferenceC))
			}
			continue
		}
		was := d.GPerML
		d.GPerML = coating.AtTemperature(was, d.ReferenceC, celsius, d.ExpansionPerK)
		if from := number(math.Round(10*d.ReferenceC)/10) + " °C"; d.ReferenceC != celsius {
			d.Source = strings.TrimPrefix(d.Source+", moved from "+from, ", ")
		}
		d.ReferenceC = celsius
		moved[i] = was / d.GPerML
	}
	for i := range r.Components {
		w.Shift[i] = moved[i]/moved[0] - 1
	}
	return w, nil
}

// widen adds what is not known of the expansion to the uncertainty of a density,
// before it is moved, so that a warm shop never looks as certain as one at the
// temperature of the sheet.
func (d *Density) widen(celsius float64) {
	u := coating.MovingUncertaintyGML(d.GPerML, d.ReferenceC, celsius, d.ExpansionPerK)
	if d.UncertaintyGML > 0 {
		d.UncertaintyGML = math.Hypot(d.UncertaintyGML, u)
		return
	}
	d.MovedUGML = u
}

// note adds a sentence about a component; what is said of several is said once,
// with all their names before it.
func (w *Warmed) note(name, sentence string) {
	for i, n := range w.Notes {
		if names, found := strings.CutSuffix(n, ": "+sentence); found {
			w.Notes[i] = names + ", " + name + ": " + sentence
			return
		}
	}
	w.Notes = append(w.Notes, name+": "+sentence)
}

// ShiftText says what ignoring the temperature would do to the ratio, a sentence
// for each component where it is worth saying.
func (w Warmed) ShiftText() []string {
	const worthSaying = 0.0005
	var out []string
	for i, c := range w.Recipe.Components {
		word, off := "much", w.Shift[i]
		if off < 0 {
			word, off = "little", -off
		}
		if off > worthSaying {
			out = append(out, fmt.Sprintf("With the densities left as they were, there would be %.2f %% too %s %s.", 100*off, word, c.Name))
		}
	}
	return out
}
