package mix_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/mix"
)

// drawRecipe is any recipe that a tin could carry: 2 to 5 components, parts
// and percentages of all three kinds, densities of paint.
func drawRecipe(t *rapid.T) mix.Recipe {
	roles := []mix.Role{mix.RoleBase, mix.RoleHardener, mix.RoleReducer, mix.RoleAdditive, mix.RoleAdditive}
	names := []string{"base", "hardener", "reducer", "flattener", "drier"}
	r := mix.Recipe{ID: "r", Name: "drawn", Basis: rapid.SampledFrom([]mix.Basis{mix.ByVolume, mix.ByWeight}).Draw(t, "basis")}
	n := rapid.IntRange(2, 5).Draw(t, "components")
	for i := range n {
		c := mix.Component{Name: names[i], Role: roles[i],
			Density:   mix.Density{GPerML: rapid.Float64Range(0.6, 3).Draw(t, "density"), ReferenceC: 20},
			Tolerance: rapid.SampledFrom([]float64{0, 0.01, 0.02, 0.03, 0.05}).Draw(t, "tolerance"),
			PricePerL: rapid.SampledFrom([]float64{0, 12.5, 90}).Draw(t, "price")}
		if i > 0 && rapid.IntRange(0, 3).Draw(t, "kind of share") == 0 {
			c.Percent = rapid.Float64Range(2, 18).Draw(t, "percent")
			c.Of = rapid.SampledFrom([]mix.Of{mix.OfFirst, mix.OfParts, mix.OfWhole}).Draw(t, "of")
		} else {
			c.Parts = rapid.SampledFrom([]float64{0.5, 1, 2, 3, 4, 5, 7, 10}).Draw(t, "parts")
		}
		r.Components = append(r.Components, c)
	}
	return r
}

func drawAmount(t *rapid.T) mix.Amount {
	size := rapid.Float64Range(100, 3000).Draw(t, "size")
	switch kind := rapid.SampledFrom([]mix.AmountKind{mix.AmountVolume, mix.AmountMass, mix.AmountFirst}).Draw(t, "kind"); kind {
	case mix.AmountVolume:
		return volume(size)
	case mix.AmountFirst: // with half a part of it the whole can be fifty times as much
		return mix.Amount{Kind: kind, Grams: size / 30}
	default:
		return mass(size)
	}
}

const tiny = 1e-9 // relative error of a few float64 operations, with room

func TestPlanProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, a := drawRecipe(t), drawAmount(t)
		p, err := r.Plan(a)
		require.NoError(t, err)

		var w, v, g, ml float64
		for _, x := range p.Targets[:p.N] {
			w, v, g, ml = w+x.MassFraction, v+x.VolumeFraction, g+x.MassG, ml+x.VolumeML
			require.Positive(t, x.MassG)
		}
		require.InEpsilon(t, 1, w, tiny, "mass fractions are a whole")
		require.InEpsilon(t, 1, v, tiny, "volume fractions are a whole")
		require.InEpsilon(t, p.TotalG, g, tiny)
		require.InEpsilon(t, p.TotalML, ml, tiny)

		// Density both ways: ρ = Σφρ and 1/ρ = Σw/ρ.
		var rho, inverse float64
		for i, x := range p.Targets[:p.N] {
			d := r.Components[i].Density.GPerML
			rho += x.VolumeFraction * d
			inverse += x.MassFraction / d
			require.InEpsilon(t, x.MassG, x.VolumeML*d, tiny)
		}
		require.InEpsilon(t, p.DensityGML, rho, tiny)
		require.InEpsilon(t, p.DensityGML, 1/inverse, tiny)

		// The amount is what was asked for.
		switch a.Kind {
		case mix.AmountVolume:
			require.InEpsilon(t, a.ML, p.TotalML, tiny)
		case mix.AmountMass:
			require.InEpsilon(t, a.Grams, p.TotalG, tiny)
		case mix.AmountFirst:
			require.InEpsilon(t, a.Grams, p.Targets[0].MassG, tiny)
		}

		// Twice as much is twice of each.
		k := rapid.Float64Range(0.5, 10).Draw(t, "factor")
		q, err := r.Plan(mix.Amount{Kind: a.Kind, ML: a.ML * k, Grams: a.Grams * k})
		require.NoError(t, err)
		for i := range p.Targets[:p.N] {
			require.InEpsilon(t, k*p.Targets[i].MassG, q.Targets[i].MassG, tiny)
		}

		// A volume and the mass of that volume are one plan.
		byVolume, err := r.Plan(volume(p.TotalML))
		require.NoError(t, err)
		byMass, err := r.Plan(mass(p.TotalG))
		require.NoError(t, err)
		for i := range p.Targets[:p.N] {
			require.InEpsilon(t, byVolume.Targets[i].MassG, byMass.Targets[i].MassG, tiny)
		}
	})
}

// TestPercentagesMeanWhatTheySay holds the shares against the definition, in
// the recipe's own basis.
func TestPercentagesMeanWhatTheySay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t)
		p, err := r.Plan(mass(1000))
		require.NoError(t, err)
		share := func(i int) float64 {
			if r.Basis == mix.ByWeight {
				return p.Targets[i].MassG
			}
			return p.Targets[i].VolumeML
		}
		var whole, inParts float64
		for i, c := range r.Components {
			whole += share(i)
			if c.Percent == 0 {
				inParts += share(i)
			}
		}
		for i, c := range r.Components {
			switch {
			case c.Percent == 0:
				require.InEpsilon(t, share(0)*c.Parts, share(i)*r.Components[0].Parts, tiny, "parts are to each other as printed")
			case c.Of == mix.OfFirst:
				require.InEpsilon(t, c.Percent/100*share(0), share(i), tiny)
			case c.Of == mix.OfParts:
				require.InEpsilon(t, c.Percent/100*inParts, share(i), tiny)
			case c.Of == mix.OfWhole:
				require.InEpsilon(t, c.Percent/100*whole, share(i), tiny)
			}
		}
	})
}

func TestLevelUpProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, a := drawRecipe(t), drawAmount(t)
		p, err := r.Plan(a)
		require.NoError(t, err)
		// Poured so far: each component anything from nothing to half too much.
		poured := make([]float64, p.N)
		var before float64
		for i := range poured {
			poured[i] = p.Targets[i].MassG * rapid.Float64Range(0, 1.5).Draw(t, "poured")
			before += poured[i]
		}
		rescue, err := p.LevelUp(poured)
		require.NoError(t, err)
		require.GreaterOrEqual(t, rescue.Factor, 1.0)

		step := division.Grams()
		after := make([]float64, p.N)
		var sum float64
		for i := range poured {
			require.GreaterOrEqual(t, rescue.AddG[i], 0.0, "never take out")
			// What a hand can do: add to the nearest step of the scale.
			after[i] = poured[i] + math.Round(rescue.AddG[i]/step)*step
			require.InDelta(t, p.Targets[i].MassG*rescue.Factor, after[i], step/2+tiny*after[i], "the ratio holds within a division")
			sum += rescue.AddG[i]
		}
		require.InEpsilon(t, rescue.Plan.TotalG, before+sum, tiny, "poured and added are the new whole")
		require.InDelta(t, rescue.TotalG, sum, tiny)
		require.InEpsilon(t, p.TotalG*rescue.Factor, rescue.Plan.TotalG, tiny)
		for i := range p.Targets[:p.N] {
			require.InEpsilon(t, p.Targets[i].MassFraction, rescue.Plan.Targets[i].MassG/rescue.Plan.TotalG, tiny, "it is the same mix")
		}

		// Leveled up, there is nothing more to level up.
		for i := range after {
			after[i] = poured[i] + rescue.AddG[i]
		}
		again, err := rescue.Plan.LevelUp(after)
		require.NoError(t, err)
		require.InEpsilon(t, 1, again.Factor, tiny)
		require.InDelta(t, 0, again.TotalG, tiny*rescue.Plan.TotalG)
	})
}

// TestLevelUpRefusals: amounts that no cup holds.
func TestLevelUpRefusals(t *testing.T) {
	p, err := recipeOf(t, "3:1", "1.05,1.05").Plan(mass(214))
	require.NoError(t, err)
	for _, row := range []struct {
		poured []float64
		want   string
	}{
		{[]float64{1, 2, 3}, "3 poured amounts for 2 components: give at most one for each"},
		{[]float64{1, -2}, "poured amount 2 is -2 g: it must be 0 or more"},
		{[]float64{math.NaN()}, "poured amount 1 is NaN g: it must be 0 or more"},
		{[]float64{1, math.Inf(1)}, "poured amount 2 is +Inf g: it must be 0 or more"},
	} {
		_, err := p.LevelUp(row.poured)
		require.EqualError(t, err, row.want)
	}
	none, err := p.LevelUp(nil)
	require.NoError(t, err)
	require.Equal(t, 1.0, none.Factor)
	require.InEpsilon(t, 214, none.TotalG, tiny)
}
