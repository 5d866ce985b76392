package measure

import "fmt"

// Far says how far a density came that was broken off.
func (k Kept) Far() string {
	cup := ""
	if k.Cup != nil {
		cup = gramsIn(k.Cup.step(k.Division), k.Cup.Mass) + " g"
	}
	switch {
	case k.Step == StepDone:
		return "It is measured."
	case k.Cup == nil:
		return "Nothing was weighed yet."
	case k.Water != nil && k.Dried != nil:
		return fmt.Sprintf("Noted: the empty cup, %s; %s g of water to the mark; the cup dried.", cup, gramsIn(k.Water.step(k.Division, k.Cup), k.Water.Mass-k.Cup.Mass))
	case k.Water != nil:
		return fmt.Sprintf("Noted: the empty cup, %s; %s g of water to the mark.", cup, gramsIn(k.Water.step(k.Division, k.Cup), k.Water.Mass-k.Cup.Mass))
	}
	return fmt.Sprintf("Noted: the empty cup, %s.", cup)
}

// Next says with what it goes on once the empty pan was seen, and what is
// weighed again.
func (k Kept) Next() string {
	again := ""
	if k.Noted != nil && k.Cup != nil {
		empty := k.Cup
		if k.Dried != nil {
			empty = k.Dried
		}
		again = stood(gramsIn(k.Noted.step(k.Division, empty), k.Noted.Mass-empty.Mass))
	}
	switch k.Step {
	case StepWater:
		return "It goes on with water to the mark." + again
	case StepDry:
		return "It goes on with the cup, emptied and dried."
	case StepPaint:
		name := k.Name
		if name == "" {
			name = "the paint"
		}
		return fmt.Sprintf("It goes on with %s to the mark.%s", name, again)
	}
	return "It goes on with the empty, dry cup."
}

// stood says what becomes of a load that stood in the cup and was not taken yet.
func stood(grams string) string {
	return " " + grams + " g stood in it and had not been taken: the load may be another now, so put it back as it is, to be weighed again."
}

// Long says what a long pause means for it.
func (k Kept) Long() string {
	if k.Cup == nil {
		return fmt.Sprintf("Go on only if water and paint are still at %.4g °C.", k.TempC)
	}
	return fmt.Sprintf("What was weighed still holds. But thinner leaves an open cup, so fill in fresh paint; and go on only if it is still at %.4g °C.", k.TempC)
}

// Far says how far a cup came that was broken off.
func (k KeptCup) Far() string {
	if k.Empty == nil {
		return "Nothing was weighed yet."
	}
	text := fmt.Sprintf("Noted: the empty cup, %s g", gramsIn(k.Empty.step(k.Division), k.Empty.Mass))
	for _, l := range k.Levels {
		text += fmt.Sprintf("; %.4g mm, %s g of water", l.HeightMM, gramsIn(l.step(k.Division, k.Empty), l.Mass))
	}
	return text + "."
}

// Next says with what it goes on once the empty pan was seen, and what is
// weighed again.
func (k KeptCup) Next() string {
	if k.Empty == nil {
		return "It goes on with the empty, dry cup."
	}
	text := fmt.Sprintf("It goes on with water up to %.4g mm.", k.HeightMM)
	if k.Noted != nil {
		text += stood(gramsIn(k.Noted.step(k.Division, k.Empty), k.Noted.Mass))
	}
	return text
}

// Long says what a long pause means for it.
func (k KeptCup) Long() string {
	if k.Empty == nil {
		return fmt.Sprintf("Go on only if the water is still at %.4g °C.", k.TempC)
	}
	return fmt.Sprintf("What was weighed still holds. But water has left the cup, so fill it up as it is asked; and go on only if it is still at %.4g °C.", k.TempC)
}
