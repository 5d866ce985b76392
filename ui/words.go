package ui

import (
	"fmt"
	"strconv"
	"strings"

	"gramcup/mix"
)

// The sentences below speak of a batch in the same words everywhere.

func choices(b *mix.Batch) []mix.Choice {
	if b.State.Ended() {
		return nil
	}
	if b.Phase == mix.PhaseDecide {
		return []mix.Choice{
			{Do: mix.VerbLevelUp, Label: "Level up", Consequences: []string{"The other components are raised until the ratio holds."}},
			{Do: mix.VerbKeep, Label: "Keep", Consequences: []string{"The batch is written down as outside its tolerance."}},
			{Do: mix.VerbAbort, Label: "Abort", Consequences: []string{"What is in the cup is waste."}, Grave: true},
		}
	}
	if b.State == mix.StateHeld {
		return []mix.Choice{
			{Do: mix.VerbRestart, Label: "Go on", Consequences: []string{"What stands on the scale counts."}},
			{Do: mix.VerbAbort, Label: "Abort", Consequences: []string{"What is in the cup is waste."}, Grave: true},
		}
	}
	return []mix.Choice{{Do: mix.VerbHold, Label: "Hold"}, {Do: mix.VerbAbort, Label: "Abort", Grave: true}}
}

func headline(b *mix.Batch) (head, detail string) {
	switch {
	case b.ID == "":
		return "Choose a recipe", ""
	case b.State == mix.StateHeld:
		return "Held", ""
	case b.Phase == mix.PhaseDecide:
		return b.Recipe.Components[b.Current].Name + " is past the line", ""
	case b.Phase == mix.PhasePour:
		return "Pour " + b.Recipe.Components[b.Current].Name, ""
	}
	return string(b.State), ""
}

func ratioText(r mix.Recipe) string {
	var parts []string
	for _, c := range r.Components {
		if c.Percent > 0 {
			parts = append(parts, number(c.Percent)+" %")
			continue
		}
		parts = append(parts, number(c.Parts))
	}
	return strings.Join(parts, " : ") + " by " + string(r.Basis)
}

func shareText(r mix.Recipe, i int) string {
	c := r.Components[i]
	switch {
	case c.Percent > 0:
		return fmt.Sprintf("%s %% of the %s", number(c.Percent), c.Of)
	case c.Parts == 1:
		return "1 part"
	}
	return number(c.Parts) + " parts"
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }
