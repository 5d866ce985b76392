package coating

import "math"

// LevelReadMM is how well a level is set to a mark by eye in a clear cup, as a
// standard uncertainty in millimetres (common practice, no source). Stick and
// mark in the bustle of mixing are read worse: StickReadMM, MarkReadMM.
const LevelReadMM = markReadMM

// What is believed of one filling with water, in millimetres.
const (
	LowestFillMM  = 10.0  // below it half a millimetre is too much of the height
	HighestFillMM = 400.0 // no mixing cup is higher
	LeastRiseMM   = 5.0   // between two fillings
	narrowestMM   = 25.0  // as wide as a round cup that takes so much water
	widestMM      = 350.0
	// MaxFills is how many heights are kept of a cup.
	MaxFills = 20
	widerBy  = 1.6 // from one filling to the next, beyond which it is asked
)

// MeasuredML is up to where the cup is known: its highest filling.
func (f Filled) MeasuredML() float64 {
	if len(f.Fills) == 0 {
		return 0
	}
	return f.Fills[len(f.Fills)-1].VolumeML
}

// PlausibleFill refuses a filling that can not follow those before it: heights
// and volumes rise, and so much water between two heights makes a cup as wide as
// cups are. A cup that widens or narrows at once is asked about.
func PlausibleFill(before []Fill, x Fill) error {
	last, wide := Fill{}, 0.0
	for _, b := range before {
		wide, last = acrossMM(last, b), b
	}
	switch {
	case len(before) >= MaxFills:
		return refuse("%d heights were weighed: that is as many as are kept, and more than anybody needs.", len(before))
	case !(x.HeightMM >= LowestFillMM && x.HeightMM <= HighestFillMM):
		return refuse("A height of %.4g mm: give %.0f to %.0f mm, measured from the inside bottom.", x.HeightMM, LowestFillMM, HighestFillMM)
	case x.HeightMM <= last.HeightMM:
		return refuse("%.4g mm is not above the %.4g mm that were weighed before: the heights must rise.", x.HeightMM, last.HeightMM)
	case len(before) > 0 && x.HeightMM < last.HeightMM+LeastRiseMM:
		return refuse("%.4g mm is too near to the %.4g mm that were weighed before: go up by %.0f mm or more.", x.HeightMM, last.HeightMM, LeastRiseMM)
	case !(x.VolumeML > last.VolumeML):
		return refuse("%.4g ml at %.4g mm are not more than the %.4g ml at %.4g mm: the volume must rise.", x.VolumeML, x.HeightMM, last.VolumeML, last.HeightMM)
	}
	now := acrossMM(last, x)
	if now < narrowestMM || now > widestMM {
		return refuse("%.4g ml of water between %.4g and %.4g mm would be a cup %.0f mm wide, and cups are %.0f to %.0f: look at the height once more.",
			x.VolumeML-last.VolumeML, last.HeightMM, x.HeightMM, now, narrowestMM, widestMM)
	}
	if len(before) > 0 && (now > wide*widerBy || now < wide/widerBy) {
		return &Refusal{Ask: true, Sentence: sprintf("This cup would be %.0f mm wide up to %.4g mm and %.0f mm above that: is the height right?", wide, last.HeightMM, now)}
	}
	return nil
}

// acrossMM is how wide a round cup is on the average between two fillings.
func acrossMM(a, b Fill) float64 {
	return math.Sqrt(4 / math.Pi * mm3PerML * (b.VolumeML - a.VolumeML) / (b.HeightMM - a.HeightMM))
}

// MarkErrorMM is the standard uncertainty of a mark at a height within what was
// measured, in millimetres, by the law of propagation (JCGM 100, 5.1.2): the
// weighings of the two fillings beside it, which share that of the empty cup,
// the levels to which they were filled, and a wall that is not straight between
// them. The last is told from how the cup widens from one filling to the next;
// it is largest halfway, and one more height there makes it a quarter.
func (f Filled) MarkErrorMM(heightMM float64) float64 {
	low, j := Fill{}, 0
	for ; j < len(f.Fills)-1 && heightMM > f.Fills[j].HeightMM; j++ {
		low = f.Fills[j]
	}
	if len(f.Fills) == 0 {
		return 0
	}
	high := f.Fills[j]
	rise := high.HeightMM - low.HeightMM
	slope := (high.VolumeML - low.VolumeML) / rise
	upper := (heightMM - low.HeightMM) / rise
	lower := 1 - upper
	bend := f.bend(j) * rise * rise / 2 * upper * lower / slope / math.Sqrt(3)
	if j == 0 { // the bottom is certain
		lower = 0
	}
	weigh := f.ReadingML * math.Sqrt(lower*lower+upper*upper+(lower+upper)*(lower+upper)) / slope
	level := f.LevelMM * math.Hypot(lower, upper)
	return math.Sqrt(weigh*weigh + level*level + bend*bend)
}

// bend is by how much the millilitres for a millimetre change with each
// millimetre, at the worse end of the stretch below filling j.
func (f Filled) bend(j int) (most float64) {
	at := func(i int) Fill {
		if i < 0 {
			return Fill{}
		}
		return f.Fills[i]
	}
	for i := max(j-1, 0); i <= j && i+1 < len(f.Fills); i++ {
		a, b, c := at(i-1), at(i), at(i+1)
		turn := (c.VolumeML-b.VolumeML)/(c.HeightMM-b.HeightMM) - (b.VolumeML-a.VolumeML)/(b.HeightMM-a.HeightMM)
		most = math.Max(most, math.Abs(2*turn/(c.HeightMM-a.HeightMM)))
	}
	return most
}

// marked is a cup that knows how well a mark on it can be placed.
type marked interface {
	MarkErrorMM(heightMM float64) float64
}

// readAt is how well the level at a height is met: read to readMM, at a mark that
// itself stands only where the cup was measured (k = 2).
func readAt(v Vessel, heightMM, readMM float64) float64 {
	if m, ok := v.(marked); ok {
		return math.Hypot(readMM, Coverage*m.MarkErrorMM(heightMM))
	}
	return readMM
}
