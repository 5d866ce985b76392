package coating

import "math"

// Vessel is a cup whose filling by height is known.
type Vessel interface {
	// VolumeML is what is in it up to a height above the bottom.
	VolumeML(heightMM float64) (float64, error)
	// HeightMM is how high a volume stands in it.
	HeightMM(volumeML float64) (float64, error)
}

const mm3PerML = 1000.0

// Tapered is a round cup whose wall is a straight line between two inner
// diameters; with both alike it is a straight can.
type Tapered struct {
	BottomMM, TopMM float64 // inner diameters
	InnerMM         float64 // inner height
}

// Check refuses what no cup has.
func (t Tapered) Check() error {
	for _, x := range []float64{t.BottomMM, t.TopMM, t.InnerMM} {
		if !(x >= 10 && x <= 1000) {
			return refuse("A cup of %.4g mm at the bottom, %.4g mm at the top and %.4g mm high: measure it inside, in millimetres, each from 10 to 1000.", t.BottomMM, t.TopMM, t.InnerMM)
		}
	}
	return nil
}

// slope is how much the radius grows for each millimetre of height.
func (t Tapered) slope() float64 { return (t.TopMM - t.BottomMM) / 2 / t.InnerMM }

// VolumeML is the volume of a frustum up to a height.
func (t Tapered) VolumeML(heightMM float64) (float64, error) {
	if err := t.Check(); err != nil {
		return 0, err
	}
	if !(heightMM >= 0 && heightMM <= t.InnerMM) {
		return 0, refuse("%.4g mm is not in this cup: it is %.4g mm high inside.", heightMM, t.InnerMM)
	}
	bottom := t.BottomMM / 2
	top := bottom + t.slope()*heightMM
	return math.Pi * heightMM / 3 * (bottom*bottom + bottom*top + top*top) / mm3PerML, nil
}

// HeightMM solves the frustum for its height, in closed form: the cube of the
// radius grows evenly with the volume.
func (t Tapered) HeightMM(volumeML float64) (float64, error) {
	brim, err := t.VolumeML(t.InnerMM)
	if err != nil {
		return 0, err
	}
	if !(volumeML >= 0 && volumeML <= brim*(1+1e-12)) {
		return 0, refuse("%.4g ml do not fit into this cup: it holds %.0f ml to the brim.", volumeML, brim)
	}
	r, k, v := t.BottomMM/2, t.slope(), volumeML*mm3PerML
	if math.Abs(k) < 1e-9 {
		return v / (math.Pi * r * r), nil
	}
	// (r³ + 3kv/π)^⅓ - r over k, without the difference of near equals.
	cube := math.Cbrt(r*r*r + 3*k*v/math.Pi)
	return 3 * v / math.Pi / (cube*cube + cube*r + r*r), nil
}

// Fill is one filling of a cup that was measured with water.
type Fill struct {
	HeightMM, VolumeML float64
}

// Filled is a cup of any shape that was measured by weighing water at two or
// more heights. Between two fillings the wall is taken as straight up; beyond
// the highest nothing is known.
type Filled struct {
	Fills     []Fill  // by rising height
	ReadingML float64 // standard uncertainty of one reading of the scale, as millilitres of water
	LevelMM   float64 // standard uncertainty of the height of a filling
}

// Check refuses fillings that do not rise.
func (f Filled) Check() error {
	if len(f.Fills) < 2 {
		return refuse("%d filling was measured: fill the cup with water to at least two heights and weigh each.", len(f.Fills))
	}
	const highMM, hugeML = 1000.0, 100_000.0
	last := Fill{}
	for _, x := range f.Fills {
		if x.HeightMM > highMM || x.VolumeML > hugeML {
			return refuse("A filling of %.4g ml at %.4g mm can not be right: give at most %.0f ml and %.0f mm.", x.VolumeML, x.HeightMM, hugeML, highMM)
		}
		if !(x.HeightMM > last.HeightMM && x.VolumeML > last.VolumeML) {
			return refuse("A filling of %.4g ml at %.4g mm follows one of %.4g ml at %.4g mm: both must rise.", x.VolumeML, x.HeightMM, last.VolumeML, last.HeightMM)
		}
		last = x
	}
	return nil
}

// VolumeML is the volume up to a height within what was measured.
func (f Filled) VolumeML(heightMM float64) (float64, error) {
	return f.between(heightMM, "mm", func(x Fill) float64 { return x.HeightMM }, func(x Fill) float64 { return x.VolumeML })
}

// HeightMM is how high a volume stands, within what was measured.
func (f Filled) HeightMM(volumeML float64) (float64, error) {
	return f.between(volumeML, "ml", func(x Fill) float64 { return x.VolumeML }, func(x Fill) float64 { return x.HeightMM })
}

func (f Filled) between(at float64, unit string, from, to func(Fill) float64) (float64, error) {
	if err := f.Check(); err != nil {
		return 0, err
	}
	last := Fill{}
	for _, x := range f.Fills {
		if at >= from(last) && at <= from(x) {
			share := (at - from(last)) / (from(x) - from(last))
			return to(last) + share*(to(x)-to(last)), nil
		}
		last = x
	}
	return 0, refuse("%.4g %s is beyond what was measured of this cup, %.4g %s: fill it higher with water and weigh it.", at, unit, from(last), unit)
}

// Levels is how high the liquid stands in a cup, in millimetres, after each
// component was poured, from the volumes in millilitres.
func Levels(v Vessel, volumesML []float64) ([]float64, error) {
	sum := 0.0
	marks := make([]float64, 0, len(volumesML))
	for i, ml := range volumesML {
		if !(ml > 0) {
			return nil, refuse("Component %d is %.4g ml: each must be above 0.", i+1, ml)
		}
		sum += ml
		h, err := v.HeightMM(sum)
		if err != nil {
			return nil, err
		}
		marks = append(marks, h)
	}
	return marks, nil
}

// ByEye is how well a level is read, in millimetres: a stick and a mark on the
// cup both give one to two (common practice, no source).
const (
	StickReadMM = 1.5
	MarkReadMM  = 1.5
)

// EyeError is the largest relative error of component i that reading each level
// to readMM makes: its volume lies between two levels, the first of which may be
// the bottom, which is certain.
func EyeError(v Vessel, marksMM []float64, i int, readMM float64) (float64, error) {
	low, high, lowErr := 0.0, marksMM[i], 0.0
	if i > 0 {
		low = marksMM[i-1]
	}
	area := func(h float64) (float64, error) { // ml for a millimetre at a height
		const step = 0.5
		a, err := v.VolumeML(math.Max(0, h-step))
		if err != nil {
			return 0, err
		}
		b, err := v.VolumeML(h)
		return (b - a) / math.Min(step, h), err
	}
	top, err := area(high)
	if err != nil {
		return 0, err
	}
	if low > 0 {
		bottom, err := area(low)
		if err != nil {
			return 0, err
		}
		lowErr = bottom * readAt(v, low, readMM)
	}
	a, err := v.VolumeML(low)
	if err != nil {
		return 0, err
	}
	b, err := v.VolumeML(high)
	if err != nil {
		return 0, err
	}
	return math.Hypot(top*readAt(v, high, readMM), lowErr) / (b - a), nil
}
