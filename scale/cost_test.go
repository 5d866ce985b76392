package scale

import (
	"regexp"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/assert"
)

// The size that makes copies cheap; the comment in Reading says why.
func TestReadingIsTwoHalves(t *testing.T) {
	assert.EqualValues(t, 32, unsafe.Sizeof(Reading{}))
}

// BenchmarkFrame is the cost of one frame, beside the obvious other way: a
// regular expression and a parse of its groups.
func BenchmarkFrame(b *testing.B) {
	for _, c := range []struct {
		codec Codec
		frame string
		peer  *regexp.Regexp
	}{
		{SMA{}, "\n 1N       412.6g  \r", regexp.MustCompile(`^\n([ _ZOUEIT])([0-9])([GNTgn])([ _M])(.)[ _]*(-?[0-9]*\.?[0-9]+)([a-z_ ]{3})\r$`)},
		{CSV{}, "ST,NT,+  412.6 g\r\n", regexp.MustCompile(`^(ST|US|OL|QT),(GS|NT|TR|PT),?([-+ ]) *([0-9]*\.?[0-9]+),? *([a-z%]+)\r\n$`)},
		{Header{}, "ST,+00412.60  g\r\n", regexp.MustCompile(`^(ST|US|OL|QT),([-+])([0-9]*\.?[0-9]+) *([a-zA-Z%]+)\r\n$`)},
		{Letters{}, "S S     412.60 g\r\n", regexp.MustCompile(`^S +([SD]) +(-?[0-9]*\.?[0-9]+) +([a-z%]+) *\r\n$`)},
		{Echo{}, "SI ?     412.60 g  \r\n", regexp.MustCompile(`^(S|SI|SU|SUI) +([ ?^v]) ([- ]) *([0-9]*\.?[0-9]+) ([a-z%]+) *\r\n$`)},
		{Echo{Wide: true}, "SU  ?     412.60 g  \r\n", regexp.MustCompile(`^(S|SI|SU|SUI) +([ ?^v]) ([- ]) *([0-9]*\.?[0-9]+) ([a-z%]+) *\r\n$`)},
		{Signed{}, "+   412.60 g  \r\n", regexp.MustCompile(`^([-+ ]) *([0-9]*\.?[0-9]+) ([a-z%]+) *\r\n$`)},
		{Signed{Label: true}, "N     +   412.60 g  \r\n", regexp.MustCompile(`^([A-Z ]{6})([-+ ]) *([0-9]*\.?[0-9]+) ([a-z%]+) *\r\n$`)},
		{Trailing{}, "     412.60 g ? NET\r\n", regexp.MustCompile(`^ +(-?[0-9]*\.?[0-9]+) +([a-zA-Z%]{1,5}) *\??(?: +(?:NET|[0-9:]+))? *\r\n$`)},
		{Polarity{}, "+ 412.60 g S\r\n", regexp.MustCompile(`^([-+ ]) *([0-9]*\.?[0-9]+) ?([a-z%]+).[SUE ]\r\n$`)},
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
				groups := c.peer.FindSubmatch(frame)
				number, unit := groups[len(groups)-2], groups[len(groups)-1]
				u, ok := ParseUnit(unit)
				m, err := ParseMass(string(number), u)
				if err != nil || !ok || m != 412600*Milligram {
					b.Fatal("the frame is good", m, err)
				}
			}
		})
	}
}
