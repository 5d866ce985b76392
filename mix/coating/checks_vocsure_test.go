package coating_test

import (
	"math"

	"gramcup/mix/coating"
)

// vocSureChecks are worked by hand on the mixes of vocChecks: the sources of the
// VOC itself stand there.
func vocSureChecks() []outside {
	const (
		hand  = "JCGM 100 5.1.2 eq. (10), worked by hand: "
		whole = 0.005 // half of a whole per cent
	)
	round := whole / math.Sqrt(3)
	v1 := []coating.Part{composed(4000, 1.4, 0.40, 0, 0, 0), composed(1000, 1.06, 0.25, 0, 0, 0), composed(1000, 0.87, 1, 0, 0, 0)}
	tenth := []coating.Part{composed(400, 1.4, 0.40, 0, 0, 0), composed(100, 1.06, 0.25, 0, 0, 0), composed(100, 0.87, 1, 0, 0, 0)}
	exempt := []coating.Part{composed(1000, 1.2, 0.5, 0, 0.1, 0.79)}
	water := []coating.Part{composed(10, 1.020, 0.80, 0.66, 0, 0), composed(1, 0.997047, 1, 1, 0, 0)}
	stated := []coating.Part{plain(3000, 400), plain(1000, 800)}
	stated[0].DensityGML, stated[1].DensityGML = 1.2, 0.9
	of := func(pick func(coating.VOCSpread) float64, parts []coating.Part, readingG float64, known ...coating.PartU) func() (float64, error) {
		return func() (float64, error) {
			s, err := coating.MixVOCSpread(parts, append(known, make([]coating.PartU, len(parts)-len(known))...), readingG, 25)
			return pick(s), err
		}
	}
	all := func(s coating.VOCSpread) float64 { return s.Regulatory.AllGL() }
	material := func(s coating.VOCSpread) float64 { return s.Material.AllGL() }
	densities := []coating.PartU{{DensityGML: 0.004}, {DensityGML: 0.004}, {DensityGML: 0.003}}
	return []outside{
		{"V1 ± by the density of the base, g/l", hand + "562.5·4000/(1.40·6000) a g/ml, times 0.004", 1.0714286, 1e-6, of(all, v1, 0, densities[0])},
		{"V1 ± by all densities, g/l", hand + "√(1.07143² + 0.35377² + 0.32328²)", 1.1737215, 1e-6, of(all, v1, 0, densities...)},
		{"V1 ± by all densities, expanded, g/l", "twice that (JCGM 100, 6.3.3)", 2.347443, 2e-6, of(func(s coating.VOCSpread) float64 { return s.Regulatory.PlusMinusGL() }, v1, 0, densities...)},
		{"V1 ± of 40 % volatile to a whole per cent, g/l", hand + "5600/6000·1000·0.005/√3", 2.694301, 1e-6, of(all, v1, 0, coating.PartU{Volatile: round})},
		{"V1 ± of 40, 25 and 100 % volatile, g/l", hand + "√(2.69430² + 0.50999² + 0.20929²), 100 % being 99.5 to 100", 2.7501189, 1e-6,
			of(all, v1, 0, coating.PartU{Volatile: round}, coating.PartU{Volatile: round}, coating.PartU{Volatile: coating.RoundingOf(1, whole)})},
		{"V1 ± of the scale on 600 ml, g/l", "JCGM 100 5.2.2 eq. (13), worked by hand: 0.104083·√(0.00298² + 0.46479² + 1.05685² + 0.58908²)", 0.1349063, 1e-6, of(all, tenth, 0.104083)},
		{"V1 ± of the material, g/l", "as less water and exempt solvent: there is none", 1.1737215, 1e-6, of(material, v1, 0, densities...)},
		{"exempt solvent ± of 10 % to a whole per cent, g/l", hand + "(-1200 + 0.565970·1200/0.79)/848.101·1000·0.005/√3", 1.1583017, 1e-6, of(all, exempt, 0, coating.PartU{Exempt: round})},
		{"exempt solvent ± of its density of 0.01, g/l", hand + "0.565970·120/0.79²/848.101·1000·0.01", 1.2831366, 1e-6, of(all, exempt, 0, coating.PartU{ExemptDensityGML: 0.01})},
		{"exempt solvent ± of the coating's density, g/l", hand + "0.565970·1200/1.2²/848.101·1000·0.006", 3.3366897, 1e-6, of(all, exempt, 0, coating.PartU{DensityGML: 0.006})},
		{"V3 water base ± of 66 % water, g/l less water", hand + "(-10.2 + 0.439647·10.2/0.997047)/3.24808·1000·0.005/√3", 5.0680017, 2e-6, of(all, water, 0, coating.PartU{Water: round})},
		{"V3 water base ± of 66 % water, g/l of the material", hand + "10.2/11·1000·0.005/√3", 2.6768058, 1e-6, of(material, water, 0, coating.PartU{Water: round})},
		{"stated 400 and 800, ± of the first to 10 g/l", hand + "3/4·10/√12", 2.1650635, 1e-6, of(all, stated, 0, coating.PartU{StatedGL: 10 / math.Sqrt(12)})},
		{"stated 400 and 800, ± of the density 0.90", hand + "(800-500)·1000/(0.90·4000)·0.005", 0.4166667, 1e-6, of(all, stated, 0, coating.PartU{}, coating.PartU{DensityGML: 0.005})},
		{"a share of 40 % to a whole per cent, standard", "half of 1 % over √3 (JCGM 100, 4.3.7)", 0.00288675, 1e-8, sure(coating.RoundingOf(0.40, whole))},
		{"a share of 100 % to a whole per cent, standard", "99.5 to 100 %: 0.5 % over √12", 0.00144338, 1e-8, sure(coating.RoundingOf(1, whole))},
		{"two stages of ± 6 and ± 4 g/l", "as off the same way: (6 + 2·4)/3", 14.0 / 3, 1e-9, sure(coating.MultiStagePlusMinus(6, nil, 4))},
		{"three stages of ± 6, ± 5 and ± 4 g/l", "as off the same way: (6 + 5 + 2·4)/4", 4.75, 1e-9, sure(coating.MultiStagePlusMinus(6, []float64{5}, 4))},
	}
}
