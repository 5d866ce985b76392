package scale

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Shape S13, described in a manual; a public driver looks for the unit because
// some firmwares send no line end.
func TestPrefixQuirks(t *testing.T) {
	quirks(t, Prefix{},
		[2]string{"ww00000.413kg\r", "00000.413 kg gross ok"},
		[2]string{"wn00000.228kg\n", "00000.228 kg net ok"},
		[2]string{"ww-0000.003kg\r", "-0000.003 kg gross ok"},
		[2]string{"wn000012.50lb\r", "000012.50 lb net ok"},
		[2]string{"wn00012.50lb\r", "00012.50 lb net ok"},
		[2]string{"wn0012.50lb\r", "0012.50 lb net ok"},
		[2]string{"wn012.50lb\r", "refused: a fragment"},
		[2]string{"wn0000012.50lb\r", "refused: a fragment"},
		[2]string{"ww000412.60 g\r", "000412.60 g gross ok"},
		[2]string{"ww00000.413xy\r", "refused: the unit is not known"},
		[2]string{"ww00000.413  \r", "refused: the unit is not known"},
		[2]string{"ww00000413pc\r", "00000413 pc gross count"},
		[2]string{"ww00000413.pc\r", "00000413 pc gross count"},
		[2]string{"wx00000.413kg\r", "refused: a fragment"},
		[2]string{"ww0.000.413kg\r", "refused: the value is not a plain"},
		[2]string{"ww000-0.413kg\r", "refused: a fragment"},
		[2]string{"ww0 0000.413kg\r", "refused: a fragment"},
		[2]string{"ww00 00.413kg\r", "refused: a fragment"},
		[2]string{"ww00000.413kg", "refused: a fragment: the line end is missing"},
		[2]string{"ww00000.413kw", "refused: a fragment"},
		[2]string{"ww00\x0000.413kg\r", "refused: a zero byte"},
	)
	quirks(t, Prefix{Endless: true},
		[2]string{"ww00000.413kg", "00000.413 kg gross ok"},
		[2]string{"wn-0000.228kg", "-0000.228 kg net ok"},
	)
}

// Shape S14, from a table in a public paper; its examples have one column more
// than it says.
func TestFramedQuirks(t *testing.T) {
	quirks(t, Framed{Unit: UnitGram},
		[2]string{"\x02    412.6G\x03", "412.6 g gross still ok"},
		[2]string{"\x02-     3.2M\x03", "-3.2 g moving ok"},
		[2]string{"\x02   412.6N\x03", "412.6 g net still ok"},
		[2]string{"\x02   -12.6G\x03", "-12.6 g gross still ok"},
		[2]string{"\x02        U\x03", "none g under"},
		[2]string{"\x02 9999999O\x03", "none g over"},
		[2]string{"\x02        E\x03", "none g not-ready"},
		[2]string{"\x02   412.6X\x03", "refused: the status is none of the letters"},
		[2]string{"\x02   412.6g\x03", "refused: the status is none of the letters"},
		[2]string{"\x02   4 2.6G\x03", "refused: the weight is not a plain"},
		[2]string{"\x02  412.6G\x03", "refused: neither of the two formats"},
		[2]string{"\x02    412.6G     g\x03", "412.6 g gross still ok"},
		[2]string{"\x02   412.6G    kg\x03", "412.6 kg gross still ok"},
		[2]string{"\x02   412.6NM1    \x03", "refused: the zero mark"},
		[2]string{"\x02   412.6NM 1   \x03", "412.6 net moving ok"},
		[2]string{"\x02     0.0G Z1  g\x03", "0.0 g gross still zero"},
		[2]string{"\x02   412.6G  1   \x03", "refused: the unit is missing although"},
		[2]string{"\x02   412.6Gx    g\x03", "refused: the motion mark"},
		[2]string{"\x02   412.6G  x  g\x03", "refused: the range"},
		[2]string{"\x02   412.6M     g\x03", "refused: the status is none"},
		[2]string{"\x02   412.6G   xyz\x03", "refused: the unit is not known"},
		[2]string{"\x02   412.6G   pcs\x03", "412.6 pc gross still count"},
		[2]string{"\x02        OM  \x20  g\x03", "refused: "},
		[2]string{"\x02        OM     \x03", "none moving over"},
		[2]string{"\x02   41\x002.6G\x03", "refused: a zero byte"},
	)
	// No setting: the short format has no unit, the moving long one neither.
	for _, frame := range []string{"\x02   412.6G\x03", "\x02   412.6NM     \x03"} {
		r, err := Framed{}.Decode([]byte(frame))
		require.NoError(t, err)
		_, usable := r.Weight()
		assert.False(t, usable, "%q", frame)
	}
}

// Shape S15, described in a manual as one of its continuous formats.
func TestCRFirstQuirks(t *testing.T) {
	quirks(t, CRFirst{},
		[2]string{"\r 00412.6 g G\x03", "00412.6 g gross still ok"},
		[2]string{"\r-  003.2Mg N\x03", "-003.2 g net moving ok"},
		[2]string{"\r+ 412.60 kgG\x03", "412.60 kg gross still ok"},
		[2]string{"\r 000412. lbG\x03", "000412 lb gross still ok"},
		[2]string{"\r 99999.9O gG\x03", "none g gross still over"},
		[2]string{"\r-99999.9O gG\x03", "none g gross still under"},
		[2]string{"\r 00412.6e gG\x03", "none g gross still not-ready"},
		[2]string{"\r 0041236 g G\x03", "refused: the point is missing"},
		[2]string{"\r 00412.6xg G\x03", "refused: the status is none"},
		[2]string{"\r 00412.6 g T\x03", "refused: the mode is neither"},
		[2]string{"\r 00412.6 xyG\x03", "refused: the unit is not known"},
		[2]string{"\r*00412.6 g G\x03", "refused: the sign is none"},
		[2]string{"\r 0-412.6 g G\x03", "refused: the weight is not a plain"},
		[2]string{"\r -0412.6 g G\x03", "refused: the weight is not a plain"},
		[2]string{"\r    .    g G\x03", "refused: the weight is not a plain"},
		[2]string{"\r 00412.6 pcG\x03", "00412.6 pc gross still count"},
		[2]string{" 00412.6 g G\x03", "refused: a fragment"},
		[2]string{"\r 00412.6 g G\r", "refused: a fragment"},
		[2]string{"\r 00\x0012.6 g G\x03", "refused: a zero byte"},
	)
}

// Shape S16, read by a public package, which takes the largest number; here only
// the wanted label counts.
func TestLabelledQuirks(t *testing.T) {
	quirks(t, Labelled{},
		[2]string{"Gross: 412.6 g\r", "412.6 g gross ok"},
		[2]string{"GROSS  - 3.2 kg\n", "-3.2 kg gross ok"},
		[2]string{"GS:412.6g\r", "412.6 g gross ok"},
		[2]string{"gs 412.6 lb\x03", "412.6 lb gross ok"},
		[2]string{"Net: 9412.6 g\r", "none info"},
		[2]string{"NT 9412.6 g\r", "none info"},
		[2]string{"GT 9412.6 g\r", "none info"},
		[2]string{"Tare: 185.0 g\r", "185.0 g tare ok"},
		[2]string{"2031-05-04 10:22\r", "none info"},
		[2]string{"04.05.2031\r", "none info"},
		[2]string{"Date 04.05.2031\r", "none info"},
		[2]string{"Gross: ------ g\r", "none gross not-ready"},
		[2]string{"Gross: 412.6\r", "refused: the unit is missing"},
		[2]string{"Gross: 412.6 g 3\r", "refused: the unit is missing or not known, or there is more"},
		[2]string{"Gross: 4 2.6 g\r", "refused: the value is not a plain"},
		[2]string{"Gross: 412,6 g\r", "refused: the unit"},
		[2]string{"Gross: g\r", "refused: the value is no number"},
		[2]string{"Gross: 24 pcs\r", "24 pc gross count"},
		[2]string{"412.6 g\r", "refused: a fragment or another shape"},
		[2]string{"ross: 412.6 g\r", "refused: a fragment or another shape"},
		[2]string{"Brutto: 412.6 g\r", "refused: a fragment or another shape"},
		[2]string{"-412.6\r", "refused: a fragment"},
		[2]string{"412.6\r", "refused: a fragment"},
		[2]string{"Gross: 41\x002.6 g\r", "refused: a zero byte"},
		[2]string{"Gross: 412.6 \x00g\r", "refused: a zero byte"},
		[2]string{"Net: 41\x002.6 g\r", "refused: a zero byte"},
		[2]string{"Gross: 412.6 g", "refused: a fragment: the line end"},
		[2]string{"\r", "refused: an empty line"},
	)
	quirks(t, Labelled{Label: ModeNet},
		[2]string{"Net: 227.6 g\r", "227.6 g net ok"},
		[2]string{"nt -3.2 g\r", "-3.2 g net ok"},
		[2]string{"Gross: 412.6 g\r", "none info"},
	)
	// A whole print: the wanted line is not the one with the largest number.
	f := NewFramer(Labelled{Label: ModeNet})
	f.Feed([]byte("2031-05-04 10:22\r\nGross: 412.6 g\r\nTare: 185.0 g\r\nNet: 227.6 g\r\n\r\n"))
	var weights []string
	for r, err, ok := f.Next(); ok; r, err, ok = f.Next() {
		require.NoError(t, err)
		if m, ok := r.Weight(); ok {
			weights = append(weights, m.String())
		}
	}
	assert.Equal(t, []string{"227.6 g"}, weights)
}

// Shape S17, read by a public package and seen in a public issue, where a reader
// that kept appending made numbers of the rest of lines.
func TestBareQuirks(t *testing.T) {
	quirks(t, Bare{Unit: UnitGram},
		[2]string{"412.6\r", "412.6 g ok"},
		[2]string{"   412.6\n", "412.6 g ok"},
		[2]string{"-   3.25 \r", "-3.25 g ok"},
		[2]string{"$000412\r", "000412 g ok"},
		[2]string{"$-00412\r", "-00412 g ok"},
		[2]string{"------\r", "none not-ready"},
		[2]string{"412.6 g\r", "refused: more than a number"},
		[2]string{"412,6\r", "refused: more than a number"},
		[2]string{"412.6412.6\r", "refused: the line is not a plain"},
		[2]string{"123456789\r", "refused: more than eight digits"},
		[2]string{"4 2.6\r", "refused: the line is not a plain"},
		[2]string{"   \r", "refused: the line is no number"},
		[2]string{"$\r", "refused: the line is no number"},
		[2]string{"412.6", "refused: a fragment: the line end"},
		[2]string{"41\x002.6\r", "refused: a zero byte"},
	)
	quirks(t, Bare{Unit: UnitGram, Width: 8},
		[2]string{"   412.6\r", "412.6 g ok"},
		[2]string{"12.6\r", "refused: not as long as the lines"},
		[2]string{"41   412.6\r", "refused: not as long as the lines"},
	)
	r, err := Bare{}.Decode([]byte("412.6\r"))
	require.NoError(t, err)
	_, usable := r.Weight()
	assert.False(t, usable, "no unit is set")
}

// Shape S18, described in a manual: FF, flags, three bytes of two digits with
// the last first, unit.
func TestBinaryIsNamed(t *testing.T) {
	frame := "\xff\x41\x26\x41\x00\x00"
	for _, stream := range []string{frame + frame, "\x41\x00\x00" + frame + frame + "\xff\x41"} {
		err := BinaryFrames([]byte(stream))
		var fault *FrameError
		require.ErrorAs(t, err, &fault)
		assert.Contains(t, fault.Reason, "binary, unsupported")
		assert.Equal(t, frame, string(fault.Piece))
	}
	for _, stream := range []string{
		"", frame, frame + "x" + frame, "\n 1G       412.6g  \r\n 1G       412.6g  \r",
		"\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff", "\xff\x41\x2a\x41\x00\x00\xff\x41\x2a\x41\x00\x00",
		"\xff\x41\x26\x41\x00\x02\xff\x41\x26\x41\x00\x02",
	} {
		assert.NoError(t, BinaryFrames([]byte(stream)), "%q", stream)
	}
}

// Every byte in every place, against the plain way.
func TestEightDigits(t *testing.T) {
	for at := range 8 {
		for c := range 256 {
			b := []byte("01234567")
			b[at] = byte(c)
			assert.Equal(t, allDigits(b), eightDigits(b), "%q", b)
		}
	}
}
