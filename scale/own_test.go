package scale

import (
	"strings"
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

// A pattern that fits and yet cuts the number: the line is refused, never read as
// another weight.
func TestOwnLineWithAGreedyPattern(t *testing.T) {
	for _, c := range []struct{ pattern, line, says string }{
		{`.*(?P<value>[0-9.]+) g`, "412.6 g", "in front of the part value, which took only \"6\""},
		{`.*(?P<value>[0-9.]+) g`, "+  412.6 g", "goes on in front"},
		{`(?P<value>[0-9]+).* g`, "412.6 g", "behind the part value, which took only \"412\""},
		{`(?P<value>[0-9]+).* g`, "412,6 g", "goes on behind"},
		{`[^ ]+? *\.?(?P<value>[0-9]+) g`, "+ .6 g", "goes on in front"},
		{` *,?(?P<value>[0-9]+) g`, "  ,6 g", "goes on in front"},
		{`[0-9],(?P<value>[0-9.]+) g`, "1,412.6 g", "goes on in front"},
		{`(?P<status>.*)(?P<value>[0-9.]+) g`, "412.6 g", "goes on in front"},
		{`(?P<stable>.*)(?P<value>[0-9.]+) g`, "412.6 g", "goes on in front"},
		{`(?P<sign>.*)(?P<value>[0-9.]+) g`, "412.6 g", "the part sign holds \"412.\": a sign is +, - or a blank"},
		{`(?P<sign>.) *(?P<value>[0-9.]+) g`, "~  412.6 g", "the part sign holds \"~\""},
		{`(?P<sign>.*?)(?P<value>[0-9.]+)\) g`, "(12.5) g", "brackets"},
		{`\((?P<value>[0-9.]+)\) g`, "(12.5) g", "brackets"},
		{`\( (?P<value>[0-9.]+)[ )]+ g`, "( 12.5 ) g", "brackets"},
		{`.*?(?P<value>[0-9.]+) g`, "-  12.5 g", "a minus stands in front"},
		{`(?P<value>[0-9.]+)-? g`, "12.5- g", "a minus stands behind"},
		{`(?P<sign>[+-])(?P<value>[0-9.-]+) g`, "--12.5 g", "two signs"},
	} {
		o, err := NewOwn(OwnLine{Pattern: c.pattern, Unit: "g"})
		require.NoError(t, err, c.pattern)
		r, err := o.Decode([]byte(c.line + "\r\n"))
		_, usable := r.Weight()
		assert.False(t, usable, "%s of %q is no weight", c.pattern, c.line)
		assert.ErrorContains(t, err, c.says, "%s of %q", c.pattern, c.line)
	}
}

// What stands beside a number on purpose does no harm.
func TestOwnLineWithNeighbours(t *testing.T) {
	for _, c := range []struct {
		of         OwnLine
		line, want string
	}{
		{OwnLine{Pattern: `ST,[A-Z]+,(?P<value>[0-9.]+),(?P<unit>[a-z]+)`}, "ST,GS,412.6,g", "412.6"},
		{OwnLine{Pattern: `ST, ,(?P<value>[0-9.]+),(?P<unit>[a-z]+)`}, "ST, ,412.6,g", "412.6"},
		{OwnLine{Pattern: `ST,(?P<value>[0-9]+), g`, Unit: "g"}, "ST,412, g", "412"},
		{OwnLine{Pattern: `(?P<stable>[01])(?P<value>[0-9.]{6})`, Unit: "g", Still: []string{"1"}}, "10412.6", "0412.6"},
		{OwnLine{Pattern: `(?P<status>[0-9])(?P<value>[0-9.]{6})`, Unit: "g", Over: []string{"9"}}, "00412.6", "0412.6"},
		{OwnLine{Pattern: `(?P<mode>N-|G-) *(?P<value>[0-9.]+)`, Unit: "g", Net: []string{"N-"}, Gross: []string{"G-"}}, "N- 412.6", "412.6"},
		{OwnLine{Pattern: `(?P<value>[0-9.]+)(?P<sign>-?)`, Unit: "g"}, "412.6-", "-412.6"},
		{OwnLine{Pattern: `(?P<value>(?P<sign>-?)[0-9.]+)`, Unit: "g"}, "-412.6", "-412.6"},
		{OwnLine{Pattern: `(?P<sign>.) *(?P<value>[0-9.]+)`, Unit: "g"}, "   412.6", "412.6"},
	} {
		o, err := NewOwn(c.of)
		require.NoError(t, err, c.of.Pattern)
		r, err := o.Decode([]byte(c.line + "\r\n"))
		require.NoError(t, err, c.line)
		_, usable := r.Weight()
		assert.True(t, usable, c.line)
		assert.Equal(t, c.want, r.Number.String())
	}
}

// An end that never comes, or that stands in every line, is a mistake that
// somebody made, and says so.
func TestOwnLineEnd(t *testing.T) {
	for end, says := range map[string]string{
		`\r\n`: `in single quotes \r is two characters`, "g": "stands within lines as well", ".": "stands within lines", " ": "stands within lines",
		"→": "more than one byte",
	} {
		_, err := NewOwn(OwnLine{Pattern: `(?P<value>[0-9.]+)`, Unit: "g", End: end})
		assert.ErrorContains(t, err, says, end)
	}
	o, err := NewOwn(OwnLine{Pattern: `(?P<value>[0-9.]+)`, Unit: "g", End: "\x03;"})
	require.NoError(t, err)
	assert.Equal(t, `\x03 or ;`, o.Ends())
	_, err = o.Decode([]byte(strings.Repeat("412.6\r\n ", MaxPiece/8)))
	assert.ErrorContains(t, err, `64 bytes came without \x03 or ;`)
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
