package mix

import (
	"fmt"
	"strings"

	"gramcup/mix/coating"
)

// Stage is where a mix can stand in a topcoat of stages.
type Stage string

// The stages. What does not say what it is can stand anywhere.
const (
	StageUnder   Stage = "under"  // primers and undercoats, under every colour
	StageColour  Stage = "colour" // base and midcoats
	StageClear   Stage = "clear"
	StageUnknown Stage = ""
)

// Stage is told by the kind of the recipe's base, and where none is named by the
// categories that it is used as, if all of them lie under a topcoat.
func (r *Recipe) Stage() Stage {
	for _, c := range r.Components {
		if c.Role != RoleBase {
			continue
		}
		switch c.Content.Kind {
		case coating.KindSurfacer, coating.KindEpoxy, coating.KindEtch:
			return StageUnder
		case coating.KindSolventBase, coating.KindWaterBase:
			return StageColour
		case coating.KindClear:
			return StageClear
		}
	}
	for _, use := range r.Uses {
		if !usedUnder(use) {
			return StageUnknown
		}
	}
	if len(r.Uses) > 0 {
		return StageUnder
	}
	return StageUnknown
}

// usedUnder tells the category of what goes under a topcoat.
func usedUnder(limit string) bool {
	category := strings.ToLower(limit[strings.LastIndex(limit, ": ")+1:])
	for _, word := range []string{"primer", "surfacer", "filler", "stopper", "sealer", "preparatory", "cleaner"} {
		if strings.Contains(category, word) {
			return true
		}
	}
	return false
}

// CheckOver refuses what can not stand over a base: the list is in the order in
// which it goes on, the clear last.
func CheckOver(over []Recipe) error {
	for i := range over {
		r, last := &over[i], i == len(over)-1
		switch stage := r.Stage(); {
		case stage == StageUnder:
			return fmt.Errorf("%s goes under the colour and not over it: choose %s, or set its kind on the shelf if it is something else", r.Name, map[bool]string{true: "a clear", false: "a midcoat"}[last])
		case stage == StageColour && last:
			return fmt.Errorf("%s is a colour, and the last stage is the clear: choose a clear, or set its kind on the shelf if it is something else", r.Name)
		}
	}
	return nil
}
