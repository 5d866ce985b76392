package scale

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Exact sizes of units: NIST Handbook 44 appendix C gives the avoirdupois pound
// as 453.592 37 g and the ounce as 28.349 523 125 g. The troy ounce of 480
// grains, the pennyweight of 24 and the grain of 1/7000 lb follow from the same
// table; the metric carat is 200 mg by definition.
func TestUnitsAgainstTheHandbook(t *testing.T) {
	for _, c := range []struct {
		number string
		unit   string
		grams  string
	}{
		{"1", "lb", "453.59237"},
		{"1", "oz", "28.349523125"},
		{"16", "oz", "453.592370000"},
		{"1", "ozt", "31.1034768"},
		{"1", "gn", "0.06479891"},
		{"7000", "gn", "453.59237000"},
		{"1", "dwt", "1.55517384"},
		{"20", "dwt", "31.10347680"},
		{"1", "ct", "0.2"},
		{"1", "g", "1"},
		{"1", "kg", "1000"},
		{"1.2500", "kg", "1250.0"},
		{"0.5", "kg", "500"},
		{"1", "mg", "0.001"},
		{"1", "t", "1000000"},
		{"-0.0", "g", "-0.0"},
		{"-2.500", "lb", "-1133.98092500"},
		{"412.60", "g", "412.60"},
	} {
		unit, ok := ParseUnit([]byte(c.unit))
		require.True(t, ok, c.unit)
		d, err := ParseDecimal(c.number)
		require.NoError(t, err)
		grams, err := d.AppendGrams(nil, unit)
		require.NoError(t, err)
		assert.Equal(t, c.grams, string(grams), "%s %s", c.number, c.unit)
		m, err := d.Mass(unit)
		require.NoError(t, err)
		exact, ok := new(big.Rat).SetString(c.grams)
		require.True(t, ok)
		assert.Equal(t, roundHalfAway(exact.Mul(exact, big.NewRat(int64(Gram), 1))), int64(m), "%s %s", c.number, c.unit)
	}
}

// roundHalfAway is the other way to the same number: by rationals.
func roundHalfAway(r *big.Rat) int64 {
	half := big.NewRat(int64(r.Sign()), 2)
	r.Add(r, half)
	return new(big.Int).Quo(r.Num(), r.Denom()).Int64()
}

func TestParseUnit(t *testing.T) {
	for spelled, want := range map[string]Unit{
		"g": UnitGram, " g": UnitGram, "g  ": UnitGram, "g__": UnitGram, "G": UnitGram, "g\x00": UnitGram,
		"kg_": UnitKilogram, "KG": UnitKilogram, "lb ": UnitPound, "lbs": UnitPound, "oz ": UnitOunce,
		"pcs": UnitPieces, " %": UnitPercent, "t__": UnitTonne,
	} {
		u, ok := ParseUnit([]byte(spelled))
		assert.True(t, ok, "%q", spelled)
		assert.Equal(t, want, u, "%q", spelled)
	}
	for _, spelled := range []string{"", "  ", "___", "x", "l/o", "kgg", "k g", "ton", "g2", "\xff", "grammatical"} {
		u, ok := ParseUnit([]byte(spelled))
		assert.False(t, ok, "%q", spelled)
		assert.Equal(t, UnitNone, u)
	}
	for u := UnitGram; u <= UnitPercent; u++ {
		again, ok := ParseUnit([]byte(u.String()))
		assert.True(t, ok)
		assert.Equal(t, u, again)
	}
	assert.Equal(t, "unit(99)", Unit(99).String())
	assert.False(t, Unit(99).IsMass())
}

func TestDecimalComesBackAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`-?([0-9]{1,9}|[0-9]{0,9}\.[0-9]{1,9})`).Draw(t, "number")
		d, err := ParseDecimal(s)
		require.NoError(t, err)
		require.Equal(t, s, d.String())
	})
}

// Mass rounds a decimal as exact fractions do.
func TestDecimalMassIsExact(t *testing.T) {
	units := []Unit{UnitGram, UnitKilogram, UnitMilligram, UnitTonne, UnitPound, UnitOunce, UnitTroyOunce, UnitGrain, UnitPennyweight, UnitCarat}
	rapid.Check(t, func(t *rapid.T) {
		d := Decimal{
			Coefficient: rapid.Uint64Range(0, 999_999_999_999_999_999).Draw(t, "digits"),
			Places:      uint8(rapid.IntRange(0, MaxDigits).Draw(t, "places")),
			Negative:    rapid.Bool().Draw(t, "negative"),
		}
		u := rapid.SampledFrom(units).Draw(t, "unit")
		exact := new(big.Rat).SetInt(new(big.Int).SetUint64(d.Coefficient))
		exact.Quo(exact, new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(d.Places)), nil)))
		exact.Mul(exact, big.NewRat(unitTable[u].picograms, 1_000_000))
		if d.Negative {
			exact.Neg(exact)
		}
		m, err := d.Mass(u)
		if err != nil {
			require.ErrorIs(t, err, ErrTooBig)
			require.Positive(t, exact.Abs(exact).Cmp(big.NewRat(math.MaxInt64, 1)), "refused although it fits")
			return
		}
		require.Equal(t, roundHalfAway(exact), int64(m))
	})
}

// A half goes away from zero, as the comment of Mass promises.
func TestDecimalMassRoundsHalves(t *testing.T) {
	for number, want := range map[string]Mass{
		"0.0000005": 1, "-0.0000005": -1, "0.0000004999": 0, "-0.0000004999": 0,
		"0.0000015": 2, "0.0000025": 3, "-0.0000025": -3, "0.00000249999": 2,
	} {
		m, err := ParseMass(number, UnitGram)
		require.NoError(t, err)
		assert.Equal(t, want, m, number)
	}
}

func TestParseDecimalRefuses(t *testing.T) {
	for s, want := range map[string]error{
		"": ErrNoNumber, "-": ErrNoNumber, ".": ErrNoNumber, "+ ": ErrNoNumber,
		"1e3": ErrNumber, "0x1": ErrNumber, "1.2.3": ErrNumber, "1,2": ErrNumber, "--1": ErrNumber, "1-": ErrNumber,
		"1 2": ErrNumber, "NaN": ErrNumber, "Inf": ErrNumber, "١": ErrNumber, "1_0": ErrNumber,
		"1234567890123456789": ErrTooLong, "0.000000000000000000": ErrTooLong,
	} {
		_, err := ParseDecimal(s)
		assert.ErrorIs(t, err, want, "%q", s)
	}
	_, err := ParseMass("1", UnitPieces)
	assert.ErrorIs(t, err, ErrNotMass)
	_, err = ParseMass("999999999999999999", UnitTonne)
	assert.ErrorIs(t, err, ErrTooBig)
	_, err = Decimal{Coefficient: 1, Places: MaxDigits + 1}.Mass(UnitGram)
	assert.ErrorIs(t, err, ErrTooLong)
}

func TestMassArithmetic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Mass(rapid.Int64Range(-1e15, 1e15).Draw(t, "micrograms"))
		text := string(m.AppendGrams(nil))
		back, err := ParseMass(text, UnitGram)
		require.NoError(t, err)
		require.Equal(t, m, back, "text and back")
		require.Equal(t, text+" g", m.String())

		step := Mass(rapid.Int64Range(1, 1e10).Draw(t, "step"))
		rounded := m.RoundTo(step)
		require.Zero(t, rounded%step, "a whole number of steps")
		require.LessOrEqual(t, 2*(rounded-m).Abs(), step, "the nearest")
		require.Equal(t, -rounded, (-m).RoundTo(step), "the same on both sides of zero")
		require.Equal(t, m, m.RoundTo(0))
	})
	assert.Equal(t, Mass(412_600_000), MassFromGrams(412.6))
	assert.Equal(t, Mass(-2), MassFromGrams(-1.5e-6))
	assert.Equal(t, Mass(0), MassFromGrams(math.NaN()))
	assert.Equal(t, Mass(math.MaxInt64), MassFromGrams(math.Inf(1)))
	assert.Equal(t, Mass(math.MinInt64), MassFromGrams(math.Inf(-1)))
	assert.Equal(t, "412.6", (412640 * Milligram).Format(1))
	assert.Equal(t, Mass(3), Mass(-3).Abs())
}

// Only two states of twelve carry a weight, and never a stored tare or a count.
func TestOnlyAUsableReadingHasAWeight(t *testing.T) {
	good := Reading{Number: Decimal{Coefficient: 5}, HasNumber: true, Unit: UnitGram, Mode: ModeGross}
	usable := 0
	for s := StatusOK; s <= StatusInfo; s++ {
		r := good
		r.Status = s
		m, ok := r.Weight()
		if ok {
			usable++
			assert.Equal(t, 5*Gram, m)
		}
		assert.NotEqual(t, "unknown", s.String())
	}
	assert.Equal(t, 2, usable)
	for _, spoil := range []func(*Reading){
		func(r *Reading) { r.HasNumber = false },
		func(r *Reading) { r.Mode = ModeTare },
		func(r *Reading) { r.Unit = UnitPieces },
		func(r *Reading) { r.Unit = UnitNone },
		func(r *Reading) { r.Number = Decimal{Coefficient: 1e18}; r.Unit = UnitTonne },
	} {
		r := good
		spoil(&r)
		_, ok := r.Weight()
		assert.False(t, ok, "%+v", r)
	}
	assert.Equal(t, "unknown", Status(99).String())
	assert.Equal(t, 100*Milligram, Reading{Number: Decimal{Coefficient: 4126, Places: 1}, Unit: UnitGram}.Step())
	assert.Zero(t, Reading{Unit: UnitPieces}.Step())
}

func TestCodecByName(t *testing.T) {
	names := ""
	for _, c := range append(Codecs(), Variants()...) {
		got, err := CodecByName(c.Name())
		require.NoError(t, err)
		assert.Equal(t, c, got, "no two have one name")
		names += ", " + c.Name()
	}
	_, err := CodecByName("morse")
	assert.ErrorContains(t, err, `unknown line shape "morse": known are `+names[2:])
	assert.ErrorContains(t, err, "; "+UnitInName())
	assert.Contains(t, names, ", sma, csv, ")
}

// Names that no list has: another unit, another width, two settings at once.
func TestNamesWithSettings(t *testing.T) {
	for name, want := range map[string]Codec{
		"bare-kg": Bare{Unit: UnitKilogram}, "bare-12-oz": Bare{Unit: UnitOunce, Width: 12}, "bare-dollar-lb": Bare{Unit: UnitPound, Dollar: true},
		"reversed-mg": Reversed{Unit: UnitMilligram}, "xor-digits-t": XorDigits{Unit: UnitTonne}, "framed-short-ct": Framed{Unit: UnitCarat, Short: true},
		"status-bytes-kg": StatusBytes{Unit: UnitKilogram}, "status-bytes-checksum-lb": StatusBytes{Unit: UnitPound, Checksum: true},
		"polled-reversed-alone": Polled{Reversed: true, Alone: true}, "polled-reversed-third-alone": Polled{Reversed: true, Third: true, Alone: true},
	} {
		got, err := CodecByName(name)
		require.NoError(t, err, name)
		assert.Equal(t, want, got)
		assert.Equal(t, name, got.Name())
	}
	for name, reason := range map[string]string{
		"bare":           `the lines of "bare" do not say their unit: write it behind the name, bare-g or one of g, kg, mg, t, lb, oz, ozt, gn, dwt, ct in place of g`,
		"bare-8":         "write it behind the name, bare-8-g or one of",
		"framed-short":   "write it behind the name, framed-short-g or one of",
		"reversed":       "write it behind the name, reversed-g or one of",
		"labelled":       "write labelled-gross or labelled-net",
		"bare-pc":        "unknown line shape",
		"bare-%":         "unknown line shape",
		"bare-KG":        "unknown line shape",
		"bare-08-g":      "unknown line shape",
		"bare-0-g":       "unknown line shape",
		"bare-64-g":      "unknown line shape",
		"bare-g-g":       "unknown line shape",
		"csv-g":          "unknown line shape",
		"framed-g":       "unknown line shape",
		"labelled-net-g": "unknown line shape",
		"-g":             "unknown line shape",
		"":               "unknown line shape",
	} {
		_, err := CodecByName(name)
		assert.ErrorContains(t, err, reason, name)
	}
}
