package scale

import "regexp"

// costCase is a frame of 412.6 g, and how a regular expression reads it: more
// makes number and unit of its groups, and does the checksum by hand where the
// shape has one.
type costCase struct {
	codec Codec
	frame string
	peer  *regexp.Regexp
	more  func(frame []byte, groups [][]byte) (number, unit string)
}

func costCases() []costCase {
	re := regexp.MustCompile
	return []costCase{
		{SMA{}, "\n 1N       412.6g  \r", re(`^\n([ _ZOUEIT])([0-9])([GNTgn])([ _M])(.)[ _]*(-?[0-9]*\.?[0-9]+)([a-z_ ]{3})\r$`), peerLast},
		{CSV{}, "ST,NT,+  412.6 g\r\n", re(`^(ST|US|OL|QT),(GS|NT|TR|PT),?([-+ ]) *([0-9]*\.?[0-9]+),? *([a-z%]+)\r\n$`), peerLast},
		{Header{}, "ST,+00412.60  g\r\n", re(`^(ST|US|OL|QT),([-+])([0-9]*\.?[0-9]+) *([a-zA-Z%]+)\r\n$`), peerLast},
		{Letters{}, "S S     412.60 g\r\n", re(`^S +([SD]) +(-?[0-9]*\.?[0-9]+) +([a-z%]+) *\r\n$`), peerLast},
		{Echo{}, "SI ?     412.60 g  \r\n", re(`^(S|SI|SU|SUI) +([ ?^v]) ([- ]) *([0-9]*\.?[0-9]+) ([a-z%]+) *\r\n$`), peerLast},
		{Echo{Wide: true}, "SU  ?     412.60 g  \r\n", re(`^(S|SI|SU|SUI) +([ ?^v]) ([- ]) *([0-9]*\.?[0-9]+) ([a-z%]+) *\r\n$`), peerLast},
		{Signed{}, "+   412.60 g  \r\n", re(`^([-+ ]) *([0-9]*\.?[0-9]+) ([a-z%]+) *\r\n$`), peerLast},
		{Signed{Label: true}, "N     +   412.60 g  \r\n", re(`^([A-Z ]{6})([-+ ]) *([0-9]*\.?[0-9]+) ([a-z%]+) *\r\n$`), peerLast},
		{Trailing{}, "     412.60 g ? NET\r\n", re(`^ +(-?[0-9]*\.?[0-9]+) +([a-zA-Z%]{1,5}) *\??(?: +(?:NET|[0-9:]+))? *\r\n$`), peerLast},
		{Polarity{}, "+ 412.60 g S\r\n", re(`^([-+ ]) *([0-9]*\.?[0-9]+) ?([a-z%]+).[SUE ]\r\n$`), peerLast},
		{StatusBytes{}, "\x02+0!004126001850\r", re(`^\x02([^\x00])([^\x00])([^\x00])([0-9 ]{6})([0-9 ]{6})\r$`), peerStatus},
		{StatusBytes{Checksum: true}, "\x02+0!004126001850\r\x1a", re(`^\x02([^\x00])([^\x00])([^\x00])([0-9 ]{6})([0-9 ]{6})\r([\x00-\x7f])$`), peerStatusSum},
		{Polled{}, "\n 0412.6g \r\n00\r\x03", re(`^\n *(-?)([0-9]*\.?[0-9]+) *([a-z]+) *\r\n([0-?])([0-\x7f])([0-\x7f])?\r\x03$`), peerPlain},
		{Handshake{}, "\x01\x02S 0412.6g \x2b\x03\x04", re(`^\x01\x02[SU]([- ])([0-9]*\.?[0-9]+)([a-z ]{2})([\x00-\x7f])\x03\x04$`), peerXor},
		{XorDigits{Unit: UnitGram}, "\x02+00412611B\x03", re(`^\x02([+-])([0-9]{6})([0-4])([0-9A-F]{2})\x03$`), peerHex},
		{Reversed{Unit: UnitGram}, "=6.214000", re(`^=([0-9.]{7})([-0])$`), peerReversed},
		{Prefix{}, "ww000412.6 g\r\n", re(`^w[wn](-?)([0-9]*\.?[0-9]+)([a-z ]{2})\r\n$`), peerPlain},
		{Framed{Unit: UnitGram, Short: true}, "\x02   412.6G\x03", re(`^\x02([ +-]) *([0-9]*\.?[0-9]+)[GNUOME]\x03$`), peerGrams},
		{Framed{}, "\x02   412.6G     g\x03", re(`^\x02([ +-]) *([0-9]*\.?[0-9]+)[GNUOE][M ][Z ][0-9 ]([a-z ]{3})\x03$`), peerPlain},
		{CRFirst{}, "\r 00412.6 g G\x03", re(`^\r([ +-]) *([0-9]*\.[0-9]*)[ OMe]([a-z ]{2})[GN]\x03$`), peerPlain},
		{Labelled{}, "Gross: 412.6 g\r\n", re(`^(?i:gross|gs) *:? *(-?) *([0-9]*\.?[0-9]+) *([a-z]+)\r\n$`), peerPlain},
		{Bare{Unit: UnitGram}, "   412.6\r\n", re(`^ *\$?(-?) *([0-9]*\.?[0-9]+) *\r\n$`), peerGrams},
	}
}

// peerLast takes the last two groups.
func peerLast(_ []byte, g [][]byte) (number, unit string) {
	return string(g[len(g)-2]), string(g[len(g)-1])
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
