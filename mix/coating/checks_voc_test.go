package coating_test

import (
	"gramcup/mix"
	"gramcup/mix/coating"
)

// plain is a part whose VOC is stated, without water and exempt solvent.
func plain(ml, gl float64) coating.Part {
	return coating.Part{Name: "part", VolumeML: ml, StatedGL: gl, Plain: true}
}

func composed(ml, gml, volatile, water, exempt, exemptGML float64) coating.Part {
	return coating.Part{Name: "part", VolumeML: ml, DensityGML: gml, Composed: true, Volatile: volatile, Water: water, Exempt: exempt, ExemptDensityGML: exemptGML}
}

// lbGal works in the units of American guidance: volumes in gallons, VOC in
// lb/gal.
func lbGal(parts ...[2]float64) func() (float64, error) {
	return func() (float64, error) {
		var list []coating.Part
		for _, p := range parts {
			list = append(list, plain(p[0]*coating.LitresPerUSGallon*1000, coating.GramsPerLitre(p[1])))
		}
		v, err := coating.MixVOC(list, 25)
		return coating.LbPerGallon(v.MaterialGL), err
	}
}

func voc(pick func(coating.VOC) float64, celsius float64, parts ...coating.Part) func() (float64, error) {
	return func() (float64, error) {
		v, err := coating.MixVOC(parts, celsius)
		return pick(v), err
	}
}

func material(v coating.VOC) float64   { return v.MaterialGL }
func regulatory(v coating.VOC) float64 { return v.RegulatoryGL }
func european(v coating.VOC) float64   { return v.EuropeanGL }
func whole(v coating.VOC) float64      { return v.EuropeanWholeGL }

func inPounds(pick func(coating.VOC) float64) func(coating.VOC) float64 {
	return func(v coating.VOC) float64 { return coating.LbPerGallon(pick(v)) }
}

func reducer(limitGL float64, mix, red coating.Part, ml float64) func() (float64, error) {
	return func() (float64, error) {
		a, err := coating.MixVOC([]coating.Part{mix}, 25)
		if err != nil {
			return 0, err
		}
		y, err := coating.MostReducer(a, red, limitGL, coating.BasisMaterial, 25)
		return y / ml, err
	}
}

func vocChecks() []outside {
	const guide = "Metal Finishing Organic Finishing Guidebook, appendix B, "
	const gal = coating.LitresPerUSGallon * 1000
	w6 := []coating.Part{
		composed(60, coating.GramsPerLitre(10.5)/1000, 0.62, 0, 0, 0),
		composed(30, coating.GramsPerLitre(7.5)/1000, 1, 0, 0, 0),
		composed(10, coating.GramsPerLitre(6.75)/1000, 0.49, 0, 0, 0),
	}
	w5 := composed(gal, coating.GramsPerLitre(8.52)/1000, 1-0.208, 0.530, 0, 0)
	w4 := composed(4*gal, 1, 0, 0, 0, 0) // 3 and 1 gal at 3.1 and 1.8 lb/gal, then 7 of water
	w4.Composed, w4.Plain, w4.StatedGL = false, true, coating.GramsPerLitre((3*3.1+1.8)/4)
	water := composed(7*gal, 0.99705, 1, 1, 0, 0)
	v1 := []coating.Part{composed(4000, 1.4, 0.40, 0, 0, 0), composed(1000, 1.06, 0.25, 0, 0, 0), composed(1000, 0.87, 1, 0, 0, 0)}
	v2 := []coating.Part{v1[0], v1[1], composed(1000, 0.79, 1, 0, 1, 0.79)}
	// "10:1 with water": ten volumes of base at 80 % volatile, of which water is
	// 66 % of the coating, and one of water.
	v3 := []coating.Part{composed(10, 1.020, 0.80, 0.66, 0, 0), composed(1, 0.997047, 1, 1, 0, 0)}
	per := func(lb float64) func() (float64, error) {
		return func() (float64, error) { return coating.PerSolidsLbGal(lb) }
	}
	stages := func(base float64, mids []float64, clear float64) func() (float64, error) {
		return func() (float64, error) { return coating.MultiStage(base, mids, clear) }
	}
	const colorado = "Colorado 5 CCR 1001-29 appendix E, 7.36 lb/gal"
	const calc = "computed from the definition in 40 CFR 59.104(a)(1)"
	return []outside{
		{"W1 thinned, lb/gal", guide + "table I", 3.36, 0.005, lbGal([2]float64{1, 2.5}, [2]float64{0.25, 6.8})},
		{"W2 in full precision, lb/gal", "15.9 lb in 5 gal, 6.4 lb/gal, computed", 3.4727, 5e-5, lbGal([2]float64{5, 3.18}, [2]float64{0.5, 6.4})},
		{"W3 in full precision, gal", "(5·3.5 - 15.9)/(6.4 - 3.5), computed", 0.55172, 5e-6,
			reducer(coating.GramsPerLitre(3.5), plain(5*gal, coating.GramsPerLitre(3.18)), plain(gal, coating.GramsPerLitre(6.4)), gal)},
		{"W2 base mix, lb/gal", guide + "tables II to IV (totals only: its component figures do not add up)", 3.18, 0.005, lbGal([2]float64{5, 3.18})},
		{"W2 with 0.25 gal thinner, lb/gal", guide + "tables II to IV", 3.33, 0.005, lbGal([2]float64{5, 3.18}, [2]float64{0.25, 6.4})},
		{"W2 with 0.5 gal thinner, lb/gal", guide + "tables II to IV", 3.47, 0.005, lbGal([2]float64{5, 3.18}, [2]float64{0.5, 6.4})},
		{"W3 most thinner for 3.5 lb/gal, gal", guide + "table V", 0.55, 0.005,
			reducer(coating.GramsPerLitre(3.5), plain(5*gal, coating.GramsPerLitre(3.18)), plain(gal, coating.GramsPerLitre(6.4)), gal)},
		{"W4 with water, lb/gal less water", guide + "table VI, 2.775 where it prints a truncated 2.75", 2.775, 0.005,
			func() (float64, error) {
				v, err := coating.MixVOC([]coating.Part{w4, water}, 25)
				return coating.LbPerGallon(v.RegulatoryGL), err
			}},
		{"W5 less water, lb/gal", "Paints & Coatings Resource Center, March 2004 (its water is 8.33 lb/gal: 0.3 % allowed)", 4.87, 0.015,
			func() (float64, error) {
				v, err := coating.MixVOC([]coating.Part{w5}, 25)
				return coating.LbPerGallon(v.RegulatoryGL), err
			}},
		{"W5 actual, lb/gal", "Paints & Coatings Resource Center, March 2004", 2.23, 0.005,
			func() (float64, error) {
				v, err := coating.MixVOC([]coating.Part{w5}, 25)
				return coating.LbPerGallon(v.MaterialGL), err
			}},
		{"W6 three parts, lb/gal", "Michigan DEQ worksheet, January 2005, inputs; averaged by mass, not by its 72.1 % by volume", 6.48675, 1e-4,
			func() (float64, error) {
				v, err := coating.MixVOC(w6, 25)
				return coating.LbPerGallon(v.MaterialGL), err
			}},
		{"W6 three parts, % by weight", "the same; density of the mix 9.225 lb/gal", 70.317, 1e-3,
			func() (float64, error) {
				v, err := coating.MixVOC(w6, 25)
				return coating.LbPerGallon(v.MaterialGL) / 9.225 * 100, err
			}},
		{"W7 3.7 lb/gal per solids", colorado, 7.4, 0.05, per(3.7)},
		{"W7 2.8 lb/gal per solids", colorado, 4.5, 0.05, per(2.8)},
		{"W7 4.2 lb/gal per solids", colorado, 9.8, 0.05, per(4.2)},
		{"W7 2.6 lb/gal per solids", colorado, 4.0, 0.05, per(2.6)},
		{"W7 3.7 in full precision", "3.7/(1 - 3.7/7.36), computed", 7.4404, 5e-5, per(3.7)},
		{"W7 2.8 in full precision", "2.8/(1 - 2.8/7.36), computed", 4.5193, 5e-5, per(2.8)},
		{"W7 4.2 in full precision", "4.2/(1 - 4.2/7.36), computed", 9.7823, 5e-5, per(4.2)},
		{"W7 2.6 in full precision", "2.6/(1 - 2.6/7.36), computed", 4.0202, 5e-5, per(2.6)},
		{"W7 5.5 lb/gal per solids", colorado + ", 21.763 where it prints 21.7", 21.763, 0.001, per(5.5)},
		{"W8 4000 gal at 2.11 lb/gal, lb", "Mecklenburg County Air Quality, VOC emission examples", 8440, 0.5, func() (float64, error) {
			v, err := coating.MixVOC([]coating.Part{plain(4000*gal, coating.GramsPerLitre(2.11))}, 25)
			return v.MaterialGL * v.VolumeML / 1000 / coating.GramsPerPound, err
		}},
		{"W8 4000 gal at 2.11 lb/gal, short tons", "the same; a short ton is 2000 lb", 4.22, 0.005, func() (float64, error) {
			v, err := coating.MixVOC([]coating.Part{plain(4000*gal, coating.GramsPerLitre(2.11))}, 25)
			return v.MaterialGL * v.VolumeML / 1000 / coating.GramsPerPound / 2000, err
		}},
		{"W8 specific gravity 0.79, lb/gal", "the same; it takes water as 8.34 lb/gal: 0.3 % allowed", 6.59, 0.02, func() (float64, error) {
			water, err := coating.WaterDensityGML(25)
			return coating.LbPerGallon(0.79 * water * 1000), err
		}},
		{"W6 density of the mix, lb/gal", "Michigan DEQ worksheet, January 2005: by volume", 9.225, 1e-9, func() (float64, error) {
			r := recipe("60:30:10", "1,1,1")
			for i, lb := range []float64{10.5, 7.5, 6.75} {
				r.Components[i].Density.GPerML = coating.GramsPerLitre(lb) / 1000
			}
			p, err := r.Plan(mix.Amount{Kind: mix.AmountVolume, ML: 1000})
			return coating.LbPerGallon(p.DensityGML * 1000), err
		}},
		{"App. B example 3, lb/gal less water", guide + "example 3, 0.92: it prints 0.76 with solids and water swapped", 0.92, 0.005, func() (float64, error) {
			// by volume: water 52 %, solids 42 %, VOC 6 %, at 7.36 lb/gal
			v, err := coating.MixVOC([]coating.Part{plain(0.48*gal, coating.GramsPerLitre(0.06/0.48*7.36)), composed(0.52*gal, 0.99705, 1, 1, 0, 0)}, 25)
			return coating.LbPerGallon(v.RegulatoryGL), err
		}},
		{"V1 4:1:1, g/l", calc, 562.5, 0.05, voc(material, 25, v1...)},
		{"V1 4:1:1, lb/gal", calc, 4.694, 5e-4, voc(inPounds(material), 25, v1...)},
		{"V2 exempt reducer, regulatory lb/gal", calc, 4.181, 5e-4, voc(inPounds(regulatory), 25, v2...)},
		{"V2 exempt reducer, European whole g/l", "computed; acetone counts there (from memory), and nothing is taken off", 549.17, 0.005, voc(whole, 25, v2...)},
		{"exempt solvent of its own density, g/l", calc + ": 480/(1 - 120/790)", 565.97, 0.005, voc(regulatory, 25, composed(1000, 1.2, 0.5, 0, 0.1, 0.79))},
		{"V3 water base, European g/l", "computed: without exempt solvent as less water", 439.65, 0.005, voc(european, 25, v3...)},
		{"V3 water base, European whole g/l", "computed: as of the material", 129.82, 0.005, voc(whole, 25, v3...)},
		{"V1 4:1:1 regulatory, g/l", calc, 562.5, 0.05, voc(regulatory, 25, v1...)},
		{"V2 exempt reducer, material g/l", calc, 417.5, 0.05, voc(material, 25, v2...)},
		{"V2 exempt reducer, regulatory g/l", calc, 501.0, 0.05, voc(regulatory, 25, v2...)},
		{"V2 exempt reducer, European g/l", "computed; acetone counts there (from memory)", 549.2, 0.05, voc(european, 25, v2...)},
		{"V3 water base, material g/l", calc, 129.82, 0.005, voc(material, 25, v3...)},
		{"V3 water base, regulatory g/l", calc, 439.65, 0.005, voc(regulatory, 25, v3...)},
		{"V4 two stages, g/l", "(base + 2 clear)/3: Kern County APCD rule 410.4A, San Luis Obispo APCD rule 423", 573.33, 0.005, stages(720, nil, 500)},
		{"V5 three stages, g/l", "general form of 40 CFR 59.104(a)(2), from memory", 612.5, 0.005, stages(750, []float64{700}, 500)},
		{"V6 most reducer, l", "y = V(L-C)/(Cr-L)", 0.13333, 1e-5, reducer(420, plain(2000, 390), plain(1000, 870), 1000)},
	}
}
