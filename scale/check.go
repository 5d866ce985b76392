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
	Repeats                      []Mass // readings of the weight in the middle, three or more
	Corners                      []Mass // readings at the corners, none if not done
}

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

// Judge compares the readings with the in-service limit, twice the maximum
// permissible error of OIML R 76-1 table 6 for the load, but not less than the
// division: below that nothing can be seen. An error means that nothing can be
// said at all.
func (c Check) Judge() (Verdict, error) {
	if c.Interval == 0 {
		c.Interval = c.Division
	}
	if c.Class == ClassNone {
		c.Class = ClassFor(c.Capacity, c.Interval)
	}
	v := Verdict{Class: c.Class, Passed: true}
	switch {
	case c.Division <= 0:
		return v, fmt.Errorf("the scale's division is not known: give it, it stands on the plate as d")
	case len(c.Repeats) < repeatsNeeded:
		return v, fmt.Errorf("%d readings of the weight: take at least %d, and lift it off between them", len(c.Repeats), repeatsNeeded)
	case c.Capacity > 0 && c.Nominal > c.Capacity:
		return v, fmt.Errorf("the weight of %v is more than the scale can weigh, %v", c.Nominal, c.Capacity)
	}
	limit, err := MaxError(c.Class, c.Interval, c.Nominal)
	if err != nil {
		return v, err
	}
	own, err := WeightError(c.Nominal, c.WeightClass)
	if err != nil {
		return v, err
	}
	v.Limit = max(2*limit, c.Division)
	if !WeightGoodEnough(own, v.Limit) {
		v.fail("the weight itself may be %v off, more than a third of the limit of %v: a finer one is needed", own, v.Limit)
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
	if c.ZeroAfter.Abs() > c.Division {
		v.fail("it came back to %v, not to zero: clean under the pan and repeat after it has warmed up", c.ZeroAfter)
	}
}

func (c Check) judgeCorners(v *Verdict) {
	for i, r := range c.Corners {
		if e := r - c.Nominal; e.Abs() > v.Limit {
			v.fail("corner %d shows %v for %v: %v off, allowed are %v", i+1, r, c.Nominal, e, v.Limit)
		}
	}
}
