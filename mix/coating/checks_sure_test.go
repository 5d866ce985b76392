package coating_test

import (
	"fmt"
	"math"

	"gramcup/mix/coating"
)

// u1 is the worked example: 4:1 by volume with a scale of 0.1 g.
func u1() (a, b coating.Layer, s coating.ScaleAccuracy) {
	return coating.Layer{Grams: 416, DensityGML: 1.30, DensityU: 0.005},
		coating.Layer{Grams: 84, DensityGML: 1.05, DensityU: 0.005},
		coating.ScaleAccuracy{RepeatabilityG: 0.1, DivisionG: 0.1}
}

func ratio(shared bool, pick func(coating.Ratio) float64) func() (float64, error) {
	return func() (float64, error) {
		a, b, s := u1()
		r, err := coating.RatioOf(a, b, s, shared)
		return pick(r), err
	}
}

func sureChecks() []outside {
	const gum = "JCGM 100:2008 5.1.2 eq. (10), worked by hand"
	relative := func(r coating.Ratio) float64 { return r.Uncertainty / r.Value }
	list := []outside{
		{"U1 one reading, g", gum, 0.104083, 1e-6, sure(coating.ReadingUncertaintyG(0.1, 0.1))},
		{"U1 one net weight, g", gum, 0.147196, 1e-6, sure(coating.NetOf(84, 0.1, 0.1).UncertaintyG)},
		{"U1 ratio", gum, 4.0, 1e-9, ratio(false, func(r coating.Ratio) float64 { return r.Value })},
		{"U1 relative uncertainty", gum, 0.00637687, 1e-8, ratio(false, relative)},
		{"U1 with the reading between shared", "JCGM 100:2008 5.2.2 eq. (13), worked by hand", 0.00642531, 1e-8, ratio(true, relative)},
		{"U1 uncertainty of the ratio", gum, 0.025507, 1e-6, ratio(false, func(r coating.Ratio) float64 { return r.Uncertainty })},
		{"U1 expanded, %", gum, 1.28, 0.005, ratio(false, func(r coating.Ratio) float64 { return 100 * r.ExpandedRelative() })},
		{"U1 the scale alone, %", gum, 0.178, 0.001, ratio(false, func(r coating.Ratio) float64 { return 100 * r.ScaleRelative })},
		{"0.41 divisions", "the spread of the difference of two rounded readings, 1/√6", 0.41, 0.0018, sure(1 / math.Sqrt(6))},
	}
	for _, row := range []struct{ s, d, tolerance, want float64 }{
		{0.05, 0.1, 0.01, 10.0}, {0.02, 0.1, 0.01, 8.2}, {0.1, 0.1, 0.02, 10.0}, {0.3, 1, 0.02, 41.0}, {0.00015, 0.0001, 0.001, 0.3},
	} {
		list = append(list, outside{fmt.Sprintf("smallest weight, s %g g, d %g g, %g %%", row.s, row.d, row.tolerance*100),
			"2·max(s, 0.41 d)/tolerance, USP <41> (1 August 2019)", row.want, 1e-9 + row.want*1e-9, func() (float64, error) {
				return coating.SmallestG(coating.ScaleAccuracy{RepeatabilityG: row.s, DivisionG: row.d}, row.tolerance)
			}})
	}
	return list
}

func urethaneChecks() []outside {
	const source = "computed from the equivalent weights 4202/%NCO and 56100/OH value"
	index := func(va, ga, oh, vb, gb, nco float64) func() (float64, error) {
		return func() (float64, error) {
			return coating.Index(coating.Resin{Parts: va, DensityGML: ga, OHValue: oh}, coating.Curing{Parts: vb, DensityGML: gb, NCOPercent: nco})
		}
	}
	return []outside{
		{"N1 equivalent weight of OH", source, 467.50, 1e-9, sure(coating.EquivalentOH(120))},
		{"N1 equivalent weight of NCO", source, 254.67, 0.005, sure(coating.EquivalentNCO(16.5))},
		{"N1 hardener per 100 g at index 1, g", source, 54.474, 1e-3, sure(coating.HardenerPer100(120, 16.5, 1))},
		{"N2 index of 4:1", source, 1.1003, 1e-4, index(4, 0.98, 52, 1, 1.05, 16)},
		{"N2 with 10 % less hardener", source, 0.9903, 1e-4, index(4, 0.98, 52, 0.9, 1.05, 16)},
		{"N2 with 10 % more hardener", source, 1.2104, 1e-4, index(4, 0.98, 52, 1.1, 1.05, 16)},
		{"N3 4:1 by weight by mistake", source, 1.0270, 1e-4, index(4, 0.98, 52, 0.98/1.05, 1.05, 16)},
		{"N4 index of 2:1", source, 1.0488, 1e-4, index(2, 0.98, 95, 1, 1.06, 13.8)},
	}
}

func greyChecks() []outside {
	const cie = "CIE 15 / ISO/CIE 11664-4"
	const km = "Kubelka and Munk 1931, closed form"
	half := coating.AbsorptionRatio(0.5)
	return []outside{
		{"L* of the perfect white", cie, 100, 1e-9, sure(coating.LightnessOf(1))},
		{"L* of black", cie, 0, 1e-9, sure(coating.LightnessOf(0))},
		{"L* of 18.42 % reflectance", cie + ": 50", 50, 0.005, sure(coating.LightnessOf(0.18418651851244416))},
		{"L* where line and cube meet", cie + ": 216/24389 gives 8", 8, 1e-9, sure(coating.LightnessOf(216.0 / 24389.0))},
		{"reflectance of L* 50", cie, 0.18418651851244416, 1e-12, sure(coating.ReflectanceOf(50))},
		{"K/S of half the light", km + ": (1-R)²/2R", 0.25, 1e-12, sure(half)},
		{"reflectance of K/S 0.25", km + ": 1 + K/S - √((K/S)² + 2K/S)", 0.5, 1e-12, sure(coating.HidingReflectance(0.25))},
		{"reflectance of no absorption", km + ", limit", 1, 1e-12, sure(coating.HidingReflectance(0))},
		{"reflectance of K/S 10⁹", km + ", limit S/2K", 5e-10, 1e-15, sure(coating.HidingReflectance(1e9))},
	}
}
