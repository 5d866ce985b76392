package scale

import "fmt"

// Unit is a unit that a scale may print behind its number. Only the units of
// mass convert; Pieces and Percent are known so that they can be refused.
type Unit uint8

// The units. Their codes are never stored, only their names.
const (
	UnitNone Unit = iota
	UnitGram
	UnitKilogram
	UnitMilligram
	UnitTonne
	UnitPound
	UnitOunce
	UnitTroyOunce
	UnitGrain
	UnitPennyweight
	UnitCarat
	UnitPieces
	UnitPercent
)

// unitTable gives each unit its name and its size as an exact decimal number
// of picograms: Gram-based units and, from the international pound of
// 453.59237 g, the avoirdupois and troy ones (NIST Handbook 44 appendix C).
var unitTable = [...]struct {
	name      string
	picograms int64
}{
	UnitNone:        {"", 0},
	UnitGram:        {"g", 1_000_000_000_000},
	UnitKilogram:    {"kg", 1_000_000_000_000_000},
	UnitMilligram:   {"mg", 1_000_000_000},
	UnitTonne:       {"t", 1_000_000_000_000_000_000},
	UnitPound:       {"lb", 453_592_370_000_000},
	UnitOunce:       {"oz", 28_349_523_125_000},
	UnitTroyOunce:   {"ozt", 31_103_476_800_000},
	UnitGrain:       {"gn", 64_798_910_000},
	UnitPennyweight: {"dwt", 1_555_173_840_000},
	UnitCarat:       {"ct", 200_000_000_000},
	UnitPieces:      {"pc", 0},
	UnitPercent:     {"%", 0},
}

// String is the unit as this project prints it: "g", "kg", "lb".
func (u Unit) String() string {
	if int(u) < len(unitTable) {
		return unitTable[u].name
	}
	return fmt.Sprintf("unit(%d)", uint8(u))
}

// IsMass reports whether numbers in this unit are a mass.
func (u Unit) IsMass() bool { return int(u) < len(unitTable) && unitTable[u].picograms > 0 }

// ParseUnit reads a unit as scales write it: blanks, underscores and NULs
// around it and the case of its letters do not matter. It does not allocate.
// ok is false for a unit it does not know.
func ParseUnit(field []byte) (u Unit, ok bool) {
	return parseUnit(trimPadding(field))
}

// blankUnit is parseUnit for a field that is filled up with blanks, as nearly
// every frame has it.
func blankUnit(field []byte) (u Unit, ok bool) {
	switch string(field) {
	case "g", "g  ", "  g", " g", "g ", " g ":
		return UnitGram, true
	}
	return parseUnit(trimBlanks(field))
}

// parseUnit is ParseUnit for a field without padding.
func parseUnit(field []byte) (u Unit, ok bool) {
	if len(field) == 1 && field[0] == 'g' { // nearly every frame
		return UnitGram, true
	}
	var buf [5]byte
	if len(field) > len(buf) {
		return UnitNone, false
	}
	for i, c := range field {
		if 'A' <= c && c <= 'Z' {
			c += 'a' - 'A'
		}
		buf[i] = c
	}
	u = unitSpelled(string(buf[:len(field)]))
	return u, u != UnitNone
}

// unitSpelled knows what scales and people write, in lower case.
func unitSpelled(s string) Unit {
	switch s {
	case "g", "gr.", "gram", "grams":
		return UnitGram
	case "kg":
		return UnitKilogram
	case "mg":
		return UnitMilligram
	case "t":
		return UnitTonne
	case "lb", "lbs", "#":
		return UnitPound
	case "oz":
		return UnitOunce
	case "ozt":
		return UnitTroyOunce
	case "gn", "gr", "grain":
		return UnitGrain
	case "dwt":
		return UnitPennyweight
	case "ct":
		return UnitCarat
	case "pc", "pcs":
		return UnitPieces
	case "%":
		return UnitPercent
	}
	return UnitNone
}

// trimPadding cuts blanks, underscores and NULs from both ends.
func trimPadding(b []byte) []byte {
	start, end := 0, len(b)
	for start < end && isPadding(b[start]) {
		start++
	}
	for end > start && isPadding(b[end-1]) {
		end--
	}
	return b[start:end]
}

// trimBlanks cuts blanks and underscores from both ends, but no NUL: on a live
// line that is a fault, and stays to be refused.
func trimBlanks(b []byte) []byte {
	start, end := 0, len(b)
	for start < end && (b[start] == ' ' || b[start] == '_') {
		start++
	}
	for end > start && (b[end-1] == ' ' || b[end-1] == '_') {
		end--
	}
	return b[start:end]
}

func isPadding(c byte) bool { return c == ' ' || c == '_' || c == 0 }
