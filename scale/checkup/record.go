package checkup

import (
	"fmt"

	"gramcup/scale"
)

// Disclaimer stands with every verdict.
const Disclaimer = "A check for your own trust, no verification."

// LimitSource says where the limit comes from.
const LimitSource = "in service, twice the maximum permissible error of OIML R 76-1 table 6, but not less than one division"

// recordFormat is the version of Record as JSON. Fields are only ever added.
const recordFormat = 1

// Reading is one reading that was taken.
type Reading struct {
	Place    Place `json:"place"`
	Expected Grams `json:"expected_g"`
	Shown    Grams `json:"shown_g"`
	AfterMS  int64 `json:"after_ms"` // since the check began
}

// Off is how far the reading is from what was expected.
func (r Reading) Off() Grams { return r.Shown - r.Expected }

// Record is a finished check, with everything that its verdict rests on. As
// JSON it is what the book keeps and what is exported.
type Record struct {
	Format        int       `json:"format"`
	Scale         string    `json:"scale"` // its identity
	Capacity      Grams     `json:"capacity_g"`
	Division      Grams     `json:"division_d_g"`
	Interval      Grams     `json:"interval_e_g"`
	Class         string    `json:"class"`
	Guessed       bool      `json:"class_guessed"`
	WeightID      string    `json:"weight_id"`
	Nominal       Grams     `json:"weight_nominal_g"`
	WeightClass   string    `json:"weight_class"`
	WeightError   Grams     `json:"weight_error_g"` // how far the weight itself may be off
	Limit         Grams     `json:"limit_g"`
	LimitSource   string    `json:"limit_source"`
	SpreadLimit   Grams     `json:"spread_limit_g"`
	ZeroLimit     Grams     `json:"zero_limit_g"`
	Readings      []Reading `json:"readings"`
	ZeroBefore    Grams     `json:"zero_before_g"`
	ZeroAfter     Grams     `json:"zero_after_g"`
	Worst         Grams     `json:"worst_error_g"`
	Spread        Grams     `json:"spread_g"`
	CornersJudged bool      `json:"corners_judged"`
	Passed        bool      `json:"passed"`
	Findings      []string  `json:"findings"` // what is wrong, sentences
	Notes         []string  `json:"notes"`    // what limits the verdict, sentences
}

// Kept is a check as the book has it, and as it is exported.
type Kept struct {
	N    int64 `json:"n"`          // its number in the book
	AtMS int64 `json:"at_unix_ms"` // when it was finished
	Record
}

// Repeats is what the weighings in the middle say of the scatter of the scale.
func (k Kept) Repeats() scale.Repeats {
	var middle []scale.Mass
	for _, r := range k.Readings {
		if r.Place == PlaceMiddle {
			middle = append(middle, r.Shown.Mass())
		}
	}
	return scale.RepeatsOf(middle, k.AtMS)
}

// judge makes the record of a walk whose readings are all taken.
func (w *Walk) judge() Record {
	s, l := w.setup, w.limits
	c := s.check()
	for i, r := range w.taken {
		switch {
		case i == 0:
			c.ZeroBefore = r.Shown.Mass()
		case i == len(w.taken)-1:
			c.ZeroAfter = r.Shown.Mass()
		case r.Place == PlaceEmpty:
			c.ZerosBetween = append(c.ZerosBetween, r.Shown.Mass())
		case r.Place == PlaceMiddle:
			c.Repeats = append(c.Repeats, r.Shown.Mass())
		case s.cornerTrouble() == "":
			c.Corners = append(c.Corners, r.Shown.Mass())
		}
	}
	v, err := c.Judge()
	if err != nil { // the setup was checked and all readings are there, so it can not happen
		v.Passed, v.Findings = false, append(v.Findings, err.Error())
	}
	return Record{
		Format: recordFormat, Scale: s.Scale, Capacity: Grams(s.Capacity), Division: Grams(s.Division), Interval: Grams(s.e()),
		Class: l.Class.String(), Guessed: s.guessed(), WeightID: s.WeightID, Nominal: Grams(s.Nominal),
		WeightClass: s.WeightClass.String(), WeightError: Grams(l.Weight), Limit: Grams(l.Limit), LimitSource: LimitSource,
		SpreadLimit: Grams(l.Spread), ZeroLimit: Grams(l.Zero), Readings: append([]Reading{}, w.taken...),
		ZeroBefore: Grams(c.ZeroBefore), ZeroAfter: Grams(c.ZeroAfter), Worst: Grams(v.Worst), Spread: Grams(v.Spread),
		CornersJudged: len(c.Corners) > 0, Passed: v.Passed, Findings: append([]string{}, sentences(v.Findings)...), Notes: append(s.notes(), w.breakNotes()...),
	}
}

// notes are what the reader of a verdict must know about its grounds.
func (s Setup) notes() []string {
	notes := []string{Disclaimer}
	if s.guessed() {
		notes = append(notes, fmt.Sprintf("Class %s is a guess from capacity and division: the plate or its papers say it for certain.", s.Guess()))
	}
	if s.Corners {
		if t := s.cornerTrouble(); t != "" {
			notes = append(notes, t)
		}
	}
	return notes
}

// sentences gives each finding a capital and a full stop.
func sentences(list []string) []string {
	var out []string
	for _, s := range list {
		if s[0] >= 'a' && s[0] <= 'z' {
			s = string(s[0]-'a'+'A') + s[1:]
		}
		out = append(out, s+".")
	}
	return out
}

// Verdict is the outcome in one sentence.
func (r Record) Verdict() string {
	switch {
	case r.Passed && r.Worst == 0:
		return fmt.Sprintf("Passed: no error to be seen, allowed are %v.", r.Limit.Mass())
	case r.Passed:
		return fmt.Sprintf("Passed: at most %v off, allowed are %v.", r.Worst.Mass(), r.Limit.Mass())
	}
	return fmt.Sprintf("Not passed: %s", r.first())
}

func (r Record) first() string {
	if len(r.Findings) == 0 {
		return "no reason is noted."
	}
	return r.Findings[0]
}

// Advice says what to do after a check that was not passed, "" after one that
// was (the sheet of a simple user check).
func (r Record) Advice() string {
	if r.Passed {
		return ""
	}
	return "Clean it, level it, let it warm up and check again. If it fails again, have it adjusted. Adjusting a sealed trade scale breaks its verification."
}
