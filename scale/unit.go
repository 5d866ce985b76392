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

// unitSpellings maps what scales and people write, in lower case, to a unit.
var unitSpellings = map[string]Unit{
	"g": UnitGram, "gr.": UnitGram, "gram": UnitGram, "grams": UnitGram,
	"kg": UnitKilogram, "mg": UnitMilligram, "t": UnitTonne,
	"lb": UnitPound, "lbs": UnitPound, "#": UnitPound,
	"oz": UnitOunce, "ozt": UnitTroyOunce,
	"gn": UnitGrain, "gr": UnitGrain, "grain": UnitGrain,
	"dwt": UnitPennyweight, "ct": UnitCarat,
	"pc": UnitPieces, "pcs": UnitPieces, "%": UnitPercent,
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
	var buf [8]byte
	n := 0
	for _, c := range trimPadding(field) {
		if n == len(buf) {
			return UnitNone, false
		}
		if 'A' <= c && c <= 'Z' {
			c += 'a' - 'A'
		}
		buf[n] = c
		n++
	}
	if n == 0 {
		return UnitNone, false
	}
	u, ok = unitSpellings[string(buf[:n])]
	return u, ok
}

// trimPadding cuts blanks, underscores and NULs from both ends.
func trimPadding(b []byte) []byte {
	for len(b) > 0 && isPadding(b[0]) {
		b = b[1:]
	}
	for len(b) > 0 && isPadding(b[len(b)-1]) {
		b = b[:len(b)-1]
	}
	return b
}

func isPadding(c byte) bool { return c == ' ' || c == '_' || c == 0 }
