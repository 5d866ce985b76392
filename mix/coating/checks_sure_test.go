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
		{"U1 first weight, relative", gum, 0.00035384, 5e-9, sure(coating.NetOf(416, 0.1, 0.1).UncertaintyG / 416)},
		{"U1 second weight, relative", gum, 0.00175233, 5e-9, sure(coating.NetOf(84, 0.1, 0.1).UncertaintyG / 84)},
		{"U1 both densities, relative", gum + ": √(0.00384615² + 0.00476190²)", 0.00612116, 5e-9, ratio(false, func(r coating.Ratio) float64 { return r.PaintRelative })},
		{"U1 expanded", gum, 0.0510, 5e-5, ratio(false, func(r coating.Ratio) float64 { return r.Value * r.ExpandedRelative() })},
		{"84 g at 1.05 g/ml by weight, relative", "JCGM 100 5.1.6, worked by hand: √(0.00175233² + 0.00476190²)", 0.00507409, 5e-9, func() (float64, error) {
			_, b, s := u1()
			return coating.VolumeRelative(b, s)
		}},
		{"131.5 g of paint against 99.8 g of water to the brim, relative", "JCGM 100 5.1.6, worked by hand: √(0.00147491² + 0.00111936²)", 0.00185157, 6e-9, func() (float64, error) {
			m, err := coating.AgainstWater(coating.NetOf(99.8, 0.1, 0.1), 20, coating.NetOf(131.5, 0.1, 0.1), 20, coating.Mark{})
			return m.Uncertainty / m.GML, err
		}},
		{"the same to a mark 60 mm high, relative", "and twice (0.5/60)²", 0.0119297, 5e-7, func() (float64, error) {
			m, err := coating.AgainstWater(coating.NetOf(99.8, 0.1, 0.1), 20, coating.NetOf(131.5, 0.1, 0.1), 20, coating.CupMark(60))
			return m.Uncertainty / m.GML, err
		}},
		{"a printed 19.5, standard", "half of 0.1 over √3 (JCGM 100, 4.3.7)", 0.0288675, 1e-7, sure(coating.Rounding("19.5"))},
		{"a printed 20, standard", "half of 1 over √3 (JCGM 100, 4.3.7)", 0.288675, 1e-6, sure(coating.Rounding(" 20"))},
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
		{0, 0.1, 0.001, 82}, // 820 divisions, the lowest possible: 0.41 is from memory
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
		{"N1 hardener per 100 g at index 1.05, g", source, 57.198, 1e-3, sure(coating.HardenerPer100(120, 16.5, 1.05))},
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
	list := []outside{
		{"L* of the perfect white", cie, 100, 1e-9, sure(coating.LightnessOf(1))},
		{"L* of black", cie, 0, 1e-9, sure(coating.LightnessOf(0))},
		{"L* of 18.42 % reflectance", cie + ": 50", 50, 0.005, sure(coating.LightnessOf(0.18418651851244416))},
		{"L* where line and cube meet", cie + ": 216/24389 gives 8", 8, 1e-9, sure(coating.LightnessOf(216.0 / 24389.0))},
		{"reflectance of L* 5, on the straight line", cie + ": 5·27/24389", 0.00553528, 5e-9, sure(coating.ReflectanceOf(5))},
		{"L* of that", cie, 5, 1e-9, sure(coating.LightnessOf(5 * 27 / 24389.0))},
		{"K/S of half the light", km + ": (1-R)²/2R", 0.25, 1e-12, sure(half)},
		{"reflectance of K/S 0.25", km + ": 1 + K/S - √((K/S)² + 2K/S)", 0.5, 1e-12, sure(coating.HidingReflectance(0.25))},
		{"reflectance of no absorption", km + ", limit", 1, 1e-12, sure(coating.HidingReflectance(0))},
		{"reflectance of K/S 10⁹", km + ", limit S/2K", 5e-10, 1e-15, sure(coating.HidingReflectance(1e9))},
	}
	for _, row := range [][3]float64{{20, 0.029891, 15.742654}, {40, 0.112510, 3.500315}, {50, 0.184187, 1.806733}, {60, 0.281233, 0.918500}, {80, 0.566813, 0.165532}, {95, 0.876183, 0.008748}} {
		list = append(list,
			outside{fmt.Sprintf("reflectance of L* %g", row[0]), cie + ", computed", row[1], 5e-7, sure(coating.ReflectanceOf(row[0]))},
			outside{fmt.Sprintf("K/S of L* %g", row[0]), km + ", computed", row[2], 5e-7, sure(coating.AbsorptionRatio(coating.ReflectanceOf(row[0])))},
			outside{fmt.Sprintf("L* %g there and back", row[0]), km + ", closed form", row[0], 1e-9,
				sure(coating.LightnessOf(coating.HidingReflectance(coating.AbsorptionRatio(coating.ReflectanceOf(row[0])))))})
	}
	return append(list, greyPairChecks()...)
}

// greyPairChecks are the worked pair of L* 93 and 25 in three strengths.
func greyPairChecks() (list []outside) {
	const source = "Kubelka and Munk 1931, two constants (Berns and Mohammadi 2006), worked by hand"
	light, dark := coating.AbsorptionRatio(coating.ReflectanceOf(93)), coating.AbsorptionRatio(coating.ReflectanceOf(25))
	shares := [5]float64{0.05, 0.1, 0.2, 0.4, 0.7}
	for _, row := range []struct {
		strength, share60 float64
		l                 [5]float64
	}{
		{0.2, 0.323351, [5]float64{82.353, 76.400, 67.933, 55.734, 40.862}},
		{0.5, 0.160474, [5]float64{74.800, 66.698, 56.563, 44.475, 33.231}},
		{1.0, 0.087237, [5]float64{67.335, 58.075, 47.838, 37.489, 29.626}},
	} {
		fit := func() (coating.Grey, error) { return coating.FitGrey(cards(light, dark, row.strength, 0, 0.3, 0.6, 1)) }
		for i, l := range row.l {
			list = append(list, outside{fmt.Sprintf("strength %g, L* at %g %% dark", row.strength, 100*shares[i]), source, l, 5e-4, func() (float64, error) {
				g, err := fit()
				if err != nil {
					return 0, err
				}
				return g.Lightness(shares[i])
			}})
		}
		list = append(list, outside{fmt.Sprintf("strength %g, dark share for L* 60", row.strength), source, row.share60, 5e-7, func() (float64, error) {
			g, err := fit()
			if err != nil {
				return 0, err
			}
			s, err := g.For(60)
			return s.Dark, err
		}})
	}
	return list
}
