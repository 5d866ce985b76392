package scale

import (
	"regexp"
	"testing"
)

// BenchmarkShape is the cost of one frame, beside the obvious other way: a
// regular expression and a parse of its groups, with the checksum done by hand
// where the shape has one.
func BenchmarkShape(b *testing.B) {
	for _, c := range []struct {
		codec Codec
		frame string
		peer  *regexp.Regexp // the groups are the sign, the number, and perhaps the unit
		more  func(frame []byte, groups [][]byte) (number, unit string)
	}{
		{StatusBytes{}, "\x02+0!004126001850\r", regexp.MustCompile(`^\x02([^\x00])([^\x00])([^\x00])([0-9 ]{6})([0-9 ]{6})\r$`), peerStatus},
		{StatusBytes{Checksum: true}, "\x02+0!004126001850\r\x1a", regexp.MustCompile(`^\x02([^\x00])([^\x00])([^\x00])([0-9 ]{6})([0-9 ]{6})\r([\x00-\x7f])$`), peerStatusSum},
		{Polled{}, "\n 0412.6g \r\n00\r\x03", regexp.MustCompile(`^\n *(-?)([0-9]*\.?[0-9]+) *([a-z]+) *\r\n([0-?])([0-\x7f])([0-\x7f])?\r\x03$`), peerPlain},
		{Handshake{}, "\x01\x02S 0412.6g \x2b\x03\x04", regexp.MustCompile(`^\x01\x02[SU]([- ])([0-9]*\.?[0-9]+)([a-z ]{2})([\x00-\x7f])\x03\x04$`), peerXor},
		{XorDigits{Unit: UnitGram}, "\x02+00412611B\x03", regexp.MustCompile(`^\x02([+-])([0-9]{6})([0-4])([0-9A-F]{2})\x03$`), peerHex},
		{Reversed{Unit: UnitGram}, "=6.214000", regexp.MustCompile(`^=([0-9.]{7})([-0])$`), peerReversed},
		{Prefix{}, "ww000412.6 g\r\n", regexp.MustCompile(`^w[wn](-?)([0-9]*\.?[0-9]+)([a-z ]{2})\r\n$`), peerPlain},
		{Framed{Unit: UnitGram, Short: true}, "\x02   412.6G\x03", regexp.MustCompile(`^\x02([ +-]) *([0-9]*\.?[0-9]+)[GNUOME]\x03$`), peerGrams},
		{Framed{}, "\x02   412.6G     g\x03", regexp.MustCompile(`^\x02([ +-]) *([0-9]*\.?[0-9]+)[GNUOE][M ][Z ][0-9 ]([a-z ]{3})\x03$`), peerPlain},
		{CRFirst{}, "\r 00412.6 g G\x03", regexp.MustCompile(`^\r([ +-]) *([0-9]*\.[0-9]*)[ OMe]([a-z ]{2})[GN]\x03$`), peerPlain},
		{Labelled{}, "Gross: 412.6 g\r\n", regexp.MustCompile(`^(?i:gross|gs) *:? *(-?) *([0-9]*\.?[0-9]+) *([a-z]+)\r\n$`), peerPlain},
		{Bare{Unit: UnitGram}, "   412.6\r\n", regexp.MustCompile(`^ *\$?(-?) *([0-9]*\.?[0-9]+) *\r\n$`), peerGrams},
	} {
		frame := []byte(c.frame)
		b.Run(c.codec.Name(), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, piece, _ := c.codec.Split(frame, false)
				r, err := c.codec.Decode(piece)
				if m, ok := r.Weight(); err != nil || !ok || m != 412600*Milligram {
					b.Fatal("the frame is good", r, err)
				}
			}
		})
		b.Run(c.codec.Name()+"/regexp", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				number, unit := c.more(frame, c.peer.FindSubmatch(frame))
				u, ok := ParseUnit([]byte(unit))
				m, err := ParseMass(number, u)
				if err != nil || !ok || m != 412600*Milligram {
					b.Fatal("the frame is good", m, err)
				}
			}
		})
	}
}

func peerPlain(_ []byte, g [][]byte) (number, unit string) {
	sign := string(g[1])
	if sign == " " {
		sign = ""
	}
	return sign + string(g[2]), string(g[3])
}

func peerGrams(frame []byte, g [][]byte) (number, unit string) {
	return peerPlain(frame, [][]byte{g[0], g[1], g[2], []byte("g")})
}

func peerXor(frame []byte, g [][]byte) (number, unit string) {
	if xorOf(frame[2:len(frame)-3]) != g[4][0] {
		return "", ""
	}
	return peerPlain(frame, g)
}

func pointed(digits string, places int) string {
	return digits[:len(digits)-places] + "." + digits[len(digits)-places:]
}

func peerHex(frame []byte, g [][]byte) (number, unit string) {
	x := xorOf(frame[1:9])
	if string(g[4]) != string([]byte{hexDigit(x >> 4), hexDigit(x)}) {
		return "", ""
	}
	return string(g[1]) + pointed(string(g[2]), int(g[3][0]-'0')), "g"
}

func peerReversed(_ []byte, g [][]byte) (number, unit string) {
	for _, c := range string(g[1]) {
		number = string(c) + number
	}
	if g[2][0] == '-' {
		number = "-" + number
	}
	return number, "g"
}

func peerStatus(_ []byte, g [][]byte) (number, unit string) {
	number = pointed(string(g[4]), int(g[1][0]&7)-2)
	if g[2][0]&2 != 0 {
		number = "-" + number
	}
	return number, "g"
}

func peerStatusSum(frame []byte, g [][]byte) (number, unit string) {
	if complementOf(frame[:len(frame)-1]) != g[6][0] {
		return "", ""
	}
	return peerStatus(frame, g)
}
