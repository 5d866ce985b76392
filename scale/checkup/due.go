package checkup

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Every is the time between two checks. It is the shop's own choice: a year is
// common practice, without a source. The zero value is a year; Never has none.
type Every struct {
	Months, Days int
	Never        bool
}

// ParseEvery reads "180d", "26w", "12mo" or "never"; "" is a year.
func ParseEvery(s string) (Every, error) {
	if s == "" {
		return Every{}, nil
	}
	if s == "never" {
		return Every{Never: true}, nil
	}
	unit := strings.TrimLeft(s, "0123456789")
	n, err := strconv.Atoi(strings.TrimSuffix(s, unit))
	if err == nil && n > 0 && n <= 4000 {
		switch unit {
		case "d":
			return Every{Days: n}, nil
		case "w":
			return Every{Days: 7 * n}, nil
		case "mo":
			return Every{Months: n}, nil
		}
	}
	return Every{}, fmt.Errorf("%q is no time between two checks: write it like 180d, 26w or 12mo, or never", s)
}

// After is when the next check is due after one at this moment; ok is false
// where none ever is.
func (e Every) After(last time.Time) (due time.Time, ok bool) {
	if e.Never {
		return time.Time{}, false
	}
	if e.Months == 0 && e.Days == 0 {
		e.Months = 12
	}
	return last.AddDate(0, e.Months, e.Days), true
}

// String says it: "every 180 days", "every 12 months".
func (e Every) String() string {
	switch {
	case e.Never:
		return "never"
	case e.Days > 0:
		return plural(e.Days, "day")
	case e.Months == 0:
		e.Months = 12
	}
	return plural(e.Months, "month")
}

func plural(n int, word string) string {
	if n == 1 {
		return "every " + word
	}
	return fmt.Sprintf("every %d %ss", n, word)
}
