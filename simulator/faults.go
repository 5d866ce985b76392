package simulator

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"
)

// Fault is something that goes wrong, by name.
type Fault uint8

// The menu of faults.
const (
	// FaultSilent sends nothing, while the line stays open and requests are lost.
	FaultSilent Fault = iota
	// FaultUnplugged breaks the line: the host's end is closed and Dial fails
	// until it is over.
	FaultUnplugged
	// FaultGarbage puts 1 to 40 random bytes in front of every frame.
	FaultGarbage
	// FaultPartial cuts every frame short at a random place, at its front or
	// at its end.
	FaultPartial
	// FaultChopped delivers whole frames one byte at a time.
	FaultChopped
	// FaultOverload leans on the pan with the full capacity and a half.
	FaultOverload
	// FaultBump knocks against the bench once, when it begins.
	FaultBump
	// FaultDraught blows over the pan: slow coloured noise of two divisions rms.
	FaultDraught
	// FaultPowerCycle takes the power away, and brings it back when it is
	// over: tare forgotten, self test, new zero with whatever is on the pan.
	FaultPowerCycle
	// FaultWrongUnit sends ounces, as after a press on the unit key.
	FaultWrongUnit
	// FaultStuck repeats the last frame whatever happens on the pan.
	FaultStuck

	faultCount
)

// faultTable gives each fault its name and how long it lasts if nobody says.
var faultTable = [faultCount]struct {
	name string
	last time.Duration
}{
	FaultSilent:     {"silent", 5 * time.Second},
	FaultUnplugged:  {"unplugged", 5 * time.Second},
	FaultGarbage:    {"garbage", 5 * time.Second},
	FaultPartial:    {"partial", 5 * time.Second},
	FaultChopped:    {"chopped", 30 * time.Second},
	FaultOverload:   {"overload", time.Second},
	FaultBump:       {"bump", Step},
	FaultDraught:    {"draught", 5 * time.Second},
	FaultPowerCycle: {"power-cycle", 2 * time.Second},
	FaultWrongUnit:  {"wrong-unit", 5 * time.Second},
	FaultStuck:      {"stuck", 5 * time.Second},
}

// String is the name of the fault, as ParseFault reads it.
func (f Fault) String() string {
	if f < faultCount {
		return faultTable[f].name
	}
	return fmt.Sprintf("fault(%d)", uint8(f))
}

// Faults lists the whole menu in a fixed order.
func Faults() []Fault {
	all := make([]Fault, 0, faultCount)
	for f := range faultCount {
		all = append(all, f)
	}
	return all
}

// ParseFault finds a fault by its name; the error lists the names.
func ParseFault(name string) (Fault, error) {
	names := make([]string, 0, faultCount)
	for _, f := range Faults() {
		if f.String() == name {
			return f, nil
		}
		names = append(names, f.String())
	}
	return 0, fmt.Errorf("unknown fault %q: known are %s", name, strings.Join(names, ", "))
}

// Scheduled is a fault with its time, counted from the start of the bench.
type Scheduled struct {
	Fault Fault
	At    time.Duration
	For   time.Duration // 0 for as long as is usual for it
}

// ParseScheduled reads "NAME@TIME" or "NAME@TIME+LENGTH": "silent@12s",
// "unplugged@1m+20s".
func ParseScheduled(s string) (Scheduled, error) {
	name, rest, found := strings.Cut(s, "@")
	if !found {
		return Scheduled{}, fmt.Errorf("fault %q has no time: write it like silent@12s or silent@12s+3s", s)
	}
	f, err := ParseFault(name)
	if err != nil {
		return Scheduled{}, err
	}
	at, length, found := strings.Cut(rest, "+")
	out := Scheduled{Fault: f}
	if out.At, err = parseSpan(at); err != nil {
		return Scheduled{}, fmt.Errorf("fault %q: %w", s, err)
	}
	if found {
		if out.For, err = parseSpan(length); err != nil {
			return Scheduled{}, fmt.Errorf("fault %q: %w", s, err)
		}
	}
	return out, nil
}

func parseSpan(s string) (time.Duration, error) {
	d, err := time.ParseDuration(s)
	if err != nil || d < 0 {
		return 0, fmt.Errorf("%q is no length of time: write it like 500ms, 12s or 1m30s", s)
	}
	return d, nil
}

// Sizes of what pushes on the pan.
const (
	leanPart    = 1.5
	bumpG       = 100.0 // swing of the pan, as grams
	draughtD    = 2.0
	draughtS    = 0.5 // correlation time: a draught lives below 1 Hz
	garbageMost = 40
)

// faults knows which faults are on and what they push with.
type faults struct {
	rng      *rand.Rand
	until    [faultCount]time.Duration
	plan     []Scheduled
	draughtG float64
}

// on reports whether a fault is active at a time.
func (f *faults) on(x Fault, now time.Duration) bool { return now < f.until[x] }

// begin switches a fault on, or makes it last longer.
func (f *faults) begin(x Fault, now, length time.Duration) {
	if length <= 0 {
		length = faultTable[x].last
	}
	f.until[x] = max(f.until[x], now+length)
}

// due takes the faults whose time has come out of the plan.
func (f *faults) due(now time.Duration) (begun []Scheduled) {
	rest := f.plan[:0]
	for _, s := range f.plan {
		if s.At <= now {
			begun = append(begun, s)
		} else {
			rest = append(rest, s)
		}
	}
	f.plan = rest
	return begun
}

// push is the force on the pan that is no load, in grams of force.
func (f *faults) push(p Preset, now time.Duration) float64 {
	if f.on(FaultDraught, now) {
		keep := math.Exp(-stepS / draughtS)
		f.draughtG = keep*f.draughtG + math.Sqrt(1-keep*keep)*draughtD*p.DivisionG*f.rng.NormFloat64()
	} else {
		f.draughtG = 0
	}
	g := f.draughtG
	if f.on(FaultOverload, now) {
		g += leanPart * p.MaxG
	}
	return g
}

// garble is what the line makes of a frame on its way out.
func (f *faults) garble(frame []byte, now time.Duration) []byte {
	if f.on(FaultPartial, now) && len(frame) > 1 {
		cut := 1 + f.rng.IntN(len(frame)-1)
		if f.rng.IntN(2) == 0 {
			frame = frame[:cut]
		} else {
			frame = frame[cut:]
		}
	}
	if f.on(FaultGarbage, now) {
		junk := make([]byte, 1+f.rng.IntN(garbageMost))
		for i := range junk {
			junk[i] = byte(f.rng.UintN(256))
		}
		frame = append(junk, frame...)
	}
	return frame
}
