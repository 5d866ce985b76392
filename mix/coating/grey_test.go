package coating_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/mix/coating"
)

// mixed is the lightness of a pair by the two-constant formula, written out here
// a second time.
func mixed(light, dark, strength, c float64) float64 {
	ks := ((1-c)*light + c*strength*dark) / ((1 - c) + c*strength)
	r := 1 + ks - math.Sqrt(ks*ks+2*ks)
	return coating.LightnessOf(r)
}

func cards(light, dark, strength float64, shares ...float64) (list []coating.Drawdown) {
	for _, c := range shares {
		list = append(list, coating.Drawdown{Dark: c, Lightness: mixed(light, dark, strength, c)})
	}
	return list
}

// Whatever pair of undercoats made the cards is found again, and a wanted grey
// comes out as the share that makes it.
func TestGreyFindsThePair(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		light := rapid.Float64Range(0.005, 0.1).Draw(t, "light K/S")
		dark := rapid.Float64Range(3, 12).Draw(t, "dark K/S")
		strength := rapid.Float64Range(0.1, 2).Draw(t, "strength")
		g, err := coating.FitGrey(cards(light, dark, strength, 0, 0.15, 0.5, 1))
		require.NoError(t, err)
		require.InEpsilon(t, strength, g.Strength(), 1e-3)
		c := rapid.Float64Range(0.01, 0.99).Draw(t, "share")
		s, err := g.For(mixed(light, dark, strength, c))
		require.NoError(t, err)
		require.InDelta(t, c, s.Dark, 1e-3)
		back, err := g.Lightness(s.Dark)
		require.NoError(t, err)
		require.InDelta(t, mixed(light, dark, strength, c), back, 1e-2)
	})
}

// The limits of the formula: nothing of one is the other, and with equal
// scattering K/S is a straight line of the share.
func TestGreyLimits(t *testing.T) {
	g, err := coating.FitGrey(cards(0.02, 6, 1, 0, 0.4, 1))
	require.NoError(t, err)
	for c, ks := range map[float64]float64{0: 0.02, 1: 6, 0.5: 3.01, 0.25: 0.02 + 0.25*5.98} {
		l, err := g.Lightness(c)
		require.NoError(t, err)
		assert.InDelta(t, coating.LightnessOf(coating.HidingReflectance(ks)), l, 1e-3)
	}
}

// With cards that scatter the answer says how sure it is, and the truth lies
// within twice that about as often as it should.
func TestGreySaysHowSure(t *testing.T) {
	within, all := 0, 0
	for seed := range uint64(400) {
		list := cards(0.02, 6, 0.6, 0, 0.05, 0.15, 0.3, 0.5, 0.75, 1)
		noise := newNoise(seed)
		for i := range list {
			list[i].Lightness += 0.4 * noise.NormFloat64()
		}
		g, err := coating.FitGrey(list)
		if err != nil {
			continue // two cards so near that chance has swapped them: refused
		}
		s, err := g.For(50)
		require.NoError(t, err)
		require.True(t, s.FromCards)
		all++
		// The mix to come is drawn down once, too.
		if e := mixed(0.02, 6, 0.6, s.Dark) + 0.4*noise.NormFloat64() - 50; math.Abs(e) <= coating.Coverage*s.Uncertainty {
			within++
		}
	}
	t.Logf("within twice the uncertainty: %d of %d", within, all)
	assert.Greater(t, all, 350)
	assert.Greater(t, float64(within)/float64(all), 0.85)
}

func TestGreyRefuses(t *testing.T) {
	good := cards(0.02, 6, 0.6, 0, 0.3, 0.8)
	for _, row := range []struct {
		name  string
		cards []coating.Drawdown
		says  string
	}{
		{"two cards", good[:2], "2 drawdowns: a grey needs at least 3 of your own, such as the light undercoat alone, half and half, and the dark one alone."},
		{"swapped", []coating.Drawdown{{0, 90}, {0.3, 50}, {0.8, 60}}, "more of the dark one can not be lighter. Was a card swapped?"},
		{"a share above the whole", []coating.Drawdown{{0, 90}, {0.3, 50}, {1.8, 40}}, "A drawdown with 180 % of the dark undercoat: give 0 to 100 % of the volume."},
		{"no number", []coating.Drawdown{{0, 90}, {math.NaN(), 50}, {0.8, 40}}, "give 0 to 100 %"},
		{"beyond white", []coating.Drawdown{{0, 101}, {0.3, 50}, {0.8, 40}}, "A drawdown of L* 101: undercoats lie between 1 and 99."},
		{"one share thrice", []coating.Drawdown{{0.3, 50}, {0.3, 50.2}, {0.3, 49.8}}, "The drawdowns have only 1 different shares: draw at least 3."},
	} {
		_, err := coating.FitGrey(row.cards)
		assert.ErrorContains(t, err, row.says, row.name)
	}
	g, err := coating.FitGrey(good)
	require.NoError(t, err)
	_, err = g.For(20)
	assert.ErrorContains(t, err, "draw down a darker mix, or choose a grey in between.")
	_, err = g.For(99)
	assert.ErrorContains(t, err, "draw down a lighter mix")
	_, err = g.Lightness(0.9)
	assert.ErrorContains(t, err, "90 % of the dark undercoat was not measured: the drawdowns go from 0 to 80 %.")
}

// At its ends a fit has a rest of its own, and the card that lies there is the best
// that is known: its lightness is never refused, nor one within its ±, and gives
// the share of the card. Just outside that it is refused.
func TestGreyAtTheEndCards(t *testing.T) {
	// Four cards that scatter: the fit is off at both ends, above or below.
	for name, list := range map[string][]coating.Drawdown{
		"fit between the ends": {{0, 91}, {0.1, 67.2}, {0.5, 44.6}, {1, 30}},
		"fit beyond the ends":  {{0, 91}, {0.1, 69.2}, {0.5, 43.2}, {1, 30}},
		"no share of nothing":  {{0.05, 78}, {0.1, 67.5}, {0.5, 44.4}, {0.9, 31}},
		"two cards at an end":  {{0, 90.6}, {0, 91.4}, {0.1, 67.4}, {0.5, 44.5}, {1, 30}},
	} {
		g, err := coating.FitGrey(list)
		require.NoError(t, err, name)
		low, high, lightest, darkest := g.Range()
		spread, _ := g.Spread()
		first, last := list[0].Lightness, list[len(list)-1].Lightness
		n := 1.0
		if list[1].Dark == list[0].Dark {
			first, n = (list[0].Lightness+list[1].Lightness)/2, 2
		}
		t.Logf("%-21s fit L* %.2f to %.2f, cards %.2f to %.2f, spread %.2f", name, lightest, darkest, first, last, spread)
		for _, row := range []struct {
			wanted, share, card, n float64
		}{
			{first, low, first, n}, {last, high, last, 1},
			{max(first, lightest) + 0.01, low, first, n}, {min(last, darkest) - 0.01, high, last, 1},
			{first + 2*spread - 1e-6, low, first, n}, {last - 2*spread + 1e-6, high, last, 1},
		} {
			s, err := g.For(row.wanted)
			require.NoError(t, err, "%s, L* %v", name, row.wanted)
			assert.True(t, s.End, "%s, L* %v", name, row.wanted)
			assert.Equal(t, row.share, s.Dark, "%s, L* %v", name, row.wanted)
			assert.InDelta(t, row.card, s.CardL, 1e-9)
			assert.InDelta(t, spread*math.Sqrt(1+1/row.n), s.Uncertainty, 1e-12, "the card's and the next one's scatter")
		}
		_, err = g.For(first + 2*spread + 0.01)
		assert.ErrorContains(t, err, "draw down a lighter mix", name)
		_, err = g.For(last - 2*spread - 0.01)
		assert.ErrorContains(t, err, "draw down a darker mix", name)
		s, err := g.For(min(first, lightest) - 0.05)
		require.NoError(t, err, name)
		assert.False(t, s.End, "%s: between the cards the fit counts", name)
	}
}
