package coating_test

import (
	"fmt"

	"gramcup/mix/coating"
)

func densityChecks() []outside {
	d1 := func(pick func(coating.Measured) float64) func() (float64, error) {
		return func() (float64, error) {
			m, err := coating.AgainstWater(coating.Weighed{Grams: 49.783}, 23, coating.Weighed{Grams: 62.115}, 23, coating.Mark{})
			return pick(m), err
		}
	}
	const d1475 = "ASTM D1475 formula, ρ water by Tanaka 2001"
	list := []outside{
		{"D1 volume of the cup, ml", d1475, 49.9057, 1e-4, d1(func(m coating.Measured) float64 { return m.VolumeML })},
		{"D1 density, g/ml", d1475, 1.24465, 1e-5, d1(func(m coating.Measured) float64 { return m.GML })},
		{"D1 density, lb/gal", d1475 + ", K = 8.3454", 10.3871, 1e-4, d1(func(m coating.Measured) float64 { return coating.LbPerGallon(m.GML * 1000) })},
		{"T11 1.05 at 20 °C, warmed to 30 °C", "ρ/(1 + β·ΔT), β 0.0009", 1.04063, 1e-5, sure(coating.AtTemperature(1.05, 20, 30, 0.0009))},
		{"10 K on β 0.0007 and 0.0011, %", "computed from the definition of β", 0.397, 1e-3, sure(coating.RatioShift(0.0007, 0.0011, 10) * 100)},
		{"US weight-per-gallon cup, ml", "grams/10 = lb/gal needs 83.454 ml (ASTM D1475 K = 8.3454)", 83.454, 1e-3, sure(coating.LitresPerUSGallon * 1000 * 10 / coating.GramsPerPound)},
		{"both ratios on a tin, density of the hardener", "4:1 by volume and 100:19.5 by weight on 1.36: 1.36·0.195·4", 1.0608, 1e-9, func() (float64, error) {
			return coating.FromBothRatios(1.36, 4, 1, 100, 19.5)
		}},
	}
	const air = "Harvey, Analytical Chemistry 2.1, appendix 9, eq. A9.1"
	for _, row := range [][2]float64{{0.88, 1.001214}, {1.00, 1.001050}, {1.20, 1.000850}, {1.40, 1.000707}, {1.60, 1.000600}} {
		list = append(list, outside{fmt.Sprintf("buoyancy at %.2f g/ml", row[0]), air, row[1], 1e-6, sure(coating.InVacuum(row[0]))})
	}
	return append(list, solventChecks()...)
}

// solventChecks move a solvent's density with temperature by the coefficient
// that its own row of Perry's table gives, and hold the two open data sets
// against each other: 0.3 % is the honest spread of one pure liquid.
func solventChecks() (list []outside) {
	const perry = "Perry's handbook, 8th ed., table 2-32, parameters from CalebBell/chemicals 82faef9"
	const coolprop = "CoolProp ea27c63, reference-equation ancillaries; 0.3 % is the spread of the two"
	for _, s := range []struct {
		name          string
		perK          float64
		p15, p20, p30 float64
		e20, e25      float64
	}{
		{"acetone", 0.00143, 797.86, 792.24, 780.84, 790.04, 784.45},
		{"methyl ethyl ketone", 0.00135, 810.32, 804.91, 793.96, 0, 0},
		{"methyl isobutyl ketone", 0.00111, 805.15, 800.72, 791.75, 0, 0},
		{"ethyl acetate", 0.00130, 905.31, 899.49, 887.69, 0, 0},
		{"n-butyl acetate", 0.00112, 885.82, 880.89, 870.92, 0, 0},
		{"toluene", 0.00105, 873.00, 868.47, 859.33, 867.19, 862.60},
		{"o-xylene", 0.00092, 883.96, 879.93, 871.81, 880.62, 876.63},
		{"m-xylene", 0.00096, 868.42, 864.30, 855.99, 864.18, 859.88},
		{"p-xylene", 0.00097, 865.02, 860.87, 852.50, 860.91, 856.32},
		{"ethylbenzene", 0.00098, 872.08, 867.84, 859.28, 866.46, 862.14},
		{"isopropanol", 0.00123, 791.53, 786.71, 776.90, 0, 0},
		{"1-butanol", 0.00103, 812.36, 808.21, 799.82, 0, 0},
	} {
		list = append(list,
			outside{s.name + " moved from 20 to 15 °C, kg/m³", perry, s.p15, 0.0003 * s.p15, sure(coating.AtTemperature(s.p20, 20, 15, s.perK))},
			outside{s.name + " moved from 20 to 30 °C, kg/m³", perry, s.p30, 0.0006 * s.p30, sure(coating.AtTemperature(s.p20, 20, 30, s.perK))},
		)
		if s.e25 != 0 {
			list = append(list, outside{s.name + " moved to 25 °C, other data set", coolprop, s.e25, 0.003 * s.e25, sure(coating.AtTemperature(s.p20, 20, 25, s.perK))})
		}
	}
	return list
}

func waterChecks() (list []outside) {
	const tanaka = "Tanaka et al., Metrologia 38 (2001) 301-309"
	table := map[int]float64{
		4: 999.9749, 5: 999.9668, 6: 999.9431, 7: 999.9045, 8: 999.8513, 9: 999.7839, 10: 999.7027, 11: 999.6081, 12: 999.5005,
		13: 999.3801, 14: 999.2474, 15: 999.1026, 16: 998.9459, 17: 998.7778, 18: 998.5984, 19: 998.4079, 20: 998.2067,
		21: 997.9950, 22: 997.7730, 23: 997.5408, 24: 997.2988, 25: 997.0470, 26: 996.7857, 27: 996.5151, 28: 996.2353,
		29: 995.9465, 30: 995.6488, 31: 995.3424, 32: 995.0275, 33: 994.7041, 34: 994.3724, 35: 994.0326,
	}
	for c := 4; c <= 35; c++ {
		list = append(list, outside{fmt.Sprintf("water at %d °C, kg/m³", c), tanaka, table[c], 0.001, func() (float64, error) {
			rho, err := coating.WaterDensityGML(float64(c))
			return rho * 1000, err
		}})
	}
	return list
}
