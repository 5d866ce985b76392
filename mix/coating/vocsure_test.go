package coating_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix/coating"
)

// surelyMixed are three parts with water and exempt solvent in them, and how well
// each is known: a sheet's whole per cent, a measured density.
func surelyMixed() (parts []coating.Part, known []coating.PartU) {
	whole := coating.RoundingOf(0.5, 0.005)
	return []coating.Part{
			composed(400, 1.30, 0.55, 0.20, 0.05, 0.79),
			plain(100, 420),
			composed(100, 0.88, 0.98, 0.30, 0.25, 0.79),
		}, []coating.PartU{
			{DensityGML: 0.008, Volatile: whole, Water: whole, Exempt: whole, ExemptDensityGML: 0.01},
			{DensityGML: 0.006, StatedGL: 10 / math.Sqrt(12)},
			{DensityGML: 0.004, Volatile: whole, Water: whole, Exempt: whole, ExemptDensityGML: 0.01},
		}
}

// drawnVOC is a VOC drawn at random: readings and densities scatter, what a sheet
// rounds lies anywhere within its rounding.
func drawnVOC(t *testing.T, noise func() float64, flat func() float64, parts []coating.Part, known []coating.PartU, readingG float64) coating.VOC {
	rect := func(u float64) float64 { return u * math.Sqrt(12) * (flat() - 0.5) }
	drawn := make([]coating.Part, len(parts))
	last := readingG * noise()
	for i, p := range parts {
		now, u := readingG*noise(), known[i]
		mass := p.VolumeML*p.DensityGML + now - last
		last = now
		p.DensityGML += u.DensityGML * noise()
		p.VolumeML = mass / p.DensityGML
		p.Volatile, p.Water, p.Exempt = p.Volatile+rect(u.Volatile), p.Water+rect(u.Water), p.Exempt+rect(u.Exempt)
		p.ExemptDensityGML += rect(u.ExemptDensityGML)
		p.StatedGL += rect(u.StatedGL)
		drawn[i] = p
	}
	v, err := coating.MixVOC(drawn, 20)
	require.NoError(t, err)
	return v
}

// The formula against sixty thousand draws (JCGM 101: propagation of
// distributions), on every basis, each cause alone and all of them together.
func TestVOCAgainstMonteCarlo(t *testing.T) {
	const draws, readingG = 60_000, 0.6
	parts, known := surelyMixed()
	parts[1].DensityGML = 1.06
	bases := []coating.Basis{coating.BasisRegulatory, coating.BasisMaterial, coating.BasisEuropean, coating.BasisEuropeanWhole}
	var densities, sheets []coating.PartU
	for _, u := range known {
		densities = append(densities, coating.PartU{DensityGML: u.DensityGML})
		u.DensityGML = 0
		sheets = append(sheets, u)
	}
	none := make([]coating.PartU, len(parts))
	for _, c := range []struct {
		name     string
		known    []coating.PartU
		readingG float64
		of       func(coating.Spread) float64
	}{
		{"densities alone", densities, 0, func(s coating.Spread) float64 { return s.DensitiesGL }},
		{"sheets alone", sheets, 0, func(s coating.Spread) float64 { return s.SheetsGL }},
		{"scale alone", none, readingG, func(s coating.Spread) float64 { return s.ScaleGL }},
		{"all together", known, readingG, func(s coating.Spread) float64 { return s.AllGL() }},
	} {
		spread, err := coating.MixVOCSpread(parts, c.known, c.readingG, 20)
		require.NoError(t, err)
		rng := newNoise(5)
		sum, square := map[coating.Basis]float64{}, map[coating.Basis]float64{}
		for range draws {
			v := drawnVOC(t, rng.NormFloat64, rng.Float64, parts, c.known, c.readingG)
			for _, b := range bases {
				gl, err := v.On(b)
				require.NoError(t, err)
				sum[b], square[b] = sum[b]+gl, square[b]+gl*gl
			}
		}
		for _, b := range bases {
			mean := sum[b] / draws
			drawn := math.Sqrt(square[b]/draws - mean*mean)
			got := spread.On(b)
			t.Logf("%-16s %-31s formula %7.4f g/l, drawn %7.4f g/l, apart %+.2f %%", c.name, b, c.of(got), drawn, 100*(c.of(got)/drawn-1))
			assert.InEpsilon(t, drawn, c.of(got), 0.01, "%s, %s", c.name, b)
			assert.InDelta(t, got.AllGL(), c.of(got), 1e-12, "what is not in it adds nothing")
		}
	}
}

// A part that is poured by volume has no density that could be wrong; what can not
// be mixed has no uncertainty either.
func TestVOCSpreadWithoutADensity(t *testing.T) {
	parts, known := surelyMixed() // the second one has none
	known[1].StatedGL = 0
	spread, err := coating.MixVOCSpread(parts[1:2], known[1:2], 0.1, 20)
	require.NoError(t, err)
	assert.Zero(t, spread.Regulatory.AllGL())
	_, err = coating.MixVOCSpread(parts, known[:2], 0, 20)
	assert.EqualError(t, err, "There are 3 parts, and of 2 it is said how well they are known.")
	_, err = coating.MixVOCSpread(nil, nil, 0, 20)
	assert.ErrorContains(t, err, "There is nothing in the mix")
	parts[0].Exempt = 0.6
	_, err = coating.MixVOCSpread(parts, known, 0, 20)
	assert.ErrorContains(t, err, "are more than all that is volatile")
}

// A limit within the ± is too near to call on both sides; just outside it is not,
// and without a ± nothing is said.
func TestTooNear(t *testing.T) {
	for _, c := range []struct {
		spare, plusMinus float64
		near             bool
	}{
		{4.9, 4.2, true}, {-4.9, 4.2, true}, {5, 4.2, true}, {5.1, 4.2, false}, {-5.1, 4.2, false}, {0, 0, false}, {0.3, 0, false}, {0.3, 0.2, true},
	} {
		got := coating.Comparison{Spare: c.spare, PlusMinusGL: c.plusMinus}.TooNear()
		assert.Equal(t, c.near, got, "%+v", c)
	}
}
