package port

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"gramcup/scale"
)

// Known is what one scale is told from another by: the port it hangs on and
// what it speaks. The zero value is no scale. It is kept as JSON.
type Known struct {
	// Identity is the name by which the port is opened: a link that survives
	// replugging where the system keeps one, else the path or the address.
	Identity string `json:"identity"`
	// USB is "vendor:product:serial number" of the adaptor, in its own words;
	// "" where it is none or has no serial number.
	USB   string `json:"usb,omitempty"`
	Shape string `json:"shape"` // name of the codec
	Unit  string `json:"unit"`  // in which it shows weights: "g"
	// Places are the decimals of its weights, ascending. A scale that shows
	// coarser steps above some weight has several.
	Places []int `json:"places"`
	// About are the lines in which it describes itself, where it can and was
	// asked: "SN :1234", "CAP:g  :6000.0:1:1".
	About []string `json:"about,omitempty"`
}

// IsZero reports that nothing is known.
func (k Known) IsZero() bool { return k.Shape == "" }

// Difference is how a scale that answers compares with the one that is known.
type Difference uint8

// The differences.
const (
	SameScale    Difference = iota // nothing speaks against it
	OtherUnit                      // the same, but it shows another unit
	AnotherScale                   // a stranger
)

// Compare holds seen, which answers now, against k, the scale that is known,
// and says in words what is different, "" for the same: "it shows 1 g steps,
// the one before 0.1 g steps". A serial number of the scale itself counts for
// more than the port; what only one of the two says is no difference.
func (k Known) Compare(seen Known) (Difference, string) {
	about, itself := k.compareAbout(seen)
	steps := k.compareSteps(seen)
	switch {
	case steps != "": // what a person sees on the display comes first
		return AnotherScale, steps
	case about != "":
		return AnotherScale, about
	case k.Shape != seen.Shape:
		return AnotherScale, fmt.Sprintf("its lines are of the shape %s, those of the one before were %s", seen.Shape, k.Shape)
	case !itself && !k.samePort(seen):
		return AnotherScale, fmt.Sprintf("it hangs on %s, the one before on %s", seen.Identity, k.Identity)
	case k.Unit != seen.Unit:
		return OtherUnit, fmt.Sprintf("the scale shows %s, before it showed %s", seen.Unit, k.Unit)
	}
	return SameScale, ""
}

// compareSteps compares the decimals of weights in the same unit.
func (k Known) compareSteps(seen Known) string {
	for _, places := range seen.Places {
		if k.Unit == seen.Unit && !slices.Contains(k.Places, places) {
			return fmt.Sprintf("it shows %s steps, the one before %s steps", step(places, seen.Unit), k.steps())
		}
	}
	return ""
}

// samePort compares the names of the ports. An adaptor with a number of its
// own is the same in whatever socket it sits.
func (k Known) samePort(seen Known) bool {
	return k.Identity == seen.Identity || k.USB != "" && k.USB == seen.USB
}

// telling are the lines about a scale that tell it from others: who made it,
// what it is called, its number, and its capacity with the division.
var telling = [...]struct{ name, words string }{
	{"MFG", "its maker is"}, {"MOD", "its model is"}, {"SN", "its number is"}, {"CAP", "its capacity is"},
}

// compareAbout compares what both say about themselves. itself reports that
// they gave the same serial number.
func (k Known) compareAbout(seen Known) (reason string, itself bool) {
	for _, t := range telling {
		before, now := aboutLines(k.About, t.name), aboutLines(seen.About, t.name)
		switch {
		case before == "" || now == "":
		case before != now:
			return fmt.Sprintf("%s %s, that of the one before was %s", t.words, now, before), false
		case t.name == "SN":
			itself = true
		}
	}
	return "", itself
}

// aboutLines joins what the lines of one name say, "" if there is none: a scale
// with several ranges has several capacities.
func aboutLines(lines []string, name string) string {
	var said []string
	for _, line := range lines {
		field, text, found := strings.Cut(strings.Trim(line, "\r\n"), ":")
		if text = strings.TrimSpace(text); found && strings.TrimSpace(field) == name && text != "" {
			said = append(said, text)
		}
	}
	return strings.Join(said, " and ")
}

// unsaid are those of the lines whose name is not among what is known.
func (k Known) unsaid(lines []string) (more []string) {
	for _, line := range lines {
		if name, _, _ := strings.Cut(line, ":"); aboutLines(k.About, strings.TrimSpace(name)) == "" {
			more = append(more, line)
		}
	}
	return more
}

// keepTelling keeps the lines that Compare looks at, so that what is stored
// stays small whatever a scale says.
func keepTelling(lines []string) (kept []string) {
	const mostLines, mostBytes = 8, 80
	for _, line := range lines {
		line = strings.Trim(line, "\r\n")
		name, text, _ := strings.Cut(line, ":")
		for _, t := range telling {
			if strings.TrimSpace(name) == t.name && strings.TrimSpace(text) != "" && len(line) <= mostBytes && len(kept) < mostLines {
				kept = append(kept, line)
			}
		}
	}
	return kept
}

func (k Known) steps() string {
	var all []string
	for _, places := range k.Places {
		all = append(all, step(places, k.Unit))
	}
	return strings.Join(all, " and ")
}

// step is the step that so many decimals suggest, with its unit: "0.1 g".
func step(places int, unit string) string {
	return scale.Decimal{Coefficient: 1, Places: uint8(places), Lead: 1}.String() + " " + unit
}

// usbNumber is the USB field of Known for a wire, "" for one that is no serial
// port. An adaptor without a serial number has many twins.
func usbNumber(wire any) string {
	w, ok := wire.(*serialWire)
	if !ok {
		return ""
	}
	node, err := filepath.EvalSymlinks(w.name)
	if err != nil {
		return ""
	}
	u := thisHost().usb(node)
	if u.serial == "" {
		return ""
	}
	return u.vendor + ":" + u.productID + ":" + u.serial
}
