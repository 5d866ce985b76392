package scale

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func described(t testing.TB) *Own {
	o, err := NewOwn(OwnLine{
		Pattern: `(?P<stable>[*?]) (?P<mode>[BN]) (?P<sign>[+-]) *(?P<value>[0-9.]+|-+) (?P<unit>[a-z]+) ?(?P<status>HIGH|LOW|BUSY)?`,
		Still:   []string{"*"}, Moving: []string{"?"}, Net: []string{"N"}, Gross: []string{"B"},
		Over: []string{"HIGH"}, Under: []string{"LOW"}, Wait: []string{"BUSY"},
	})
	require.NoError(t, err)
	return o
}

// A line that no built-in shape has, as somebody would describe it.
func TestOwnLine(t *testing.T) {
	o := described(t)
	for _, c := range []struct {
		line  string
		want  string
		grams string
		of    Reading
	}{
		{"* B +  412.6 g\r\n", "412.6", "412.6", Reading{Motion: MotionStill, Mode: ModeGross, Unit: UnitGram}},
		{"? N -   3.25 kg\r\n", "-3.25", "-3250", Reading{Motion: MotionMoving, Mode: ModeNet, Unit: UnitKilogram}},
		{"* B + 9999.9 g HIGH\r\n", "", "", Reading{Motion: MotionStill, Mode: ModeGross, Unit: UnitGram, Status: StatusOver}},
		{"* B - ------ g BUSY\r\n", "", "", Reading{Motion: MotionStill, Mode: ModeGross, Unit: UnitGram, Status: StatusNotReady}},
		{"* B +     12 pcs\r\n", "12", "", Reading{Motion: MotionStill, Mode: ModeGross, Unit: UnitPieces, Status: StatusCount}},
	} {
		r, err := o.Decode([]byte(c.line))
		require.NoError(t, err, c.line)
		assert.Equal(t, c.want != "", r.HasNumber, c.line)
		if r.HasNumber {
			assert.Equal(t, c.want, r.Number.String())
		}
		m, ok := r.Weight()
		assert.Equal(t, c.grams != "", ok, c.line)
		if ok {
			assert.Equal(t, c.grams, string(m.AppendGrams(nil)))
		}
		r.Number, r.HasNumber = Decimal{}, false
		assert.Equal(t, c.of, r, c.line)
	}
}

func TestOwnLineRefusesJunk(t *testing.T) {
	o := described(t)
	for _, line := range []string{
		"412.6 g\r\n", "* B +  412.6\r\n", "* B + 41.2.6 g\r\n", "* B +  412.6 stone\r\n", "* B +  412.6 g", "\x00* B +  412.6 g\r\n",
		"* B + ------ g\r\n", "* B +  412.6 g 7\r\n",
	} {
		_, err := o.Decode([]byte(line))
		var fault *FrameError
		require.ErrorAs(t, err, &fault, "%q", line)
	}
}

func TestOwnLineFromAStream(t *testing.T) {
	f := NewFramer(described(t))
	f.Feed([]byte("12.6 g\r\n* B +  412.6 g\r\n\r\n* B + "))
	_, err, ok := f.Next()
	require.True(t, ok)
	require.Error(t, err, "a fragment")
	r, err, ok := f.Next()
	require.True(t, ok)
	require.NoError(t, err)
	require.Equal(t, "412.6", r.Number.String())
	_, _, ok = f.Next()
	require.False(t, ok)
	f.Flush()
	_, err, ok = f.Next()
	require.True(t, ok)
	require.ErrorContains(t, err, "line end is missing")
}

func TestOwnLineDescriptionIsChecked(t *testing.T) {
	for _, c := range []struct {
		line OwnLine
		says string
	}{
		{OwnLine{Pattern: `(`}, "can not be read"},
		{OwnLine{Pattern: `[0-9.]+`, Unit: "g"}, "(?P<value>"},
		{OwnLine{Pattern: `(?P<value>[0-9.]+)`}, `unit = "g"`},
		{OwnLine{Pattern: `(?P<value>[0-9.]+)`, Unit: "pc"}, "not one of mass"},
		{OwnLine{Pattern: `(?P<value>[0-9.]+)(?P<weight>x)`, Unit: "g"}, `"weight"`},
	} {
		_, err := NewOwn(c.line)
		assert.ErrorContains(t, err, c.says)
	}
}

func FuzzOwn(f *testing.F) {
	f.Add([]byte("* B +  412.6 g\r\n? N -   3.25 kg\r\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		framer := NewFramer(described(t))
		framer.Feed(data)
		framer.Flush()
		for r, err, ok := framer.Next(); ok; r, err, ok = framer.Next() {
			if _, usable := r.Weight(); usable && err != nil {
				t.Fatal("a refused piece became a number")
			}
		}
	})
}
