package simulator

import "fmt"

// Preset describes a scale: what its plate says and how its inside behaves.
// The three presets follow common practice for bench scales; the sizes of
// noise, averaging and creep follow data sheets of low-cost bridge converters
// (10 or 80 conversions a second) and single-point cells.
type Preset struct {
	Name            string
	MaxG            float64 // capacity in grams
	DivisionG       float64 // display step in grams: 1, 2 or 5 times a power of ten
	ConversionsPerS float64 // converter rate, at most 100
	Average         int     // conversions in the moving average
	NoiseD          float64 // white noise of one conversion, rms, in divisions
	DriftDPerMin    float64 // random walk of zero in one minute, rms, in divisions
	CreepPart       float64 // creep after a long time, as a part of the load
	CreepS          float64 // time constant of creep in seconds
	CutOutD         float64 // the average restarts on a change above this many divisions, 0 for never
	NoTracking      bool    // zero tracking is switched off
	KeepsZero       bool    // power-on keeps the last zero instead of taking a new one
}

// CheapBench is a kitchen-grade bench scale: 5 kg by 1 g.
func CheapBench() Preset {
	return Preset{Name: "cheap", MaxG: 5000, DivisionG: 1, ConversionsPerS: 10, Average: 4,
		NoiseD: 0.1, DriftDPerMin: 0.02, CreepPart: 0.0004, CreepS: 120}
}

// DecentBench is a usual mixing-room scale: 6 kg by 0.1 g.
func DecentBench() Preset {
	return Preset{Name: "decent", MaxG: 6000, DivisionG: 0.1, ConversionsPerS: 80, Average: 32,
		NoiseD: 0.4, DriftDPerMin: 0.05, CreepPart: 0.0002, CreepS: 120}
}

// FineBench is a laboratory top-pan scale: 3 kg by 0.01 g.
func FineBench() Preset {
	return Preset{Name: "fine", MaxG: 3000, DivisionG: 0.01, ConversionsPerS: 50, Average: 32,
		NoiseD: 0.5, DriftDPerMin: 0.1, CreepPart: 0.00001, CreepS: 120}
}

// PresetByName finds "cheap", "decent" or "fine". Any other name is an error
// that lists these.
func PresetByName(name string) (Preset, error) {
	for _, p := range []Preset{CheapBench(), DecentBench(), FineBench()} {
		if p.Name == name {
			return p, nil
		}
	}
	return Preset{}, fmt.Errorf("unknown scale %q: known are cheap, decent, fine", name)
}
