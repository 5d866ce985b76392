package mix_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// withPercent adds a component that is given as a percentage.
func withPercent(t testing.TB, r mix.Recipe, percent float64, of mix.Of, density string) mix.Recipe {
	d, err := mix.ParseDensity(density)
	require.NoError(t, err)
	r.Components = append(r.Components, mix.Component{Name: "extra", Role: mix.RoleReducer, Percent: percent, Of: of, Density: d, Tolerance: 0.05})
	return r
}

func byWeight(r mix.Recipe) mix.Recipe { r.Basis = mix.ByWeight; return r }

// TestPlan works out whole plans. Every figure is computed by hand from the
// formulas named on its row: with volume parts r and densities ρ, the share of
// the mass is w = rρ/Σrρ, the mass for a volume V is m = V·r/Σr·ρ (definition;
// ideal volumes, as ASTM D5201 assumes).
func TestPlan(t *testing.T) {
	p411 := recipeOf(t, "4:1:1", "1.42,1.06,0.87")
	p21 := recipeOf(t, "2:1", "0.98,1.05")
	p10030 := recipeOf(t, "100:30", "1.35,1.10")
	for _, row := range []struct {
		name, source string
		recipe       mix.Recipe
		amount       mix.Amount
		grams        []float64
		fractions    []float64
		totalG       float64
		totalML      float64
		density      float64
		tolerance    float64 // relative
	}{
		{name: "4:1:1, 600 ml", source: "m = V·φ·ρ: 400·1.42, 100·1.06, 100·0.87; w = m/761; ρ = 761/600",
			recipe: p411, amount: volume(600), grams: []float64{568, 106, 87}, fractions: []float64{0.746386, 0.139290, 0.114323},
			totalG: 761, totalML: 600, density: 1.268333, tolerance: 1e-5},
		{name: "2:1 + 10 % of A+B, 660 ml", source: "2:1:0.3 of 3.3 in 660: 400·0.98, 200·1.05, 60·0.87; ρ = 654.2/660",
			recipe: withPercent(t, p21, 10, mix.OfParts, "0.87"), amount: volume(660), grams: []float64{392, 210, 52.2},
			totalG: 654.2, totalML: 660, density: 0.991212, tolerance: 1e-5},
		{name: "2:1 + 10 % of A", source: "2:1:0.2: w_A = 1.96/(1.96 + 1.05 + 0.174)",
			recipe: withPercent(t, p21, 10, mix.OfFirst, "0.87"), amount: mass(1), fractions: []float64{0.615578}, tolerance: 1e-5},
		{name: "2:1 + 10 % of A+B", source: "2:1:0.3: w_A = 392/654.2",
			recipe: withPercent(t, p21, 10, mix.OfParts, "0.87"), amount: mass(1), fractions: []float64{0.599205}, tolerance: 1e-5},
		{name: "2:1 + 10 % of the whole", source: "2:1:⅓: w_A = 1.96/(1.96 + 1.05 + 0.29)",
			recipe: withPercent(t, p21, 10, mix.OfWhole, "0.87"), amount: mass(1), fractions: []float64{0.593939}, tolerance: 1e-5},
		{name: "100:30 by volume, 500 g", source: "w = 135/168, 33/168; V = m_A/1.35 + m_B/1.10",
			recipe: p10030, amount: mass(500), grams: []float64{401.785714, 98.214286}, totalG: 500, totalML: 386.904762, tolerance: 1e-8},
		{name: "100:30 by weight, 500 g", source: "w = 100/130, 30/130",
			recipe: byWeight(p10030), amount: mass(500), grams: []float64{384.615385, 115.384615}, totalG: 500, tolerance: 1e-8},
		{name: "4:1:1 from 590 g of A", source: "scale 590/568 of the first row",
			recipe: p411, amount: mix.Amount{Kind: mix.AmountFirst, Grams: 590}, grams: []float64{590, 110.106, 90.370}, tolerance: 5e-6},
		{name: "by weight for a volume", source: "1/ρ = Σ w/ρ: 130 g of 100:30 fill 100/1.35 + 30/1.10 = 101.346801 ml",
			recipe: byWeight(p10030), amount: volume(101.346801), grams: []float64{100, 30}, density: 130 / 101.346801, tolerance: 1e-8},
		{name: "as poured shows 100 g of A", source: "first row times 100/568",
			recipe: p411, amount: mix.Amount{Kind: mix.AmountAsPoured}, grams: []float64{100, 18.661972, 15.316901}, tolerance: 1e-7},
	} {
		t.Run(row.name, func(t *testing.T) {
			p, err := row.recipe.Plan(row.amount)
			require.NoError(t, err)
			for i, g := range row.grams {
				assert.InEpsilon(t, g, p.Targets[i].MassG, row.tolerance, "%s: component %d, %s", row.name, i, row.source)
			}
			for i, f := range row.fractions {
				assert.InDelta(t, f, p.Targets[i].MassFraction, row.tolerance, row.source)
			}
			for _, total := range [][2]float64{{row.totalG, p.TotalG}, {row.totalML, p.TotalML}, {row.density, p.DensityGML}} {
				if total[0] != 0 {
					assert.InEpsilon(t, total[0], total[1], row.tolerance, row.source)
				}
			}
		})
	}
}

// TestRatioByWeightOfATinThatMeansVolume is the slip that the program is for.
func TestRatioByWeightOfATinThatMeansVolume(t *testing.T) {
	t.Run("2:1 by volume and 39 g of reducer to 100 g of primer", func(t *testing.T) {
		// Common practice, no source: such a tin. Both hold only if the primer
		// is 0.5/0.39 = 1.282 times as dense as the reducer, so 2:1 by weight
		// puts in 50 g where 39 g belong: 28 % too much.
		r := recipeOf(t, "2:1", "1.0,1.0")
		r.Components[0].Density.GPerML = 0.87 * 0.5 / 0.39
		r.Components[1].Density.GPerML = 0.87
		first := mix.Amount{Kind: mix.AmountFirst, Grams: 100}
		right, err := r.Plan(first)
		require.NoError(t, err)
		assert.InEpsilon(t, 39, right.Targets[1].MassG, 1e-12)
		assert.InDelta(t, 1.282, r.Components[0].Density.GPerML/r.Components[1].Density.GPerML, 5e-4)
		wrong, err := byWeight(r).Plan(first)
		require.NoError(t, err)
		assert.InDelta(t, 0.28, wrong.Targets[1].MassG/right.Targets[1].MassG-1, 0.005)
	})
	t.Run("100:30", func(t *testing.T) {
		// Computed: 0.3 · 1.10/1.35 = 0.2444 g of hardener to a gram of base by
		// volume, 0.3 by weight, 22.7 % more.
		r := recipeOf(t, "100:30", "1.35,1.10")
		right, err := r.Plan(mass(500))
		require.NoError(t, err)
		wrong, err := byWeight(r).Plan(mass(500))
		require.NoError(t, err)
		perGram := right.Targets[1].MassG / right.Targets[0].MassG
		assert.InDelta(t, 0.2444, perGram, 5e-5)
		assert.InDelta(t, 22.7, 100*(wrong.Targets[1].MassG/wrong.Targets[0].MassG/perGram-1), 0.05)
	})
}

// solvent is a pure liquid of two independent sources, kg/m³ at 20 °C.
type solvent struct {
	name            string
	perry, equation float64
}

// solvents: perry is equation 105 of table 2-32 of Perry's Chemical Engineers'
// Handbook, 8th edition, with the parameters as the open library
// CalebBell/chemicals carries them (commit 82faef9); equation is the saturated
// liquid of the reference equations (Lemmon & Span 2006, Zhou 2012) as CoolProp
// carries them (commit ea27c63). The two differ by up to 0.3 %.
var solvents = []solvent{
	{"acetone", 792.24, 790.04},
	{"toluene", 868.47, 867.19},
	{"o-xylene", 879.93, 880.62},
	{"m-xylene", 864.30, 864.18},
	{"p-xylene", 860.87, 860.91},
	{"ethylbenzene", 867.84, 866.46},
}

// TestMixturesOfRealSolvents mixes pairs by volume with one source's densities
// and holds the mix against the other's: the masses, the density both ways
// (ρ = Σφρ and 1/ρ = Σw/ρ), and a ratio by weight.
func TestMixturesOfRealSolvents(t *testing.T) {
	const honest = 0.003
	of := func(ratio string, a, b float64) mix.Recipe {
		r := recipeOf(t, ratio, "1,1")
		r.Components[0].Density.GPerML, r.Components[1].Density.GPerML = a/1000, b/1000
		return r
	}
	for i, a := range solvents {
		for _, b := range solvents[i+1:] {
			t.Run(a.name+" and "+b.name, func(t *testing.T) {
				p, err := of("3:1", a.perry, b.perry).Plan(volume(400))
				require.NoError(t, err)
				assert.InEpsilon(t, 0.3*a.perry, p.Targets[0].MassG, 1e-12)
				assert.InEpsilon(t, 0.1*b.perry, p.Targets[1].MassG, 1e-12)
				assert.InEpsilon(t, (0.75*a.perry+0.25*b.perry)/1000, p.DensityGML, 1e-12, "ρ = Σφρ")
				q, err := of("3:1", a.equation, b.equation).Plan(volume(400))
				require.NoError(t, err)
				for k := range 2 {
					assert.InEpsilon(t, q.Targets[k].MassG, p.Targets[k].MassG, honest, "two sources, one mix")
				}
				assert.InEpsilon(t, q.DensityGML, p.DensityGML, honest)

				w, err := byWeight(of("3:1", a.perry, b.perry)).Plan(mass(400))
				require.NoError(t, err)
				assert.InEpsilon(t, 300/a.perry*1000, w.Targets[0].VolumeML, 1e-12)
				assert.InEpsilon(t, 1000*400/(300/a.equation+100/b.equation)/1e6, w.DensityGML, honest, "1/ρ = Σw/ρ")
			})
		}
	}
}

// TestDensityUnits reads densities as sheets print them. The US gallon is 231
// cubic inches and the pound 453.59237 g (NIST Handbook 44, appendix C); the
// imperial gallon is 4.54609 L (from memory).
func TestDensityUnits(t *testing.T) {
	for _, row := range []struct {
		text   string
		gPerML float64
		source string
	}{
		{"1.42", 1.42, "a bare number is g/mL"},
		{" 1.42 g/mL ", 1.42, "definition"},
		{"1.42 kg/L", 1.42, "definition"},
		{"1420 g/L", 1.42, "definition"},
		{"1420 kg/m3", 1.42, "definition"},
		{"1420 kg/m³", 1.42, "definition"},
		{"10 lb/gal", 1.19826427316897, "1 lb/US gal = 119.826427316897 g/L"},
		{"10 lb/usgal", 1.19826427316897, "the same, named"},
		{"10 LB/GAL", 1.19826427316897, "as labels shout"},
		{"8.345404452 lb/gal", 1, "1 g/mL = 8.345404452 lb/US gal"},
		{"10 lb/ukgal", 0.99776372663, "1 lb/UK gal = 99.776372663 g/L"},
		{"10.3871 lb/gal", 1.24465, "weight-per-gallon cup example: 62.115 g in 49.9057 mL"},
		{"7.34 lb/gal", 0.879526, "7.34 · 0.119826427316897"},
	} {
		d, err := mix.ParseDensity(row.text)
		if assert.NoError(t, err, row.text) {
			assert.InEpsilon(t, row.gPerML, d.GPerML, 1e-5, "%s: %s", row.text, row.source)
			assert.True(t, d.Known())
			assert.Equal(t, 20.0, d.ReferenceC)
		}
	}
	us, err := mix.ParseDensity("10 lb/gal")
	require.NoError(t, err)
	uk, err := mix.ParseDensity("10 lb/ukgal")
	require.NoError(t, err)
	assert.InEpsilon(t, 4546.09/3785.411784, us.GPerML/uk.GPerML, 1e-12, "the same words, a fifth apart")
}
