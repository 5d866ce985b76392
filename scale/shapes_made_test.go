package scale

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// madeShape is a shape for which captures are made, and the settings with which
// they are read. The lines are written from the description, not by the codec. A
// line that a shape has no form for is empty: such a scale is silent as long as
// it lasts.
type madeShape struct {
	folder   string
	codec    Codec
	seed     uint64 // of the cuts between chunks
	settings string // for the header; "" for none
	line     func(shown) string
	weight   func(shown) (tenths int, ok bool) // what the line says, as seen on the display; nil: just that
}

func madeShapes() []madeShape {
	gross := func(s shown) (int, bool) { return s.tenths + pick(s.net, 1850, 0), true }
	still := func(s shown) (int, bool) { return s.tenths, !s.moving }
	grams := "the unit is set to g"
	return []madeShape{
		{"sma", SMA{}, 1, "", smaLine, nil},
		{"csv", CSV{}, 1, "", csvLine, nil},
		{"header", Header{}, 1, "", headerLine, nil},
		{"letters", Letters{}, 1, "", lettersLine, nil},
		{"echo", Echo{}, 1, "", echoLine, nil},
		{"signed", Signed{}, 1, "", signedLine, still},
		{"trailing", Trailing{}, 1, "", trailingLine, nil},
		{"polarity", Polarity{}, 1, "", polarityLine, nil},
		{"status-bytes", StatusBytes{}, 2, "", statusLine, nil},
		{"status-bytes-checksum", StatusBytes{Checksum: true}, 2, "", summedLine, nil},
		{"polled", Polled{}, 2, "", polledLine, nil},
		{"handshake", Handshake{}, 2, "", handshakeLine, nil},
		{"xor-digits", XorDigits{Unit: UnitGram}, 2, grams, xorLine, nil},
		{"reversed", Reversed{Unit: UnitGram}, 2, grams, reversedLine, nil},
		{"prefix", Prefix{}, 2, "", prefixedLine, nil},
		{"framed", Framed{}, 2, "", framedLine, still},
		{"framed-short", Framed{Short: true, Unit: UnitGram}, 2, grams, framedShortLine, nil},
		{"cr-first", CRFirst{}, 2, "", crFirstLine, nil},
		{"labelled", Labelled{}, 2, "the gross weight is wanted", labelledLines, gross},
		{"bare", Bare{Unit: UnitGram, Width: 8}, 2, grams + ", the width to 8", bareLine, nil},
	}
}

// madeCaptures keeps true what the header of a made capture says: that a
// script made it. Of the ones without faults, it holds what is read against what
// the display showed.
func madeCaptures(t *testing.T) {
	for _, s := range madeShapes() {
		for situation := range situations(nil) {
			var seen []shown
			m := &made{random: rand.New(rand.NewPCG(s.seed, uint64(len(situation))))}
			m.line = func(d shown) string {
				seen = append(seen, d)
				return s.line(d)
			}
			m.out.Header = []string{"shape: " + s.codec.Name(), "what: " + madeSituations[situation], "made: by script, from the description of the shape; no device sent it"}
			if s.settings != "" {
				m.out.Header = append(m.out.Header, "settings: "+s.settings)
			}
			situations(m)[situation]()
			var text bytes.Buffer
			require.NoError(t, m.out.Write(&text))
			golden(t, filepath.Join(captures, s.folder, situation)+".cap", text.Bytes())
			if situation != "garbage" && situation != "unplugged" && situation != "unit_change" {
				s.saysWhatWasSeen(t, m.out, seen)
			}
		}
	}
}

// madeSituations says for the header what happened.
var madeSituations = map[string]string{
	"still":       "an empty pan, then a cup of 185 g is put on and taken off",
	"slow_pour":   "412.6 g are poured into a tared cup",
	"fast_pour":   "576 g are poured in a second, and the scale swings",
	"tare":        "a cup of 185 g is tared, then taken off, then the tare is cleared",
	"overload":    "more than the capacity of 6200 g lies on the pan",
	"negative":    "the zero drifts down, and then the pan is taken off",
	"unit_change": "412.6 g are shown in grams, kilograms, ounces, as pieces and in grams again",
	"unplugged":   "the cable is pulled in the middle of a frame",
	"garbage":     "fragments, noise, parity read as data, and good frames between them",
}

func (s madeShape) saysWhatWasSeen(t *testing.T, c Capture, seen []shown) {
	t.Helper()
	var want, got []string
	for _, d := range seen {
		tenths, ok := d.tenths, true
		if s.weight != nil {
			tenths, ok = s.weight(d)
		}
		if ok && !d.over && !d.under && s.line(d) != "" {
			want = append(want, (Mass(tenths) * Gram / 10).String())
		}
	}
	f := NewFramer(s.codec)
	f.Feed(c.Bytes())
	f.Flush()
	for r, err, ok := f.Next(); ok; r, err, ok = f.Next() {
		require.NoError(t, err)
		if m, usable := r.Weight(); usable {
			got = append(got, m.String())
		}
	}
	assert.Equal(t, want, got, s.codec.Name())
}

// padded fills a number up in front; "" where it has no room.
func padded(number string, width int, pad string) string {
	if len(number) > width {
		return ""
	}
	return strings.Repeat(pad, width-len(number)) + number
}

func statusLine(s shown) string {
	sign, number := s.signed(' ')
	_, behind, _ := strings.Cut(number, ".")
	digits := padded(strings.Replace(number, ".", "", 1), 6, "0")
	if s.over || s.under {
		digits = "000000"
	}
	unit, metric := map[string]int{"g": 1, "kg": 0, "oz": 3}[s.unitText()], s.unitText() != "oz"
	if s.unit == "pc" || digits == "" {
		return ""
	}
	flags := pick(s.net, 1, 0) | pick(sign == '-', 2, 0) | pick(s.over || s.under, 4, 0) | pick(s.moving, 8, 0) | pick(metric, 16, 0)
	return fmt.Sprintf("\x02%c%c%c%s%s\r", 0x28|len(behind)+2, 0x20|flags, 0x20|unit, digits, pick(s.net, "001850", "000000"))
}

func summedLine(s shown) string {
	frame := statusLine(s)
	if frame == "" {
		return ""
	}
	sum := 0
	for i := range len(frame) {
		sum += int(frame[i])
	}
	return frame + string([]byte{byte(-sum & 0x7F)})
}

func polledLine(s shown) string {
	sign, number := s.signed(' ')
	number = padded(number, 7, "0")
	first, second := 0x30|pick(s.moving, 1, 0)|pick(s.tenths == 0, 2, 0), 0x30
	switch {
	case s.over:
		sign, number, second = '^', "^^^^^^^", 0x32
	case s.under:
		sign, number, second = '_', "_______", 0x31
	}
	return fmt.Sprintf("\n%c%s%-2s\r\n%c%c\r\x03", sign, number, s.unitText(), first, second)
}

func handshakeLine(s shown) string {
	sign, number := s.signed(' ')
	number = padded(number, 6, "0")
	if s.over {
		sign, number = 'F', "FFFFFF"
	}
	if number == "" || s.under {
		return ""
	}
	body := fmt.Sprintf("%c%c%s%2s", pick(s.moving, 'U', 'S'), sign, number, s.unitText())
	check := byte(0)
	for i := range body {
		check ^= body[i]
	}
	return "\x01\x02" + body + string([]byte{check, 3, 4})
}

func xorLine(s shown) string {
	sign, number := s.signed('+')
	_, behind, _ := strings.Cut(number, ".")
	digits := padded(strings.Replace(number, ".", "", 1), 6, "0")
	if s.over || s.under || digits == "" {
		return ""
	}
	body := fmt.Sprintf("%c%s%d", sign, digits, len(behind))
	check := byte(0)
	for i := range body {
		check ^= body[i]
	}
	return fmt.Sprintf("\x02%s%02X\x03", body, check)
}

func reversedLine(s shown) string {
	sign, number := s.signed('0')
	line := "="
	for _, c := range padded(number, 7, "0") {
		line = "=" + string(c) + line[1:]
	}
	if s.over || s.under {
		return ""
	}
	// The loop put each character in front of the ones before it.
	return line + string(sign)
}

func prefixedLine(s shown) string {
	sign, number := s.signed('0')
	if s.over || s.under {
		return ""
	}
	return fmt.Sprintf("%s%c%s%2s\r\n", pick(s.net, "wn", "ww"), sign, padded(number, 7, "0"), s.unitText())
}

func framedLine(s shown) string {
	sign, number := s.signed(' ')
	letter := pick(s.net, 'N', 'G')
	switch {
	case s.over:
		letter, number = 'O', ""
	case s.under:
		letter, number = 'U', ""
	}
	return fmt.Sprintf("\x02%c%7s%c%c%c1%3s\x03", sign, number, letter, pick(s.moving, 'M', ' '), pick(s.tenths == 0, 'Z', ' '), pick(s.moving, "", s.unitText()))
}

// framedShortLine has one letter for everything, and M hides the mode.
func framedShortLine(s shown) string {
	sign, number := s.signed(' ')
	letter := pick(s.moving, 'M', pick(s.net, 'N', 'G'))
	switch {
	case s.over:
		letter, number = 'O', ""
	case s.under:
		letter, number = 'U', ""
	}
	return fmt.Sprintf("\x02%c%7s%c\x03", sign, number, letter)
}

func crFirstLine(s shown) string {
	sign, number := s.signed(' ')
	if !strings.Contains(number, ".") {
		number += "."
	}
	status := pick(s.moving, 'M', ' ')
	if s.over || s.under {
		status, number = 'O', "99999.9"
	}
	return fmt.Sprintf("\r%c%s%c%2s%c\x03", sign, padded(number, 7, "0"), status, s.unitText(), pick(s.net, 'N', 'G'))
}

// labelledLines is a whole print, of a scale that prints again and again.
func labelledLines(s shown) string {
	if s.over || s.under {
		return ""
	}
	tare, gross := shown{unit: s.unit}, s
	if s.net {
		tare.tenths = 1850
		gross.tenths += 1850
	}
	unit := s.unitText()
	return fmt.Sprintf("2031-05-04 10:22\r\nGross: %s %s\r\nTare: %s %s\r\nNet: %s %s\r\n\r\n", gross.number(), unit, tare.number(), unit, s.number(), unit)
}

func bareLine(s shown) string {
	if s.over || s.under {
		return ""
	}
	return fmt.Sprintf("%8s\r\n", s.number())
}
