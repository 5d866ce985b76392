package scale

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The frames here follow the column table of SMA SCP-0499 (first edition, 24
// April 1999), as public working notes and five manuals that print the layout
// reproduce it; the document itself was not at hand. The weights are invented.
//
//	LF s r n m f weight(10) unit(3) CR
func TestSMAFramesOfTheStandard(t *testing.T) {
	for _, c := range []struct {
		frame  string
		number string // "" for none
		want   Reading
		grams  string // "" where it must not be used
	}{
		{"\n 1G       412.6g  \r", "412.6", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill}, "412.6"},
		{"\nZ1G         0.0g  \r", "0.0", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill, Status: StatusZero}, "0"},
		{"\n 1NM       -3.2g  \r", "-3.2", Reading{Unit: UnitGram, Mode: ModeNet, Motion: MotionMoving}, "-3.2"},
		{"\n 1T       185.0g  \r", "185.0", Reading{Unit: UnitGram, Mode: ModeTare, Motion: MotionStill}, ""},
		{"\n 1g     1.25044kg \r", "1.25044", Reading{Unit: UnitKilogram, Mode: ModeGross, Motion: MotionStill, HighResolution: true}, "1250.44"},
		{"\n 1n     0.12504kg \r", "0.12504", Reading{Unit: UnitKilogram, Mode: ModeNet, Motion: MotionStill, HighResolution: true}, "125.04"},
		{"\nO1GM     6200.5g  \r", "6200.5", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionMoving, Status: StatusOver}, ""},
		{"\nU1G       -25.5g  \r", "-25.5", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill, Status: StatusUnder}, ""},
		{"\nT1GM ----------g  \r", "", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionMoving, Status: StatusTareError}, ""},
		{"\nE1G  ----------kg \r", "", Reading{Unit: UnitKilogram, Mode: ModeGross, Motion: MotionStill, Status: StatusZeroError}, ""},
		{"\nI1G  ----------lb \r", "", Reading{Unit: UnitPound, Mode: ModeGross, Motion: MotionStill, Status: StatusInitialZeroError}, ""},
		// A wait for stillness that ran out: dashes without an error letter, no unit.
		{"\n 1G  ----------   \r", "", Reading{Mode: ModeGross, Motion: MotionStill, Status: StatusNotReady}, ""},
		// Letters that makers added.
		{"\ne1G       412.6g  \r", "412.6", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill, Status: StatusNotReady}, ""},
		{"\nC1G       412.6g  \r", "412.6", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill, Status: StatusNotReady}, ""},
		// Range 2 of a scale with several, and a reserved byte in use.
		{"\n 2G x     412.6g  \r", "412.6", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill}, "412.6"},
		// An underscore for each blank, as the document prints them.
		{"\n_1G________412.6g__\r", "412.6", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill}, "412.6"},
		{"\n 1G       5.025kg_\r", "5.025", Reading{Unit: UnitKilogram, Mode: ModeGross, Motion: MotionStill}, "5025"},
		// 9, 8, 11 and 12 characters of weight.
		{"\n 1G      412.6g  \r", "412.6", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill}, "412.6"},
		{"\n 1G     412.6g  \r", "412.6", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill}, "412.6"},
		{"\n 1G        412.6g  \r", "412.6", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill}, "412.6"},
		{"\n 1G         412.6g  \r", "412.6", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill}, "412.6"},
		// Every digit of the field.
		{"\n 1G  12345.6789g  \r", "12345.6789", Reading{Unit: UnitGram, Mode: ModeGross, Motion: MotionStill}, "12345.6789"},
		{"\n 1G         24pcs\r", "24", Reading{Unit: UnitPieces, Mode: ModeGross, Motion: MotionStill, Status: StatusCount}, ""},
	} {
		got, err := SMA{}.Decode([]byte(c.frame))
		require.NoError(t, err, "%q", c.frame)
		if c.number != "" {
			assert.True(t, got.HasNumber, "%q", c.frame)
			assert.Equal(t, c.number, got.Number.String(), "%q", c.frame)
		}
		m, ok := got.Weight()
		assert.Equal(t, c.grams != "", ok, "%q", c.frame)
		if ok {
			assert.Equal(t, c.grams, string(m.AppendGrams(nil)), "%q", c.frame)
		}
		got.Number, got.HasNumber = Decimal{}, c.number == "" && got.HasNumber
		assert.Equal(t, c.want, got, "%q", c.frame)
	}
}

// Answers of SCP-0499 sections 5.2 to 5.5, same source.
func TestSMAAnswers(t *testing.T) {
	for frame, want := range map[string]Status{
		"\n?\r":                           StatusUnknownCommand,
		"\n!\r":                           StatusDamagedCommand,
		"\n    \r":                        StatusInfo, // self test: nothing wrong
		"\nR  x\r":                        StatusInfo,
		"\n EC \r":                        StatusInfo,
		"\nSMA:2/1.0\r":                   StatusInfo,
		"\nMFG:Anybody\r":                 StatusInfo,
		"\nSN :0012\r":                    StatusInfo,
		"\nOP1:1.0\r":                     StatusInfo,
		"\nCAP:kg :15.000:5:3\r":          StatusInfo,
		"\nCMD:HPQ\r":                     StatusInfo,
		"\nEND:\r":                        StatusInfo,
		"\nMOD:A name of 25 characters\r": StatusInfo,
	} {
		f := NewFramer(SMA{})
		f.Feed([]byte(frame))
		got, err, ok := f.Next()
		require.True(t, ok, "%q", frame)
		require.NoError(t, err, "%q", frame)
		assert.Equal(t, Reading{Status: want}, got, "%q", frame)
	}
}

func TestSMARefuses(t *testing.T) {
	for frame, reason := range map[string]string{
		"\n 1G    8:08.5l/o\r":           "two numbers",
		"\n 1G     8:08.5l/o\r":          "two numbers",
		"\n 1G       412.6xyz\r":         "the unit is not known",
		"\n 1G       412.6   \r":         "the unit is not known",
		"\n 1G      412.6g \r":           "the unit is not known", // a unit of two: the columns are not the standard's
		"\n 1G       4 2.6g  \r":         "not a plain decimal number",
		"\n 1G       4.2.6g  \r":         "not a plain decimal number",
		"\n 1G       412,6g  \r":         "not a plain decimal number",
		"\n 1G       4l2.6g  \r":         "not a plain decimal number",
		"\n 1G        1e3g  \r":          "not a plain decimal number",
		"\n 1G         NaNg  \r":         "not a plain decimal number",
		"\n 1G       --3.2g  \r":         "not a plain decimal number",
		"\n 1G           .g  \r":         "no number",
		"\n 1X       412.6g  \r":         "the mode",
		"\n 1GX      412.6g  \r":         "the motion mark",
		"\n GG       412.6g  \r":         "the range",
		"\n 1G -       3.2g  \r":         "reaches into the flags",
		"\n 1G       412.6g  412.6g  \r": "20 bytes",
		"\n 1G   412.6g  \r":             "20 bytes",
		" 1G       412.6g  \r":           "line feed",
		"\n 1G       412.6g  ":           "carriage return",
		"\n 1G       41\x002.6g  \r":     "a zero byte",
		"\n 1G       41\x13.6g  \r":      "no text",
		"\n 1G       41\xb2.6g  \r":      "no text",
		"\n 1G     \n 412.6g  \r":        "no text",
		"\n??\r":                         "20 bytes",
		"\n1":                            "carriage return",
		"\n":                             "carriage return",
		"\n\r":                           "20 bytes",
		"?\r":                            "line feed",
		"":                               "line feed",
	} {
		got, err := SMA{}.Decode([]byte(frame))
		var fault *FrameError
		require.ErrorAs(t, err, &fault, "%q", frame)
		assert.Contains(t, fault.Reason, reason, "%q", frame)
		assert.Equal(t, Reading{}, got, "%q", frame)
	}
}

// A fragment in front of a frame is a piece of its own, and bare line ends
// carry nothing: SCP-0499 begins each frame with its own LF, so a host splits
// at CR and lets go what stands before the last LF.
func TestSMASplit(t *testing.T) {
	const good = "\n 1G       412.6g  \r"
	for stream, want := range map[string][]string{
		good + good:                           {good, good},
		good + "\n" + good:                    {good, good}, // CR LF ends
		"\r\n\r\n" + good + "\r\r":            {good},
		"\n\n\n" + good:                       {good},
		"6g  \r" + good:                       {"6g  \r", good},
		"\n 1G      " + good:                  {"\n 1G      ", good},
		"\xff\xfe" + good:                     {"\xff\xfe", good},
		good + "\n 1G    ":                    {good, "\n 1G    "},
		"\n    \r" + good:                     {"\n    \r", good},
		strings.Repeat("x", 100) + good:       {strings.Repeat("x", 64), strings.Repeat("x", 36), good},
		strings.Repeat("x", 64) + "\r" + good: {strings.Repeat("x", 64), good},
	} {
		var got []string
		for data := []byte(stream); len(data) > 0; {
			advance, piece, err := SMA{}.Split(data, true)
			require.NoError(t, err)
			require.Positive(t, advance)
			if piece != nil {
				got = append(got, string(piece))
			}
			data = data[advance:]
		}
		assert.Equal(t, want, got, "%q", stream)
	}
}

// Commands of SCP-0499 sections 4.1 to 4.19, same source.
func TestSMARequests(t *testing.T) {
	for request, want := range map[Request]string{
		RequestWeight: "\nW\r", RequestStream: "\nR\r", RequestZero: "\nZ\r", RequestTare: "\nT\r",
		RequestClearTare: "\nC\r", RequestReset: "\x1b", RequestAbout: "\nA\r",
		RequestAboutNext: "\nB\r", RequestInfo: "\nI\r", RequestInfoNext: "\nN\r",
	} {
		got, ok := SMA{}.Request(nil, request)
		assert.True(t, ok)
		assert.Equal(t, want, string(got))
	}
	_, ok := SMA{}.Request(nil, RequestUnknown)
	assert.False(t, ok)
}

// The scale's side: an ESC counts at any time, also inside a command; a new LF
// begins anew; what stands outside is noise.
func TestSMAParseRequest(t *testing.T) {
	for data, want := range map[string]struct {
		r Request
		n int
	}{
		"":                             {RequestUnknown, 0},
		"\n":                           {RequestUnknown, 0},
		"\nW":                          {RequestUnknown, 0},
		"\nW\r\nZ\r":                   {RequestWeight, 3},
		"\n\x1bW\r":                    {RequestReset, 2},
		"xx\nT\r":                      {RequestTare, 5},
		"\nT\nZ\r":                     {RequestZero, 5},
		"\n\rW\r":                      {RequestUnknown, 4}, // an empty frame, and noise
		"\nw\r":                        {RequestUnknown, 3},
		"\nT   50.0\r":                 {RequestUnknown, 10},
		"\nWW\r":                       {RequestUnknown, 4},
		"noise":                        {RequestUnknown, 5},
		"noise\nW":                     {RequestUnknown, 5},
		"\n" + strings.Repeat("T", 64): {RequestUnknown, 65},
	} {
		r, n := SMA{}.ParseRequest([]byte(data))
		assert.Equal(t, want.r, r, "%q", data)
		assert.Equal(t, want.n, n, "%q", data)
	}
}

// The example CAP:kg :15.000:5:3, 15 kg by 0.005 kg, and the order of the parts
// are those of SCP-0499's information dialogue, same source.
func TestParseRange(t *testing.T) {
	for line, want := range map[string]Range{
		"\nCAP:kg :15.000:5:3\r": {UnitKilogram, 15 * Kilogram, 5 * Gram},
		"CAP:g  :6200:1:1":       {UnitGram, 6200 * Gram, 100 * Milligram},
		"CAP:g__:3000.00:2:2":    {UnitGram, 3 * Kilogram, 20 * Milligram},
		"CAP:kg :30:10:3":        {UnitKilogram, 30 * Kilogram, 10 * Gram},
		"CAP:g  :5000:20:0":      {UnitGram, 5 * Kilogram, 20 * Gram},
	} {
		got, err := ParseRange([]byte(line))
		require.NoError(t, err, "%q", line)
		assert.Equal(t, want, got, "%q", line)
	}
	for line, want := range map[string]error{
		"CMD:HPQ": ErrNotCapacity, "": ErrNotCapacity, "CAP:kg :15.000:5": ErrNotCapacity,
		"CAP:kg :15.000:5:3:1": ErrNotCapacity, "CAP:pcs:15:5:3": ErrNotMass, "CAP:   :15:5:3": ErrNotMass,
		"CAP:kg ::5:3": ErrNoNumber, "CAP:kg :1x:5:3": ErrNumber, "CAP:kg :15:-5:3": ErrNumber, "CAP:kg :15:.5:3": ErrNumber,
		"CAP:kg :15:5:300": ErrRange, "CAP:kg :15:5:10": ErrRange, "CAP:kg :15:0:3": ErrRange,
		"CAP:kg :-15:5:3": ErrRange, "CAP:g  :1:5:0": ErrRange, "CAP:t  :999999999999:1:0": ErrTooBig,
	} {
		got, err := ParseRange([]byte(line))
		assert.ErrorIs(t, err, want, "%q", line)
		assert.Equal(t, Range{}, got)
	}
}

// Encode writes what the table of the standard says, 20 bytes.
func TestSMAEncode(t *testing.T) {
	number := Decimal{Coefficient: 4126, Places: 1, Lead: 3}
	for want, r := range map[string]Reading{
		"\n 1G       412.6g  \r": {Number: number, HasNumber: true, Unit: UnitGram},
		"\nZ1NM      412.6kg \r": {Number: number, HasNumber: true, Unit: UnitKilogram, Mode: ModeNet, Motion: MotionMoving, Status: StatusZero},
		"\n 1n       412.6lb \r": {Number: number, HasNumber: true, Unit: UnitPound, Mode: ModeNet, HighResolution: true},
		"\n 1T       412.6oz \r": {Number: number, HasNumber: true, Unit: UnitOunce, Mode: ModeTare},
		"\nO1G       412.6g  \r": {Number: number, HasNumber: true, Unit: UnitGram, Status: StatusOver},
		"\nU1G  ----------g  \r": {Unit: UnitGram, Status: StatusUnder},
		"\nT1G  ----------g  \r": {Number: number, HasNumber: true, Unit: UnitGram, Status: StatusTareError},
		"\nE1G  ----------g  \r": {Number: number, HasNumber: true, Unit: UnitGram, Status: StatusZeroError},
		"\nI1G  ----------g  \r": {Unit: UnitGram, Status: StatusInitialZeroError},
		"\n 1G  ----------g  \r": {Number: number, HasNumber: true, Unit: UnitGram, Status: StatusNotReady},
		"\n?\r":                  {Status: StatusUnknownCommand},
		"\n!\r":                  {Status: StatusDamagedCommand},
	} {
		assert.Equal(t, want, string(SMA{}.Encode(nil, r)))
	}
}
