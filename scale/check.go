package scale

import "fmt"

// Check is what somebody noted while checking a scale with a test weight. It
// is a check for one's own trust and never a legal verification.
type Check struct {
	Capacity, Division, Interval Mass // Interval is e; 0 takes the division
	Class                        Class
	Nominal                      Mass // of the weight
	WeightClass                  WeightClass
	ZeroBefore, ZeroAfter        Mass
	ZerosBetween                 []Mass // what the empty pan came back to between the repeats, none if not noted
	Repeats                      []Mass // readings of the weight in the middle, three or more
	Corners                      []Mass // readings at front, right, back and left, none if not done
}

// Limits are what the readings of a check are held against.
type Limits struct {
	Class  Class // as given, else guessed by ClassFor
	Limit  Mass  // the largest error allowed, in service
	Spread Mass  // how far apart repeats may lie
	Zero   Mass  // how far from zero the empty pan may stand
	Weight Mass  // how far the test weight itself may be off
	Fits   bool  // whether the weight is good enough for the limit
}

// corners names the places of a corner check, as Check.Corners has them.
var corners = [...]string{"at the front", "on the right", "at the back", "on the left"}

// Verdict is what a check says.
type Verdict struct {
	Passed   bool
	Class    Class
	Limit    Mass     // the largest error allowed, in service
	Worst    Mass     // the largest error seen, with its sign
	Spread   Mass     // largest less smallest of the repeats
	Findings []string // what is wrong, a sentence each; and what limits the check
}

const (
	repeatsNeeded = 3
	// spreadSteps is how many divisions repeats may lie apart (the sheet of a
	// simple user check: one to two divisions).
	spreadSteps = 2
)

// Limits works out what is allowed for this weight on this scale: twice the
// maximum permissible error of OIML R 76-1 table 6 for the load, which is what
// it permits in service, but not less than the division, because below that
// nothing can be seen. An error says what of the plate is missing.
func (c Check) Limits() (Limits, error) {
	if c.Interval == 0 {
		c.Interval = c.Division
	}
	if c.Class == ClassNone {
		c.Class = ClassFor(c.Capacity, c.Interval)
	}
	l := Limits{Class: c.Class, Spread: spreadSteps * c.Division, Zero: c.Division}
	switch {
	case c.Division <= 0:
		return l, fmt.Errorf("the scale's division is not known: give it, it stands on the plate as d")
	case c.Capacity > 0 && c.Nominal > c.Capacity:
		return l, fmt.Errorf("the weight of %v is more than the scale can weigh, %v", c.Nominal, c.Capacity)
	}
	limit, err := MaxError(c.Class, c.Interval, c.Nominal)
	if err != nil {
		return l, err
	}
	if l.Weight, err = WeightError(c.Nominal, c.WeightClass); err != nil {
		return l, err
	}
	l.Limit = max(2*limit, c.Division)
	l.Fits = WeightGoodEnough(l.Weight, l.Limit)
	return l, nil
}

// Judge compares the readings with the Limits. An error means that nothing can
// be said at all.
func (c Check) Judge() (Verdict, error) {
	l, err := c.Limits()
	v := Verdict{Class: l.Class, Limit: l.Limit, Passed: true}
	switch {
	case err != nil:
		return v, err
	case len(c.Repeats) < repeatsNeeded:
		return v, fmt.Errorf("%d readings of the weight: take at least %d, and lift it off between them", len(c.Repeats), repeatsNeeded)
	}
	if !l.Fits {
		v.fail("the weight itself may be %v off, more than a third of the limit of %v: a finer one is needed", l.Weight, l.Limit)
	}
	c.judgeRepeats(&v)
	c.judgeZeros(&v)
	c.judgeCorners(&v)
	return v, nil
}

func (v *Verdict) fail(format string, args ...any) {
	v.Passed = false
	v.Findings = append(v.Findings, fmt.Sprintf(format, args...))
}

func (c Check) judgeRepeats(v *Verdict) {
	low, high := c.Repeats[0], c.Repeats[0]
	for _, r := range c.Repeats {
		low, high = min(low, r), max(high, r)
		if e := r - c.Nominal; e.Abs() > v.Worst.Abs() {
			v.Worst = e
		}
	}
	v.Spread = high - low
	if v.Worst.Abs() > v.Limit {
		v.fail("it shows %v for %v: %v off, allowed are %v", c.Nominal+v.Worst, c.Nominal, v.Worst, v.Limit)
	}
	if v.Spread > spreadSteps*c.Division {
		v.fail("the same weight reads %v apart, more than %d divisions: look for draught, a touching cup, an unlevel bench", v.Spread, spreadSteps)
	}
}

func (c Check) judgeZeros(v *Verdict) {
	if c.ZeroBefore.Abs() > c.Division {
		v.fail("it showed %v before the weight was on: zero it first", c.ZeroBefore)
	}
	after := c.ZeroAfter
	for _, z := range c.ZerosBetween {
		if z.Abs() > after.Abs() {
			after = z
		}
	}
	if after.Abs() > c.Division {
		v.fail("it came back to %v, not to zero: clean under the pan and repeat after it has warmed up", after)
	}
}

func (c Check) judgeCorners(v *Verdict) {
	for i, r := range c.Corners {
		if e := r - c.Nominal; e.Abs() > v.Limit {
			v.fail("%s it shows %v for %v: %v off, allowed are %v", corners[i%len(corners)], r, c.Nominal, e, v.Limit)
		}
	}
}
