package coating_test

import (
	"fmt"
	"strconv"
	"strings"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// recipe is "4:1:1" with densities "1.42,1.06,0.87".
func recipe(ratio, densities string) mix.Recipe {
	r := mix.Recipe{ID: "check", Name: "check", Basis: mix.ByVolume}
	d := strings.Split(densities, ",")
	for i, part := range strings.Split(ratio, ":") {
		parts, _ := strconv.ParseFloat(part, 64)
		gml, _ := strconv.ParseFloat(d[i], 64)
		r.Components = append(r.Components, mix.Component{
			Name: fmt.Sprint("component ", i+1), Role: mix.RoleBase, Parts: parts,
			Density: mix.Density{GPerML: gml, ReferenceC: 20, Source: "check"}, Tolerance: 0.03,
		})
	}
	return r
}

func withTenPercent(of mix.Of) mix.Recipe {
	r := recipe("2:1", "0.98,1.05")
	r.Components = append(r.Components, mix.Component{Name: "reducer", Role: mix.RoleReducer, Percent: 10, Of: of,
		Density: mix.Density{GPerML: 0.87, ReferenceC: 20, Source: "check"}, Tolerance: 0.05})
	return r
}

// planned picks a figure out of a plan.
func planned(r mix.Recipe, a mix.Amount, pick func(mix.Plan) float64) func() (float64, error) {
	return func() (float64, error) {
		p, err := r.Plan(a)
		return pick(p), err
	}
}

func gramsOf(i int) func(mix.Plan) float64 {
	return func(p mix.Plan) float64 { return p.Targets[i].MassG }
}

func shareOf(i int) func(mix.Plan) float64 {
	return func(p mix.Plan) float64 { return p.Targets[i].MassFraction }
}

// mixChecks are the ratios: m = φ·V·ρ, ideal volumes as ASTM D5201 takes them.
func mixChecks() []outside {
	const source = "computed by hand from the definitions (ideal volumes, ASTM D5201 scope)"
	p411, p10030 := recipe("4:1:1", "1.42,1.06,0.87"), recipe("100:30", "1.35,1.10")
	litre := mix.Amount{Kind: mix.AmountVolume, ML: 600}
	part := mix.Amount{Kind: mix.AmountVolume, ML: 660}
	half := mix.Amount{Kind: mix.AmountMass, Grams: 500}
	over := mix.Amount{Kind: mix.AmountFirst, Grams: 590}
	weight := p10030
	weight.Basis = mix.ByWeight
	return []outside{
		{"T1 first component, g", source, 568.0, 0.0568, planned(p411, litre, gramsOf(0))},
		{"T1 second, g", source, 106.0, 0.0106, planned(p411, litre, gramsOf(1))},
		{"T1 third, g", source, 87.0, 0.0087, planned(p411, litre, gramsOf(2))},
		{"T1 share of the first by mass", source, 0.746386, 1e-6, planned(p411, litre, shareOf(0))},
		{"T1 share of the second by mass", source, 0.139290, 1e-6, planned(p411, litre, shareOf(1))},
		{"T1 share of the third by mass", source, 0.114323, 1e-6, planned(p411, litre, shareOf(2))},
		{"T1 total, g", source, 761.0, 0.0761, planned(p411, litre, func(p mix.Plan) float64 { return p.TotalG })},
		{"T1 density of the mix, g/ml", source, 1.268333, 1e-6, planned(p411, litre, func(p mix.Plan) float64 { return p.DensityGML })},
		{"T2 10 % of A+B, first, g", source, 392.0, 0.0392, planned(withTenPercent(mix.OfParts), part, gramsOf(0))},
		{"T2 second, g", source, 210.0, 0.021, planned(withTenPercent(mix.OfParts), part, gramsOf(1))},
		{"T2 reducer, g", source, 52.2, 0.00522, planned(withTenPercent(mix.OfParts), part, gramsOf(2))},
		{"T2 total, g", source, 654.2, 0.0654, planned(withTenPercent(mix.OfParts), part, func(p mix.Plan) float64 { return p.TotalG })},
		{"T2 density of the mix, g/ml", source, 0.991212, 1e-6, planned(withTenPercent(mix.OfParts), part, func(p mix.Plan) float64 { return p.DensityGML })},
		{"T2b 10 % of A, share of the first", source, 0.615578, 1e-5, planned(withTenPercent(mix.OfFirst), part, shareOf(0))},
		{"T2b 10 % of the whole, share of the first", source, 0.593939, 1e-5, planned(withTenPercent(mix.OfWhole), part, shareOf(0))},
		{"T3 100:30 by volume, first, g", source, 401.786, 1e-3, planned(p10030, half, gramsOf(0))},
		{"T3 second, g", source, 98.214, 1e-3, planned(p10030, half, gramsOf(1))},
		{"T3 volume, ml", source, 386.905, 1e-3, planned(p10030, half, func(p mix.Plan) float64 { return p.TotalML })},
		{"T4 590 g of the first, second, g", source, 110.106, 1e-3, planned(p411, over, gramsOf(1))},
		{"T4 third, g", source, 90.370, 1e-3, planned(p411, over, gramsOf(2))},
		{"100:30 by weight, first, g", source, 384.615, 1e-3, planned(weight, half, gramsOf(0))},
		{"100:30 by weight, second, g", source, 115.385, 1e-3, planned(weight, half, gramsOf(1))},
		{"100:30 weighed as if by weight, hardener too much, %", source, 22.7, 0.05, func() (float64, error) {
			is, err := weight.Plan(half)
			if err != nil {
				return 0, err
			}
			right, err := p10030.Plan(half)
			per := func(p mix.Plan) float64 { return p.Targets[1].MassG / p.Targets[0].MassG }
			return 100 * (per(is)/per(right) - 1), err
		}},
	}
}

// needed picks a figure out of a job.
func needed(j coating.Job, pick func(coating.Need) float64) func() (float64, error) {
	return func() (float64, error) {
		n, err := coating.Amount(j)
		return pick(n), err
	}
}

func filmChecks() []outside {
	const geometry = "geometry: a litre at 1 µm covers 1000 m²"
	film := coating.Job{AreaM2: 1, Coats: 1, DryUM: 25, VolumeSolids: 0.45, Transfer: 1}
	mil := film
	mil.DryUM = coating.MicrometresPerMil
	job := coating.Job{AreaM2: 2, Coats: 2, DryUM: 25, VolumeSolids: 0.45, Transfer: 0.65}
	lost := job
	lost.Loss, lost.DeadML = 0.1, 30
	cover := func(n coating.Need) float64 { return n.CoverM2L }
	return []outside{
		{"T5 spreading rate, m²/l", geometry, 18.0, 1e-3, needed(film, cover)},
		{"T5 wet film, µm", geometry, 55.556, 1e-3, needed(film, func(n coating.Need) float64 { return n.WetUM })},
		{"T5 volume solids thinned by 0.20", geometry, 0.375, 1e-5, sure(coating.Thinned(0.45, 0.20))},
		{"T5 wet film thinned, µm", geometry, 66.667, 1e-3, sure(coating.WetFilmUM(25, coating.Thinned(0.45, 0.20)))},
		{"T6 spreading rate at 1 mil, ft²/gal", "1604 ft²·mil/gal, Paints & Coatings Resource Center, December 2007; exact 231/144·1000", 721.875, 0.1,
			func() (float64, error) {
				n, err := coating.Amount(mil)
				return n.CoverM2L * coating.LitresPerUSGallon / coating.M2PerSquareFoot, err
			}},
		{"T7 with nothing lost, l", geometry, 0.22222, 1e-5, needed(job, func(n coating.Need) float64 { return n.TheoreticalML / 1000 })},
		{"T7 at the gun, l", geometry + "; transfer efficiency as South Coast AQMD defines it", 0.34188, 1e-5, needed(job, func(n coating.Need) float64 { return n.AtGunML / 1000 })},
		{"practical spreading rate of T7 with 10 % lost, m²/l", "convention: 18.0·0.65·0.9, per coat", 10.53, 1e-3, needed(lost, func(n coating.Need) float64 {
			return lost.AreaM2 * float64(lost.Coats) / (n.MixML - lost.DeadML) * 1000
		})},
		{"T7 to mix with 10 % lost and 30 ml dead, l", "341.880/0.9 + 30, a convention", 0.409867, 1e-5, needed(lost, func(n coating.Need) float64 { return n.MixML / 1000 })},
		{"ft²·mil of a gallon", "231/144·1000, exact", 1604.1667, 1e-3, func() (float64, error) {
			full := mil
			full.VolumeSolids = 1
			n, err := coating.Amount(full)
			return n.CoverM2L * coating.LitresPerUSGallon / coating.M2PerSquareFoot, err
		}},
		{"T8 dry film from 100 g on 4 ft², mil", "Paints & Coatings Resource Center, December 2007", 3.722, 0.002,
			sure(coating.DryFromMassUM(100, coating.GramsPerLitre(9.5)/1000, 0.40, 4*coating.M2PerSquareFoot) / coating.MicrometresPerMil)},
		{"T9 volume solids of 4:1:1, %", "definition (ideal, ASTM D5201)", 44.667, 1e-3, func() (float64, error) {
			vs, err := coating.MixSolids([]float64{4, 1, 1}, []float64{0.52, 0.60, 0})
			return vs * 100, err
		}},
		{"T10 580 g/l in lb/gal", "231 in³ and 453.59237 g, NIST HB 44 appendix C", 4.8403, 1e-4, sure(coating.LbPerGallon(580))},
		{"T10 630 g/l in lb/gal", "231 in³ and 453.59237 g, NIST HB 44 appendix C", 5.2576, 1e-4, sure(coating.LbPerGallon(630))},
		{"T10 420 g/l in lb/gal", "231 in³ and 453.59237 g, NIST HB 44 appendix C", 3.5051, 1e-4, sure(coating.LbPerGallon(420))},
	}
}

// unitChecks hold every unit against its definition.
func unitChecks() []outside {
	const nist, inch = "NIST HB 44 appendix C", "the inch of 25.4 mm"
	return []outside{
		{"1 US gallon, l", nist + ": 231 cubic inches", 231 * 2.54 * 2.54 * 2.54 / 1000, 1e-12, sure(coating.LitresPerUSGallon)},
		{"1 UK gallon, l", "definition, from memory", 4.54609, 1e-9, sure(coating.LitresPerUKGallon)},
		{"1 US fluid ounce, ml", nist + ": 1/128 gallon", 29.5735295625, 1e-9, sure(coating.MLPerUSFluidOunce)},
		{"1 UK fluid ounce, ml", nist + ": 1/160 gallon", 28.4130625, 1e-9, sure(coating.MLPerUKFluidOunce)},
		{"US gallon in fluid ounces", "definition", 128, 1e-9, sure(coating.LitresPerUSGallon * 1000 / coating.MLPerUSFluidOunce)},
		{"UK gallon in fluid ounces", "definition", 160, 1e-9, sure(coating.LitresPerUKGallon * 1000 / coating.MLPerUKFluidOunce)},
		{"1 pound, g", nist, 453.59237, 1e-9, sure(coating.GramsPerPound)},
		{"1 ounce, g", nist + ": 1/16 pound", 28.349523125, 1e-9, sure(coating.GramsPerOunce)},
		{"1 lb/gal in g/l", "exact, from pound and gallon", 119.826427316897, 1e-9, sure(coating.GramsPerLitre(1))},
		{"1 g/l in lb/gal", "exact, from pound and gallon", 0.008345404452, 1e-12, sure(coating.LbPerGallon(1))},
		{"1 oz/gal in g/l", "exact, from ounce and gallon", 7.489151707, 1e-9, sure(coating.GramsPerOunce / coating.LitresPerUSGallon)},
		{"1 lb/UK gal in g/l", "exact, from pound and UK gallon", 99.776372663, 1e-9, sure(coating.GramsPerPound / coating.LitresPerUKGallon)},
		{"11 lb/UK gal as it is typed, g/ml", "exact, from pound and UK gallon", 11 * 0.099776372663, 1e-11, func() (float64, error) {
			d, err := mix.ParseDensity("11 lb/ukgal")
			return d.GPerML, err
		}},
		{"11.85 lb/gal as it is typed, g/ml", "exact, from pound and gallon", 11.85 * 0.119826427316897, 1e-12, func() (float64, error) {
			d, err := mix.ParseDensity("11.85 lb/gal")
			return d.GPerML, err
		}},
		{"1 mil, µm", inch, 25.4, 1e-12, sure(coating.MicrometresPerMil)},
		{"1 square foot, m²", inch, 0.3048 * 0.3048, 1e-12, sure(coating.M2PerSquareFoot)},
		{"1 ft²/gal in m²/l", "exact, from foot and gallon", 0.024542386747, 1e-12, sure(coating.M2PerSquareFoot / coating.LitresPerUSGallon)},
		{"77 °F in °C", "definition", 25, 1e-9, sure(coating.Celsius(77))},
		{"-40 °F in °C", "definition", -40, 1e-9, sure(coating.Celsius(-40))},
	}
}
