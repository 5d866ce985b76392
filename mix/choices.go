package mix

import (
	"fmt"
	"math"
	"strings"

	"gramcup/scale"
)

// Choices lists what a person can do with the batch now, each with what would
// follow from it, the likeliest first. It depends on nothing but the batch, so
// every page shows the same.
func Choices(b *Batch) []Choice {
	if b.ID == "" || b.State.Ended() {
		return nil
	}
	var c []Choice
	if b.State == StateHeld {
		c = heldChoices(b)
	} else {
		c = runningChoices(b)
	}
	return append(c, endings(b)...)
}

func runningChoices(b *Batch) []Choice {
	var c []Choice
	switch b.Phase {
	case PhaseCup:
		c = append(c, Choice{Do: VerbCupOn, Label: "The cup is on",
			Consequences: []string{"What stands on the scale now counts as the empty cup."}})
		c = append(c, Choice{Do: VerbZero, Label: "Zero the scale",
			Consequences: []string{"For an empty pan that does not show zero."}})
	case PhasePour:
		if b.Layers[b.Current].Target == 0 {
			c = append(c, Choice{Do: VerbEnough, Label: "That is enough",
				Consequences: []string{"The other components are worked out from what is in the cup."}})
		} else {
			c = append(c, keepOpenChoice(b))
		}
		c = append(c, reopenChoice(b)...)
	case PhaseDecide:
		c = append(c, levelUpChoice(b), keepChoice(b))
	case PhaseStir:
		c = append(c, Choice{Do: VerbStirred, Label: "It is stirred",
			Consequences: []string{"The batch is complete and written down."}})
		c = append(c, reopenChoice(b)...)
	}
	return append(c, Choice{Do: VerbHold, Label: "Hold",
		Consequences: []string{"Nothing is judged until you restart."}})
}

// keepOpenChoice takes a layer that is still open. One that was opened again
// while on its line is not short of it.
func keepOpenChoice(b *Batch) Choice {
	c := Choice{Do: VerbKeep, Label: "Keep it as it is",
		Consequences: []string{"Takes this layer short of its line and writes it down so."}}
	if poured := b.Layers[b.Current].Poured; b.lineOf(b.Current, poured) == LineOn {
		c.Consequences = []string{fmt.Sprintf("It was on its line with %s: takes what is in the cup of it now.", b.grams(poured))}
	}
	return c
}

func reopenChoice(b *Batch) []Choice {
	if b.LastDone == 0 {
		return nil
	}
	return []Choice{{Do: VerbReopen, Label: "Back to " + b.Recipe.Components[b.LastDone-1].Name,
		Consequences: []string{"Opens the layer before, as long as nothing else has been poured."}}}
}

func heldChoices(b *Batch) []Choice {
	if b.Hold != HoldOtherWeight {
		return []Choice{{Do: VerbRestart, Label: "Restart",
			Consequences: []string{"Goes on with what the scale says now."}}}
	}
	if b.newZero() {
		return newZeroChoices(b)
	}
	diff := b.BackNet - b.expected(b.BackNet)
	c := []Choice{{Do: VerbLeaveOut, Label: "Leave the difference out",
		Consequences: []string{fmt.Sprintf("%s is not paint: it is counted for nothing.", b.grams(diff.Abs()))}}}
	c = append(c, b.countChoice()...)
	if len(c) == 2 && b.likelyPaint() {
		c[0], c[1] = c[1], c[0]
	}
	return c
}

// newZeroChoices are the ways on when the scale shows less than an empty cup.
// The first is no press at all: the detail tells how to weigh the cup again.
func newZeroChoices(b *Batch) []Choice {
	c := []Choice{
		{Do: VerbZero, Label: "Zero the empty scale",
			Consequences: []string{"Only with the cup lifted off; then put it back, and it is weighed again."}},
		{Do: VerbLeaveOut, Label: "Go on without weighing it again",
			Consequences: []string{fmt.Sprintf("Takes the %s that were seen last; what ran in after that is not counted.", b.grams(b.expected(b.BackNet)))}},
	}
	return append(c, b.countChoice()...)
}

// countChoice is to believe the scale, where it shows at least what has been
// accepted.
func (b *Batch) countChoice() []Choice {
	if b.BackNet < b.others()-2*b.Division {
		return nil
	}
	return []Choice{{Do: VerbRestart, Label: "Count what is there",
		Consequences: []string{fmt.Sprintf("The cup holds %s, and the pour goes on from there.", b.grams(b.BackNet))}}}
}

// likelyPaint reports that what came back more than went is probably paint:
// while the scale or the daemon was away the hand may have poured on. A lifted
// cup gains a lid or a brush rather, and a scale that may have lost its tare
// shows the cup again.
func (b *Batch) likelyPaint() bool {
	tareSure := b.Software || b.Mode == scale.ModeNet && b.Cup > 0
	mayBeCup := !tareSure && b.BackNet >= b.HeldNet+b.Cup-2*b.Division
	return b.away() && !mayBeCup && b.BackNet > b.expected(b.BackNet)
}

// endings are the two ways to end a batch early.
func endings(b *Batch) []Choice {
	return []Choice{
		{Do: VerbStop, Label: "Stop", Grave: true,
			Consequences: []string{"Ends the batch here; what is in the cup is written down."}},
		{Do: VerbAbort, Label: "Abort", Grave: true,
			Consequences: []string{"Ends the batch now; the cup is written down as waste."}},
	}
}

// levelUpChoice says what the rescue costs: grams for each component,
// millilitres in all, money where prices are known, and whether the cup holds
// it.
func levelUpChoice(b *Batch) Choice {
	c := Choice{Do: VerbLevelUp, Label: "Level up"}
	rescue, err := b.rescue()
	if err != nil {
		c.Consequences = []string{err.Error()}
		return c
	}
	var ml, price float64
	volumeKnown := true
	for i, g := range rescue.AddG[:b.N()] {
		c.Add[i] = scale.MassFromGrams(g).RoundTo(b.Division)
		if c.Add[i] < b.Division {
			continue
		}
		comp := b.Recipe.Components[i]
		more := c.Add[i]
		where := ""
		if b.Layers[i].Poured == 0 && i != b.Current {
			more = scale.MassFromGrams(rescue.Plan.Targets[i].MassG - b.Plan.Targets[i].MassG)
			where = " (to come)"
		} else if l := b.Layers[i]; l.Kept && l.Line == LineShort {
			where = ", kept short before"
		}
		c.Consequences = append(c.Consequences, fmt.Sprintf("+%s %s%s", b.grams(more), comp.Name, where))
		if !comp.Density.Known() {
			volumeKnown = false
			continue
		}
		extra := more.Grams() / comp.Density.GPerML
		ml += extra
		price += extra / 1000 * comp.PricePerL
	}
	if volumeKnown {
		c.Consequences = append(c.Consequences, fmt.Sprintf("%.0f ml more, %.0f ml in all", ml, rescue.Plan.TotalML))
		c.Consequences = append(c.Consequences, cupText(b.Recipe.CupUsableML, rescue.Plan.TotalML)...)
	}
	if price > 0 {
		c.Consequences = append(c.Consequences, fmt.Sprintf("%.2f more in material", price))
	}
	c.Consequences = append(c.Consequences, b.afterText(rescue.raised())...)
	if minutes := b.Recipe.PotLifeMin; minutes > 0 && rescue.Factor > 1 {
		c.Consequences = append(c.Consequences, fmt.Sprintf("%.0f %% more to use in %d min pot life", (rescue.Factor-1)*100, minutes))
	}
	return c
}

// cupText says whether a volume fits the cup, nothing where that is not known.
func cupText(usableML, totalML float64) []string {
	switch {
	case usableML <= 0 || totalML <= 0:
		return nil
	case totalML > usableML:
		return []string{fmt.Sprintf("Does not fit this cup: %.0f ml over its usable %.0f ml", totalML-usableML, usableML)}
	}
	return []string{"Fits this cup"}
}

// CupText says whether a plan fits the recipe's cup, "" where that is not
// known.
func CupText(r Recipe, p Plan) string { return strings.Join(cupText(r.CupUsableML, p.TotalML), "") }

// keepChoice says which ratio results if nothing is done about a past line.
func keepChoice(b *Batch) Choice {
	c := Choice{Do: VerbKeep, Label: "Keep it"}
	amount := b.PastNet - b.others()
	target := b.Layers[b.Current].Target
	c.Consequences = append(c.Consequences,
		"The ratio becomes "+b.resultingRatio(amount),
		fmt.Sprintf("%s: %+.1f %%, outside its ±%s %%, and written down so",
			b.Recipe.Components[b.Current].Name, 100*(amount-target).Grams()/target.Grams(),
			number(math.Round(1000*b.Tolerance(b.Current).Grams()/target.Grams())/10)))
	c.Consequences = append(c.Consequences, b.afterText(b.kept(amount))...)
	return c
}

// resultingRatio is the ratio of the recipe with the current layer at amount
// and the layers to come at their lines, in the recipe's own parts.
func (b *Batch) resultingRatio(amount scale.Mass) string {
	var s []string
	shares, err := b.Recipe.shares()
	if err != nil {
		return "unknown"
	}
	first := b.Recipe.Components[0]
	unit := shares[0] / max(first.Parts, 1e-9)
	for i := range b.Layers[:b.N()] {
		is := b.Layers[i].Poured
		if i == b.Current {
			is = amount
		} else if is == 0 {
			is = b.Layers[i].Target
		}
		part := shares[i] / unit
		if t := b.Layers[i].Target; t > 0 {
			part *= is.Grams() / t.Grams()
		}
		s = append(s, number(math.Round(part*100)/100))
	}
	return strings.Join(s, " : ")
}
