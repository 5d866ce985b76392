package scale

import (
	"fmt"
	"strconv"
	"strings"
)

// CodecByName finds a codec by its configuration name: every name of Codecs and
// Variants, "hid", and those with another unit, another width, or two settings at once.
// A shape whose lines do not say their unit has it at the end of its name, in
// any unit of mass: "bare-g", "bare-8-kg", "reversed-oz". Without it such a name
// is an error that says how to write it, as is a name that is not known.
func CodecByName(name string) (Codec, error) {
	all := append(Codecs(), Variants()...)
	for _, c := range all {
		if c.Name() == name {
			return c, nil
		}
	}
	if hid := (HID{}); name == hid.Name() {
		return hid, nil
	}
	if c, ok := polledByName(name); ok {
		return c, nil
	}
	if unitless(name, UnitNone) != nil {
		return nil, fmt.Errorf("the lines of %q do not say their unit: write it behind the name, %s-g or one of %s in place of g", name, name, massUnitNames())
	}
	if at := strings.LastIndexByte(name, '-'); at >= 0 {
		if u := massUnitNamed(name[at+1:]); u != UnitNone {
			if c := unitless(name[:at], u); c != nil {
				return c, nil
			}
		}
	}
	if name == "labelled" {
		return nil, fmt.Errorf("a print of %q lines holds more than one weight: write labelled-gross or labelled-net", name)
	}
	return nil, fmt.Errorf("unknown line shape %q: known are %s; %s", name, codecNames(all), UnitInName())
}

// UnitInName is the sentence, without a full stop, for where names are listed.
func UnitInName() string {
	return "a -g at the end is the unit, where the lines do not say it, and may be any of " + massUnitNames() + "; the number in bare-8-g is the width of the lines"
}

// unitless is the codec of a name without its unit, for the shapes that have it
// as a setting; nil if it is none.
func unitless(name string, u Unit) Codec {
	switch name {
	case "status-bytes", "status-bytes-checksum":
		return StatusBytes{Checksum: name != "status-bytes", Unit: u}
	case "xor-digits":
		return XorDigits{Unit: u}
	case "reversed":
		return Reversed{Unit: u}
	case "framed-short":
		return Framed{Short: true, Unit: u}
	case "bare":
		return Bare{Unit: u}
	case "bare-dollar":
		return Bare{Dollar: true, Unit: u}
	}
	if digits, ok := strings.CutPrefix(name, "bare-"); ok {
		width, err := strconv.ParseUint(digits, 10, 8)
		if err == nil && width >= 1 && width < MaxPiece && strconv.FormatUint(width, 10) == digits {
			return Bare{Width: int(width), Unit: u}
		}
	}
	return nil
}

// SaysUnit reports whether the lines of a shape tell the unit of their number.
// Where they do not, it is a setting, and the unit key of the scale can not be
// seen in them. It is found out by what the shape makes of its own lines.
func SaysUnit(c Codec) bool {
	if o, own := c.(*Own); own {
		_, says := o.part["unit"]
		return says
	}
	r := Reading{HasNumber: true, Mode: ModeGross, Motion: MotionStill, Number: Decimal{Coefficient: 4126, Places: 1, Lead: 3}}
	for _, r.Unit = range []Unit{UnitGram, UnitKilogram, UnitPound, UnitOunce} {
		if back, err := c.Decode(c.Encode(nil, r)); err == nil && back.HasNumber && back.Unit != r.Unit {
			return false
		}
	}
	return true
}

// polledByName knows the settings of Polled together.
func polledByName(name string) (Codec, bool) {
	for set := range 8 {
		c := Polled{Reversed: set&1 != 0, Third: set&2 != 0, Alone: set&4 != 0}
		if c.Name() == name {
			return c, true
		}
	}
	return nil, false
}

// massUnitNamed is the unit of mass with exactly this name, or UnitNone.
func massUnitNamed(name string) Unit {
	for u := range unitTable {
		if unitTable[u].name == name && Unit(u).IsMass() {
			return Unit(u)
		}
	}
	return UnitNone
}

func massUnitNames() string {
	var names []string
	for u := range unitTable {
		if Unit(u).IsMass() {
			names = append(names, unitTable[u].name)
		}
	}
	return strings.Join(names, ", ")
}

func codecNames(all []Codec) string {
	var names []string
	for _, c := range all {
		names = append(names, c.Name())
	}
	return strings.Join(names, ", ")
}
