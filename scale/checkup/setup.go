package checkup

import (
	"fmt"
	"strings"

	"gramcup/scale"
)

// Setup is what is known before a check begins: what the plate of the scale
// says, and which weight is at hand.
type Setup struct {
	Scale       string            // identity of the scale
	Capacity    scale.Mass        // Max on the plate, 0 if not given
	Division    scale.Mass        // d, the displayed step
	Interval    scale.Mass        // e, 0 takes the division
	Class       scale.Class       // as on the plate; ClassNone is guessed from capacity and e
	Nominal     scale.Mass        // of the weight
	WeightClass scale.WeightClass // as engraved on it
	WeightID    string            // its number or mark, "" if it has none
	Corners     bool              // also weigh at the four corners
}

// nominals are the weights that a bench scale is checked with.
var nominals = [...]scale.Mass{100 * scale.Gram, 200 * scale.Gram, 500 * scale.Gram, scale.Kilogram, 2 * scale.Kilogram, 5 * scale.Kilogram}

// mostCapacity is far above every scale that stands on a bench, and bounds a slip
// of the finger.
const mostCapacity = 1000 * scale.Kilogram

// maxIDBytes is room for what is engraved or stuck on a weight.
const maxIDBytes = 60

// Guess is the class that is taken where the plate gives none; ClassNone if
// none can be worked out.
func (s Setup) Guess() scale.Class { return scale.ClassFor(s.Capacity, s.e()) }

func (s Setup) check() scale.Check {
	return scale.Check{Capacity: s.Capacity, Division: s.Division, Interval: s.Interval, Class: s.Class,
		Nominal: s.Nominal, WeightClass: s.WeightClass}
}

// e is the verification interval that counts.
func (s Setup) e() scale.Mass {
	if s.Interval > 0 {
		return s.Interval
	}
	return s.Division
}

// limits checks the setup as a whole: an error says what would be right. A
// weight that can tell nothing about this scale is refused before anybody
// carries it, because its verdict would be about the weight.
func (s Setup) limits() (scale.Limits, error) {
	if len(s.WeightID) > maxIDBytes {
		return scale.Limits{}, fmt.Errorf("the name of the weight has %d bytes: at most %d are kept", len(s.WeightID), maxIDBytes)
	}
	if err := s.intervalFits(); err != nil {
		return scale.Limits{}, err
	}
	if s.Class == scale.ClassNone && s.Guess() == scale.ClassNone {
		return scale.Limits{}, s.classUnknown()
	}
	l, err := s.check().Limits()
	if err == nil && !l.Fits {
		err = fmt.Errorf("a %s weight of class %s may itself be %v off, more than a third of the limit of %v: use class %s or finer",
			Name(s.Nominal), s.WeightClass, l.Weight, l.Limit, coarsest(s.Nominal, l.Limit))
	}
	return l, err
}

// intervalFits refuses a capacity that no bench scale has, and an e that no plate shows beside such a division: it is the
// division or up to ten of them, but 1 mg beside any finer one (OIML R 76-1,
// 3.4.2, from memory). A larger one would let any error pass.
func (s Setup) intervalFits() error {
	e, d := s.Interval, s.Division
	if s.Capacity > mostCapacity {
		return fmt.Errorf("a capacity of %s is that of no bench scale: give what stands on the plate as Max, at most %s", Name(s.Capacity), Name(mostCapacity))
	}
	if e <= 0 || d <= 0 || d <= e && e <= 10*d || d < e && e == scale.Milligram {
		return nil
	}
	return fmt.Errorf("e is %v and the scale shows steps of %v: on the plate e is one such step, or up to ten of them; if the display goes in coarser steps than its last decimal, set the division", e, d)
}

func (s Setup) classUnknown() error {
	switch {
	case s.Division <= 0:
		return fmt.Errorf("the scale's division is not known: give it, it stands on the plate as d")
	case s.Capacity <= 0:
		return fmt.Errorf("the capacity of the scale is not known, so no limit can be chosen: give it, it stands on the plate as Max, or give the class")
	}
	return fmt.Errorf("no class has %v by %v: look at the plate again, or give the class that stands there", s.Capacity, s.e())
}

// coarsest is the coarsest class of which a weight is good enough, in words.
func coarsest(nominal, limit scale.Mass) string {
	for c := scale.WeightM3; ; c-- {
		own, err := scale.WeightError(nominal, c)
		if err == nil && scale.WeightGoodEnough(own, limit) {
			return c.String()
		}
		if c == scale.WeightE1 {
			return "E1 (which does not suffice either: take a larger weight)"
		}
	}
}

// Advice says which weight of one size fits a scale.
type Advice struct {
	Nominal  scale.Mass
	Limit    scale.Mass // the largest error allowed of the scale with this weight
	Coarsest string     // class that is good enough, with all finer ones; "" if none is
	Corners  bool       // whether corners can be judged with it
}

// Advise lists the weights for the scale of a setup, whose weight is ignored,
// and gives the usual classes for it in words. Without a class it lists
// nothing and the error says what of the plate is missing.
func Advise(s Setup) (list []Advice, usual string, err error) {
	if err := s.intervalFits(); err != nil {
		return nil, "", err
	}
	if s.Class == scale.ClassNone {
		if s.Class = s.Guess(); s.Class == scale.ClassNone {
			return nil, "", s.classUnknown()
		}
	}
	for _, n := range nominals {
		s.Nominal, s.WeightClass = n, scale.WeightE1
		l, err := s.check().Limits()
		if err != nil {
			continue // heavier than the scale can weigh
		}
		a := Advice{Nominal: n, Limit: l.Limit, Corners: s.cornerTrouble() == ""}
		if l.Fits {
			a.Coarsest = coarsest(n, l.Limit)
		}
		list = append(list, a)
	}
	return list, "Usual for class " + s.Class.String() + ": " + usualPairs[s.Class] + ".", nil
}

// usualPairs is the usual pairing of scale and weights (a maker's guide to
// OIML R 111 classes).
var usualPairs = [...]string{
	scale.ClassI: "weights E2 or F1", scale.ClassII: "weights F1 or F2",
	scale.ClassIII: "weights M1, or M2", scale.ClassIIII: "weights M2 or M3",
}

// cornerTrouble is why corners can not be judged with this weight, "" if they
// can. Eccentricity is judged with about a third of the capacity (OIML R 76-1,
// from memory); within a factor of one and a half counts as about, which is
// this program's own choice.
func (s Setup) cornerTrouble() string {
	if s.Capacity <= 0 {
		return "The corners are noted but not judged: that takes about a third of the capacity, which is not known here."
	}
	third := s.Capacity / 3
	if 3*s.Nominal < 2*third || 2*s.Nominal > 3*third {
		return fmt.Sprintf("The corners are noted but not judged: that takes about a third of the capacity, %s here, and this weight has %s.", Name(third.RoundTo(10*scale.Gram)), Name(s.Nominal))
	}
	return ""
}

// guessed reports whether the class is worked out and not from the plate.
func (s Setup) guessed() bool { return s.Class == scale.ClassNone }

// Name is a weight as people say it: "500 g", "2 kg".
func Name(m scale.Mass) string {
	if m >= scale.Kilogram {
		return strings.TrimSuffix((m/1000).String(), " g") + " kg"
	}
	return m.String()
}

// Cautions are what to see to before a check (the sheet of a simple user
// check): about half an hour of warming up, level, clean, free, no draught.
func Cautions() []string {
	return []string{
		"The scale has been on for about 30 minutes and stands level.",
		"Pan and what is under it are clean and touch nothing; no draught, no fan.",
		"The weight is as warm as the room: hold it with gloves or a cloth.",
	}
}
