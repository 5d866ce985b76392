package scale

import "fmt"

// Class is an accuracy class of a weighing instrument after OIML R 76-1.
type Class uint8

// The classes: special, high, medium, ordinary.
const (
	ClassNone Class = iota
	ClassI
	ClassII
	ClassIII
	ClassIIII
)

// String is the class in Roman numerals, as on the scale's plate.
func (c Class) String() string {
	if c > ClassIIII {
		return "none"
	}
	return [...]string{"none", "I", "II", "III", "IIII"}[c]
}

// ParseClass reads "I" to "IIII" as it stands on the plate, and "" for none
// known.
func ParseClass(s string) (Class, error) {
	for c := ClassI; c <= ClassIIII; c++ {
		if s == c.String() {
			return c, nil
		}
	}
	if s == "" {
		return ClassNone, nil
	}
	return ClassNone, fmt.Errorf("class %q is not known: it stands on the plate in an oval, I, II, III or IIII", s)
}

// classRows is table 3 of OIML R 76-1: for a verification interval e within a
// range, how many of them a class may and must have.
var classRows = [...]struct {
	class      Class
	eMin, eMax Mass // eMax 0 is no upper limit
	nMin, nMax int64
}{
	{ClassI, Milligram, 0, 50_000, 0},
	{ClassII, Milligram, 50 * Milligram, 100, 100_000},
	{ClassII, 100 * Milligram, 0, 5_000, 100_000},
	{ClassIII, 100 * Milligram, 2 * Gram, 100, 10_000},
	{ClassIII, 5 * Gram, 0, 500, 10_000},
	{ClassIIII, 5 * Gram, 0, 100, 1_000},
}

// ClassFor is the least demanding class that an instrument of this capacity
// and verification interval e can have, which gives the widest limits that are
// still meant for it; ClassNone if no class fits. It is a guess for a scale
// whose plate names no class, and no finding about it.
func ClassFor(capacity, e Mass) Class {
	best := ClassNone
	if e <= 0 || capacity < e {
		return best
	}
	n := int64(capacity / e)
	for _, r := range classRows {
		if e >= r.eMin && (r.eMax == 0 || e <= r.eMax) && n >= r.nMin && (r.nMax == 0 || n <= r.nMax) {
			best = max(best, r.class)
		}
	}
	return best
}

// mpeBreaks is table 6 of OIML R 76-1: up to how many e of load half an e, and
// up to how many one e, is permitted; above that one and a half.
var mpeBreaks = [...]struct{ half, one int64 }{
	ClassI:    {50_000, 200_000},
	ClassII:   {5_000, 20_000},
	ClassIII:  {500, 2_000},
	ClassIIII: {50, 200},
}

// MaxError is the maximum permissible error on initial verification for a load
// (OIML R 76-1, table 6); in service twice that is permitted. An unknown class
// is an error, because then there is no limit to compare with.
func MaxError(c Class, e, load Mass) (Mass, error) {
	if c == ClassNone || c > ClassIIII || e <= 0 {
		return 0, fmt.Errorf("no limit is known for class %s with e = %v: give the class and e from the scale's plate", c, e)
	}
	load = load.Abs()
	switch b := mpeBreaks[c]; {
	case load <= Mass(b.half)*e:
		return e / 2, nil
	case load <= Mass(b.one)*e:
		return e, nil
	}
	return e + e/2, nil
}

// WeightClass is an accuracy class of a weight after OIML R 111-1.
type WeightClass uint8

// The classes, the finest first.
const (
	WeightE1 WeightClass = iota
	WeightE2
	WeightF1
	WeightF2
	WeightM1
	WeightM2
	WeightM3
)

var weightClassNames = [...]string{"E1", "E2", "F1", "F2", "M1", "M2", "M3"}

// String is the class as it is engraved.
func (c WeightClass) String() string {
	if int(c) < len(weightClassNames) {
		return weightClassNames[c]
	}
	return "unknown"
}

// ParseWeightClass reads "M1" and its like.
func ParseWeightClass(s string) (WeightClass, error) {
	for i, name := range weightClassNames {
		if s == name {
			return WeightClass(i), nil
		}
	}
	return 0, fmt.Errorf("weight class %q is not known: it stands on the weight or its certificate, E1, E2, F1, F2, M1, M2 or M3", s)
}

// weightErrors gives the maximum permissible errors of weights in micrograms
// (OIML R 111-1:2004, as two independent public tables print it).
var weightErrors = [...]struct {
	nominal Mass
	errors  [7]Mass
}{
	{100 * Gram, [7]Mass{50, 160, 500, 1_600, 5_000, 16_000, 50_000}},
	{200 * Gram, [7]Mass{100, 300, 1_000, 3_000, 10_000, 30_000, 100_000}},
	{500 * Gram, [7]Mass{250, 800, 2_500, 8_000, 25_000, 80_000, 250_000}},
	{Kilogram, [7]Mass{500, 1_600, 5_000, 16_000, 50_000, 160_000, 500_000}},
	{2 * Kilogram, [7]Mass{1_000, 3_000, 10_000, 30_000, 100_000, 300_000, 1_000_000}},
	{5 * Kilogram, [7]Mass{2_500, 8_000, 25_000, 80_000, 250_000, 800_000, 2_500_000}},
}

// WeightError is how far a test weight itself may be off. Only the sizes that
// a bench scale is checked with are known.
func WeightError(nominal Mass, c WeightClass) (Mass, error) {
	if int(c) < len(weightClassNames) {
		for _, r := range weightErrors {
			if r.nominal == nominal {
				return r.errors[c], nil
			}
		}
	}
	return 0, fmt.Errorf("no limit is known for a weight of %v, class %s: use one of 100, 200 or 500 g, 1, 2 or 5 kg", nominal, c)
}

// WeightGoodEnough reports whether a weight can tell anything about a limit:
// its own error must be at most a third of it (common practice, from memory).
func WeightGoodEnough(weightError, limit Mass) bool { return 3*weightError <= limit }
