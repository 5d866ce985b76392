package mix

import (
	"fmt"
	"strconv"
	"strings"

	"gramcup/scale"
)

// RatioText is the recipe's ratio as it stands on a tin: "4 : 1 : 1 by
// volume", "2 : 1 + 10 % of A+B by volume".
func RatioText(r Recipe) string {
	var parts, extras []string
	for i, c := range r.Components {
		if c.Percent > 0 {
			extras = append(extras, ShareText(r, i))
			continue
		}
		parts = append(parts, number(c.Parts))
	}
	s := strings.Join(append([]string{strings.Join(parts, " : ")}, extras...), " + ")
	return s + " by " + string(r.Basis)
}

// ShareText is one component's share in words: "4 parts", "10 % of A+B".
func ShareText(r Recipe, i int) string {
	c := r.Components[i]
	switch {
	case c.Percent == 0 && c.Parts == 1:
		return "1 part"
	case c.Percent == 0:
		return number(c.Parts) + " parts"
	case c.Of == OfFirst:
		return number(c.Percent) + " % of A"
	case c.Of == OfWhole:
		return number(c.Percent) + " % of the whole"
	}
	letters := ""
	for j, other := range r.Components {
		if other.Percent == 0 {
			if letters != "" {
				letters += "+"
			}
			letters += string(rune('A' + j))
		}
	}
	return number(c.Percent) + " % of " + letters
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// Decimals is how many decimals of a gram a scale with this division shows.
func Decimals(division scale.Mass) int {
	n := 0
	for step := scale.Gram; n < 6 && division > 0 && division < step; n++ {
		step /= 10
	}
	return n
}

// grams writes a mass with the decimals of the batch's scale.
func (b *Batch) grams(m scale.Mass) string { return m.Format(Decimals(b.Division)) + " g" }

// Headline says in one line what to do now, and Detail what has to be known
// for it, empty where there is nothing to add.
func Headline(b *Batch) (headline, detail string) {
	switch b.State {
	case StateHeld:
		return holdText(b)
	case StateComplete:
		if b.OnTheLine() {
			return "Ready: every layer is on its line", ""
		}
		return "Ready, with layers off their line", offText(b)
	case StateStopped:
		return "Stopped", "What is in the cup is written down: " + contentText(b) + "."
	case StateAborted:
		return "Aborted", "The cup is written down as waste: " + contentText(b) + "."
	case StateRunning:
	default:
		return "Choose what to mix", ""
	}
	name := b.Recipe.Components[b.Current].Name
	switch b.Phase {
	case PhaseCup:
		return "Put the empty cup on the scale", "On it already, and tared? Say that it is on."
	case PhaseTare:
		return "Hands off: the cup is being tared", ""
	case PhaseDecide:
		past := b.PastNet - b.others() - b.Layers[b.Current].Target
		return fmt.Sprintf("%s is %s past", name, b.grams(past)), decideText(b)
	case PhaseStir:
		return "Stir, then take the cup", "The batch is complete when the cup is lifted or you say that it is stirred."
	}
	switch l := b.Layers[b.Current]; {
	case l.Target == 0:
		return "Pour " + name + " until it is enough", "The other components follow from what is in the cup."
	case l.Poured > 0:
		return "Top up " + name + " to the line", ""
	}
	return "Pour " + name + " to the line", ""
}

func decideText(b *Batch) string {
	if b.others() == 0 {
		return "Nothing else is in the cup yet, so you may take some out; or choose:"
	}
	return "It can not be taken out of a mixed cup. Choose:"
}

func holdText(b *Batch) (headline, detail string) {
	certain := "Certain: " + contentText(b) + "."
	if b.HeldTop > b.Content()+2*b.Division {
		certain += " Seen last in the cup: " + b.grams(b.HeldTop) + "."
	}
	switch b.Hold {
	case HoldCupLifted:
		if b.HeldNet <= b.Division {
			return "Held: put the cup back", "It goes on by itself when the empty cup is back."
		}
		return "Held: put the cup back", "It goes on by itself when the cup is back with its " + b.grams(b.HeldNet) + ". " + certain
	case HoldScaleLost:
		return "Held: the scale is lost", "It goes on by itself when the scale is back with the cup on it. " + certain
	case HoldPowerCut:
		return "Held: the power was gone", certain + " What was being poured is weighed again as soon as the cup stands on the scale."
	case HoldOtherWeight:
		if b.newZero() {
			return "Held: the scale shows less than was there", "Is the cup off? Put it back. If it is on, the scale has a new zero: lift the cup, zero the empty scale, put the cup back. " + certain
		}
		return "Held: another weight came back", fmt.Sprintf("%s should be in the cup, the scale says %s. %s", b.grams(b.expected(b.BackNet)), b.grams(b.BackNet), certain)
	}
	return "Held", "Nothing is judged until you restart. " + certain
}

// contentText lists what has been accepted so far.
func contentText(b *Batch) string {
	var s []string
	for i := range b.Layers[:b.N()] {
		if m := b.Layers[i].Poured; m > 0 {
			s = append(s, b.grams(m)+" "+b.Recipe.Components[i].Name)
		}
	}
	if len(s) == 0 {
		return "nothing accepted yet"
	}
	return strings.Join(s, ", ")
}

// offText lists the layers that are not on their line.
func offText(b *Batch) string {
	var s []string
	for i := range b.Layers[:b.N()] {
		if l := b.Layers[i]; l.Line != LineOn {
			diff := l.Poured - l.Target
			word := "short of"
			if diff > 0 {
				word = "past"
			}
			s = append(s, fmt.Sprintf("%s %s %s its line", b.Recipe.Components[i].Name, b.grams(diff.Abs()), word))
		}
	}
	return "Written down as outside tolerance: " + strings.Join(s, ", ") + "."
}
