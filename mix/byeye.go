package mix

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"gramcup/mix/coating"
)

// ByEye is a batch that is poured without a scale: the marks in a cup, and how
// well each way of pouring would hold the ratio.
type ByEye struct {
	Title string // recipe and amount
	Rows  []EyeRow
	// Beyond is which marks are not drawn, a sentence: they lie above what was
	// measured of the cup. "" if all are.
	Beyond string
	// WhyNoScale is why pouring by weight can not be compared, a sentence; "" if
	// it is.
	WhyNoScale string
}

// EyeRow is one component. The errors are fractions of its own amount: a level
// read to coating.StickReadMM, and the scale's expanded uncertainty (k = 2) with
// that of the density.
type EyeRow struct {
	Name       string
	VolumeML   float64
	MarkMM     float64 // above the inner bottom, with what is below it; 0 where it is beyond
	MarkU      float64 // expanded uncertainty of the mark itself in mm (k = 2), 0 for a cup given by its size
	StickError float64 // 0 where the mark is beyond
	CupError   float64
	ScaleError float64 // 0 where it is not known
}

// ByEye works out the marks of a batch of ml millilitres in a cup, and compares
// stick, marks on the cup and a scale of this accuracy.
func (r *Recipe) ByEye(v coating.Vessel, ml float64, a Accuracy) (ByEye, error) {
	volumes, err := r.VolumesML(ml)
	if err != nil {
		return ByEye{}, err
	}
	out := ByEye{Title: fmt.Sprintf("%s, %.0f ml", r.Name, ml)}
	within := r.within(v, volumes, &out)
	marks, err := coating.Levels(v, volumes[:within])
	if err != nil {
		return ByEye{}, err
	}
	weighed, err := r.weighedOut(ml, a)
	if err != nil {
		out.WhyNoScale = err.Error()
	}
	for i, c := range r.Components {
		row := EyeRow{Name: c.Name, VolumeML: volumes[i], ScaleError: weighed[i]}
		if i >= within {
			out.Rows = append(out.Rows, row)
			continue
		}
		row.MarkMM = marks[i]
		if m, ok := v.(measured); ok {
			row.MarkU = coating.Coverage * m.MarkErrorMM(marks[i])
		}
		if row.StickError, err = coating.EyeError(v, marks, i, coating.StickReadMM); err != nil {
			return out, err
		}
		if row.CupError, err = coating.EyeError(v, marks, i, coating.MarkReadMM); err != nil {
			return out, err
		}
		out.Rows = append(out.Rows, row)
	}
	return out, nil
}

// measured is a cup that is known only up to where it was measured, and how well.
type measured interface {
	MeasuredML() float64
	MarkErrorMM(heightMM float64) float64
}

// within is how many components end within what was measured of a cup, and says
// which do not. If not even the first one does, all are tried, and refused.
func (r *Recipe) within(v coating.Vessel, volumesML []float64, out *ByEye) int {
	cup, ok := v.(measured)
	if !ok {
		return len(volumesML)
	}
	most, sum := cup.MeasuredML(), 0.0
	for i, ml := range volumesML {
		if sum += ml; sum <= most {
			continue
		}
		if i == 0 {
			break
		}
		all, names := 0.0, []string{}
		for j, ml := range volumesML {
			if all += ml; j >= i {
				names = append(names, r.Components[j].Name)
			}
		}
		out.Beyond = fmt.Sprintf("No mark for %s: %.0f ml in all stand above the %.0f ml that were measured of this cup. Measure it higher, or mix at most %.0f ml.",
			strings.Join(names, " and "), all, most, math.Floor(most))
		return i
	}
	return len(volumesML)
}

// weighedOut is how well a scale would weigh out each component, as a fraction of
// it (k = 2). Where the parts count weight the density plays no part in that.
func (r *Recipe) weighedOut(ml float64, a Accuracy) (fractions [MaxComponents]float64, err error) {
	if a.DivisionG == 0 {
		return fractions, errors.New("the step of the scale is not known yet, so it can not be compared")
	}
	p, err := r.Plan(Amount{Kind: AmountVolume, ML: ml})
	if err != nil {
		return fractions, err
	}
	for i, c := range r.Components {
		l := coating.Layer{Grams: p.Targets[i].MassG, DensityGML: c.Density.GPerML}
		if r.Basis == ByVolume {
			l.DensityU, _ = c.Density.Spread()
		}
		u, err := coating.VolumeRelative(l, a.ScaleAccuracy)
		if err != nil {
			return [MaxComponents]float64{}, err
		}
		fractions[i] = coating.Coverage * u
	}
	return fractions, nil
}

// drawn are the rows that have a mark.
func (e ByEye) drawn() []EyeRow {
	for i, row := range e.Rows {
		if row.MarkMM == 0 {
			return e.Rows[:i]
		}
	}
	return e.Rows
}

// MarkedWell is how well the marks stand in the cup, a line for the strip; "" for
// a cup that was given by its size.
func (e ByEye) MarkedWell() string {
	most := 0.0
	for _, row := range e.drawn() {
		most = math.Max(most, row.MarkU)
	}
	if most == 0 {
		return ""
	}
	return fmt.Sprintf("The marks stand within %.1f mm (k = 2), from weighing, from reading each height to %.1f mm, and from the shape between.", most, coating.LevelReadMM)
}

// Names are the components with a mark, in the order of pouring.
func (e ByEye) Names() (list []string) {
	for _, row := range e.drawn() {
		list = append(list, row.Name)
	}
	return list
}

// VolumesML are their volumes in the same order.
func (e ByEye) VolumesML() (list []float64) {
	for _, row := range e.drawn() {
		list = append(list, row.VolumeML)
	}
	return list
}

// StripLines is what must stand on a printed strip; cup names the cup it is for.
func StripLines(r Recipe, cup string) []string {
	return []string{
		RatioText(r) + "; cup " + cup + ".",
		"Cut it out, stand it on the inner bottom beside the stick, and pour each component up to its mark, in order.",
		"The product sheet comes first. Hardener contains isocyanate: gloves and eye protection when mixing.",
	}
}

// ParseCup reads a round cup by its inside in millimetres: "85x120" is straight,
// "70/95x120" is 70 wide at the bottom, 95 at the top and 120 high.
func ParseCup(text string) (coating.Tapered, error) {
	wide, high, found := strings.Cut(strings.ReplaceAll(text, " ", ""), "x")
	bottom, top, tapered := strings.Cut(wide, "/")
	if !tapered {
		top = bottom
	}
	var mm [3]float64
	for i, part := range []string{bottom, top, high} {
		var err error
		if mm[i], err = strconv.ParseFloat(part, 64); err != nil || !found {
			return coating.Tapered{}, fmt.Errorf("the cup is %q: write 85x120, or 70/95x120 for one that is wider at the top, in millimetres inside", text)
		}
	}
	t := coating.Tapered{BottomMM: mm[0], TopMM: mm[1], InnerMM: mm[2]}
	return t, t.Check()
}
