package strip_test

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix/coating"
	"gramcup/mix/strip"
)

var can = coating.Tapered{BottomMM: 85, TopMM: 85, InnerMM: 120}

func primer(t *testing.T) strip.Strip {
	t.Helper()
	s, err := strip.ForCup("Kestrel Lane <primer> (invented), 300 ml", can, []string{"Base", "Härter", "Reducer"}, []float64{200, 50, 50},
		"Straight can, 85 mm wide inside. Stand the strip on the bottom, beside the stick.")
	require.NoError(t, err)
	return s
}

type picture struct {
	Width   string `xml:"width,attr"`
	Height  string `xml:"height,attr"`
	ViewBox string `xml:"viewBox,attr"`
	Lines   []struct {
		X1   float64 `xml:"x1,attr"`
		Y1   float64 `xml:"y1,attr"`
		X2   float64 `xml:"x2,attr"`
		Y2   float64 `xml:"y2,attr"`
		Wide float64 `xml:"stroke-width,attr"`
	} `xml:"line"`
	Texts []string `xml:"text"`
}

// The picture is at true size: one unit is one millimetre, the check line is
// 100 of them, and each mark stands at its height.
func TestSVGIsTrue(t *testing.T) {
	s := primer(t)
	out, err := s.SVG()
	require.NoError(t, err)
	var p picture
	require.NoError(t, xml.Unmarshal(out, &p))
	assert.Equal(t, []string{"210mm", "297mm", "0 0 210 297"}, []string{p.Width, p.Height, p.ViewBox})
	check := 0
	var marks []float64
	for _, l := range p.Lines {
		if l.X1 == l.X2 && l.Y1-l.Y2 == 100 {
			check++
		}
		if l.Wide == 0.5 && l.Y1 == l.Y2 {
			marks = append(marks, p.Lines[0].Y1-l.Y1)
		}
	}
	assert.Equal(t, 1, check, "one line of 100 mm")
	require.Len(t, marks, 4, "the bottom and three components")
	area := math.Pi * 85 * 85 / 4 / 1000
	for i, ml := range []float64{0, 200, 250, 300} {
		assert.InDelta(t, ml/area, marks[i], 0.001)
	}
	text := strings.Join(p.Texts, "\n")
	assert.Contains(t, text, "Kestrel Lane <primer> (invented), 300 ml")
	assert.Contains(t, text, "A  Base to here: 35.2 mm, 200 ml in all")
	assert.Contains(t, text, "This line is 100 mm long.")
}

// The PDF holds together as its standard asks (ISO 32000-1, 7.5): each offset of
// the table leads to its object, the stream is as long as it says, and the check
// line is 100 mm in points.
func TestPDFIsWhole(t *testing.T) {
	s := primer(t)
	out, err := s.PDF()
	require.NoError(t, err)
	require.True(t, bytes.HasPrefix(out, []byte("%PDF-1.7\n")))
	start := regexp.MustCompile(`startxref\n(\d+)\n%%EOF\n$`).FindSubmatch(out)
	require.NotNil(t, start)
	at, err := strconv.Atoi(string(start[1]))
	require.NoError(t, err)
	require.True(t, bytes.HasPrefix(out[at:], []byte("xref\n0 7\n")))
	for i, row := range regexp.MustCompile(`(\d{10}) 00000 n `).FindAllSubmatch(out[at:], -1) {
		offset, err := strconv.Atoi(string(row[1]))
		require.NoError(t, err)
		assert.True(t, bytes.HasPrefix(out[offset:], fmt.Appendf(nil, "%d 0 obj\n", i+1)))
	}
	stream := regexp.MustCompile(`(?s)/Length (\d+) >>\nstream\n(.*)endstream`).FindSubmatch(out)
	require.NotNil(t, stream)
	assert.Equal(t, string(stream[1]), strconv.Itoa(len(stream[2])))
	check := 0
	for _, l := range regexp.MustCompile(`w ([\d.]+) ([\d.]+) m ([\d.]+) ([\d.]+) l S`).FindAllSubmatch(stream[2], -1) {
		var c [4]float64
		for i := range c {
			c[i], _ = strconv.ParseFloat(string(l[i+1]), 64)
		}
		if c[0] == c[2] && math.Abs(c[3]-c[1]-100*72/25.4) < 0.002 {
			check++
		}
	}
	assert.Equal(t, 1, check)
	assert.Contains(t, string(stream[2]), `(Kestrel Lane <primer> \(invented\), 300 ml)`)
	assert.Contains(t, string(stream[2]), "H\xe4rter", "in the font's own encoding")
	assert.Contains(t, string(out), "/PrintScaling /None")
}

func TestStripRefuses(t *testing.T) {
	_, err := strip.ForCup("x", can, []string{"Base"}, []float64{900})
	assert.ErrorContains(t, err, "900 ml do not fit into this cup")
	tall := coating.Tapered{BottomMM: 40, TopMM: 40, InnerMM: 500}
	_, err = strip.ForCup("x", tall, []string{"Base"}, []float64{400})
	assert.EqualError(t, err, "The highest mark is at 318 mm and the sheet has room for 225: take a wider cup or a smaller amount.")
	_, err = strip.Strip{}.SVG()
	assert.EqualError(t, err, "The strip has no mark: name at least one component.")
	_, err = strip.Strip{Marks: []strip.Mark{{HeightMM: 4}, {HeightMM: 4}}}.PDF()
	assert.EqualError(t, err, "A mark at 4 mm follows one at 4 mm: the marks must rise.")
}
