package scale

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
)

// Range is one weighing range as a scale states it.
type Range struct {
	Unit     Unit // of the display
	Capacity Mass // the most it shows
	Division Mass // the step it counts by
}

// Errors of reading a capacity line.
var (
	ErrNotCapacity = errors.New("not a capacity line: CAP:unit:capacity:count-by:decimals is expected")
	ErrRange       = errors.New("capacity and division are not a weighing range")
)

// maxCapDecimals bounds the decimals of a division: a microgram in kilograms.
const maxCapDecimals = 9

// ParseRange reads the capacity line that an SMA scale gives among its
// information, with or without LF and CR around it:
//
//	CAP:kg :15.000:5:3    15 kg by 5 × 10^-3 kg
//
// A scale with several ranges gives a line for each.
func ParseRange(line []byte) (Range, error) {
	line = bytes.Trim(line, "\r\n")
	rest, ok := bytes.CutPrefix(line, []byte("CAP:"))
	parts := bytes.Split(rest, []byte(":"))
	if !ok || len(parts) != 4 {
		return Range{}, fmt.Errorf("%q: %w", line, ErrNotCapacity)
	}
	unit, ok := ParseUnit(parts[0])
	if !ok || !unit.IsMass() {
		return Range{}, fmt.Errorf("%q: unit %q: %w", line, parts[0], ErrNotMass)
	}
	capacity, err := scanDecimal(trimPadding(parts[1]))
	if err != nil {
		return Range{}, fmt.Errorf("%q: the capacity is %w", line, err)
	}
	countBy, err := strconv.ParseUint(string(trimPadding(parts[2])), 10, 32)
	if err != nil {
		return Range{}, fmt.Errorf("%q: the count-by %q is %w", line, parts[2], ErrNumber)
	}
	decimals, err := strconv.ParseUint(string(trimPadding(parts[3])), 10, 8)
	if err != nil || decimals > maxCapDecimals {
		return Range{}, fmt.Errorf("%q: %q decimals: %w", line, parts[3], ErrRange)
	}
	r := Range{Unit: unit}
	if r.Capacity, err = capacity.Mass(unit); err != nil {
		return Range{}, fmt.Errorf("%q: the capacity is %w", line, err)
	}
	if r.Division, err = (Decimal{Coefficient: countBy, Places: uint8(decimals)}).Mass(unit); err != nil {
		return Range{}, fmt.Errorf("%q: the division is %w", line, err)
	}
	if r.Division <= 0 || r.Capacity < r.Division {
		return Range{}, fmt.Errorf("%q: %w", line, ErrRange)
	}
	return r, nil
}

// smaAnswer reads what is no weight: "?", "!", a field line such as
// "SMA:2/1.0" and the four letters of the self test.
func smaAnswer(body []byte, r *Reading) bool {
	switch {
	case len(body) == 1 && body[0] == '?':
		r.Status = StatusUnknownCommand
	case len(body) == 1 && body[0] == '!':
		r.Status = StatusDamagedCommand
	case len(body) >= 4 && body[3] == ':' && upperField(body[:3]), len(body) == 4 && selfTest(body):
		r.Status = StatusInfo
	default:
		return false
	}
	return true
}

func selfTest(b []byte) bool {
	for i, want := range []byte("REC") {
		if b[i] != ' ' && b[i] != want {
			return false
		}
	}
	return true
}

func upperField(name []byte) bool {
	for _, c := range name {
		if !(c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == ' ') {
			return false
		}
	}
	return name[0] != ' '
}
