package scale_test

import (
	"flag"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
	"gramcup/scale/scaletest"
)

func TestCodecs(t *testing.T) {
	for _, c := range append(scale.Codecs(), scale.Variants()...) {
		t.Run(c.Name(), func(t *testing.T) { scaletest.Codec(t, c) })
	}
}

// TestConformance prints what each shape can say, found out by writing readings
// and reading them back, and keeps the table in testdata and in the README true.
func TestConformance(t *testing.T) {
	table := conformance()
	t.Log("\n" + table)
	rewrite := flag.Lookup("update").Value.String() == "true"
	for _, path := range []string{"../testdata/conformance.md", "../README.md"} {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		before, rest, began := strings.Cut(string(text), tableBegins)
		kept, after, ended := strings.Cut(rest, tableEnds)
		require.True(t, began && ended, "%s has no place for the table, between %q and %q", path, tableBegins, tableEnds)
		if rewrite {
			kept = table
			require.NoError(t, os.WriteFile(path, []byte(before+tableBegins+table+tableEnds+after), 0o644))
		}
		assert.Equal(t, kept, table, "%s: a shape says more or less than before: if that is meant, go test ./scale -update rewrites the table", path)
	}
}

// The table stands between these in every copy.
const (
	tableBegins = "<!-- line shapes -->\n"
	tableEnds   = "<!-- end of line shapes -->\n"
)

// shapeNumbers give each family its number; the open standard has none.
var shapeNumbers = map[reflect.Type]int{
	reflect.TypeFor[scale.CSV](): 1, reflect.TypeFor[scale.Header](): 2, reflect.TypeFor[scale.Letters](): 3,
	reflect.TypeFor[scale.Echo](): 4, reflect.TypeFor[scale.Signed](): 5, reflect.TypeFor[scale.Trailing](): 6,
	reflect.TypeFor[scale.Polarity](): 7, reflect.TypeFor[scale.StatusBytes](): 8, reflect.TypeFor[scale.Polled](): 9,
	reflect.TypeFor[scale.Handshake](): 10, reflect.TypeFor[scale.XorDigits](): 11, reflect.TypeFor[scale.Reversed](): 12,
	reflect.TypeFor[scale.Prefix](): 13, reflect.TypeFor[scale.Framed](): 14, reflect.TypeFor[scale.CRFirst](): 15,
	reflect.TypeFor[scale.Labelled](): 16, reflect.TypeFor[scale.Bare](): 17,
}

// Every number has its family in the list, in their order.
func TestAllShapesAreListed(t *testing.T) {
	var numbers []int
	for _, c := range scale.Codecs() {
		numbers = append(numbers, shapeNumbers[reflect.TypeOf(c)])
	}
	assert.Equal(t, []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17}, numbers)
}

// conformance is the table: a row for each family and each of its settings.
func conformance() string {
	all := append(scale.Codecs(), scale.Variants()...)
	slices.SortStableFunc(all, func(a, b scale.Codec) int {
		return shapeNumbers[reflect.TypeOf(a)] - shapeNumbers[reflect.TypeOf(b)]
	})
	var table strings.Builder
	table.WriteString("| | `--line` | a line | still | mode | unit | overload | sign apart | noise in front | sum | asks |\n|---|---|---|---|---|---|---|---|---|---|---|\n")
	for _, c := range all {
		number := ""
		if n := shapeNumbers[reflect.TypeOf(c)]; n > 0 {
			number = fmt.Sprintf("S%d", n)
		}
		table.WriteString("| " + strings.Join(append([]string{number}, columns(c)...), " | ") + " |\n")
	}
	return table.String()
}

// columns are what a codec has in the table.
func columns(c scale.Codec) []string {
	f := scaletest.Probe(c)
	return []string{c.Name(), line(c, f), yes(f.Still), modes(f), unit(f), overload(c, f), yes(f.SignFar), noise(f), yes(f.Checksum), commands(f)}
}

// line is 412.6 g as the shape writes it, a blank as a point in mid-line.
func line(c scale.Codec, f scaletest.Features) string {
	frame := c.Encode(nil, scale.Reading{
		Number: scale.Decimal{Coefficient: 4126, Places: 1, Lead: 3}, HasNumber: true,
		Unit: scale.UnitGram, Mode: f.Mode, Motion: scale.MotionStill,
	})
	return "`" + strings.ReplaceAll(string(scale.AppendEscaped(nil, frame)), " ", "·") + "`"
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "–"
}

func modes(f scaletest.Features) string {
	var s []string
	for _, m := range []struct {
		told bool
		name string
	}{{f.Gross, "G"}, {f.Net, "N"}, {f.Tare, "T"}} {
		if m.told {
			s = append(s, m.name)
		}
	}
	return orDash(s)
}

func unit(f scaletest.Features) string {
	switch {
	case f.BlankUnit:
		return "at rest"
	case f.UnitText || len(f.Units) > 1:
		return "yes"
	}
	return "set"
}

// noise is what becomes of a line that stands behind junk, or has lost its front.
func noise(f scaletest.Features) string {
	switch {
	case f.Loose:
		return "misread"
	case f.Resync:
		return "cut off"
	}
	return "line lost"
}

// overload is what becomes of a weight above the capacity.
func overload(c scale.Codec, f scaletest.Features) string {
	switch {
	case f.Says[scale.StatusOver] && f.Says[scale.StatusUnder]:
		return "both ends"
	case f.Says[scale.StatusOver]:
		return "above"
	}
	sent := c.Encode(nil, scale.Reading{Unit: f.Units[0], Status: scale.StatusOver})
	if len(sent) == 0 {
		return "silence"
	}
	r, err := c.Decode(sent)
	if err != nil {
		return "refused"
	}
	return r.Status.String()
}

func commands(f scaletest.Features) string {
	names := map[scale.Request]string{
		scale.RequestWeight: "w", scale.RequestStream: "s", scale.RequestZero: "z", scale.RequestTare: "t",
		scale.RequestClearTare: "c", scale.RequestReset: "r", scale.RequestAbout: "a", scale.RequestInfo: "i",
	}
	var s []string
	for _, r := range f.Asks {
		if names[r] != "" {
			s = append(s, names[r])
		}
	}
	return orDash(s)
}

func orDash(s []string) string {
	if len(s) == 0 {
		return "–"
	}
	return strings.Join(s, " ")
}
