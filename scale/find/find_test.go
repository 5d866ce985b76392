package find

import (
	"errors"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/scale"
)

func TestSettingText(t *testing.T) {
	s := Setting{Baud: 9600, DataBits: 7, Parity: 'e', StopBits: 1}
	assert.Equal(t, "9600 7E1", s.String())
	assert.Equal(t, "7e1", s.Format())
}

// TestSlower: bytes counted by hand, as the line of simulator's test: at a
// quarter of the speed the start and three zeros, four equal bits, one more.
func TestSlower(t *testing.T) {
	assert.Equal(t, 2400, slower(9600, []byte{0x78, 0xF8, 0x00, 0x80, 0x78}))
	assert.Equal(t, 4800, slower(9600, []byte{0x06, 0x18, 0x1E, 0x60, 0xFE}))
	assert.Equal(t, 1200, slower(9600, []byte{0x00, 0x80, 0x80}))
	assert.Equal(t, 0, slower(9600, []byte("ST,GS,+  412.6 g\r\n")))
	assert.Equal(t, 0, slower(9600, nil))
}

func TestViews(t *testing.T) {
	text := []byte("ST,GS,+  412.6 g\r\n")
	var even, mark []byte
	for _, c := range text {
		if viewOdd.fits(c) {
			even = append(even, c|0x80)
		} else {
			even = append(even, c)
		}
		mark = append(mark, c|0x80)
	}
	assert.Equal(t, []view{view8}, views(text))
	assert.Contains(t, views(even), viewEven)
	assert.NotContains(t, views(even), viewOdd)
	assert.Contains(t, views(mark), viewMark)
	assert.Equal(t, text, viewEven.apply(even))
	assert.Equal(t, text, viewMark.apply(mark))
	even[3] ^= 0x10 // a bit that changed on the line
	assert.Zero(t, viewEven.apply(even)[3], "as with a wrong parity")
}

// TestKinds: what is found out from codecs, beside what their heads say.
func TestKinds(t *testing.T) {
	still := stream(1, "412.6", 0, scale.MotionStill, scale.StatusOK)[0]
	want := map[string]kind{
		"sma": kindTokens, "csv": kindTokens, "letters": kindTokens, // widths differ
		"header": kindFixed, "signed": kindFixed, "polarity": kindFixed, "reversed-g": kindFixed, "status-bytes": kindFixed,
		"xor-digits-g": kindChecksum, "handshake": kindChecksum, "status-bytes-checksum": kindChecksum,
		"bare-g": kindNumber, "bare-8-g": kindNumber, "bare-dollar-g": kindNumber,
	}
	said := map[string]bool{"xor-digits-g": false, "reversed-g": false, "bare-g": false, "framed-short-g": false,
		"csv": true, "framed": true, "signed": true, "labelled-net": true, "status-bytes": true}
	for _, c := range known() {
		if k, ok := want[c.Name()]; ok {
			assert.Equal(t, k, kindOf(c, c.Encode(nil, still)), c.Name())
			delete(want, c.Name())
		}
		if s, ok := said[c.Name()]; ok {
			assert.Equal(t, s, saysUnit(c), c.Name())
			delete(said, c.Name())
		}
	}
	assert.Empty(t, want)
	assert.Empty(t, said)
}

func TestAsksAreHarmless(t *testing.T) {
	for _, p := range asks(known()) {
		assert.True(t, isHarmless(p), "%q", p)
	}
	for _, p := range []string{"", "Z\r", "T\r\n", "\nC\r", "U\r", "C1\r\n", "TAC\r\n", "X", "@\r\n", "SIR\r\n", "CP\r\n"} {
		assert.False(t, isHarmless([]byte(p)), "%q", p)
	}
	w := &tape{}
	s := &search{wire: w}
	require.NoError(t, s.write([]byte("Z\r")))
	assert.Empty(t, w.written)
}

// tape is a wire from which the same bytes come again and again.
type tape struct {
	give    []byte
	written []string
	sets    int
	err     error
}

func (w *tape) Set(Setting) error    { w.sets++; return w.err }
func (w *tape) Write(p []byte) error { w.written = append(w.written, string(p)); return w.err }
func (w *tape) Listen(time.Duration) ([]byte, error) {
	return append([]byte(nil), w.give...), w.err
}

func TestQuietNeverWrites(t *testing.T) {
	w := &tape{}
	r, err := Find(w, Options{Quiet: true})
	require.NoError(t, err)
	assert.Empty(t, w.written)
	assert.Equal(t, TroubleSilent, r.Trouble)
	assert.Equal(t, DefaultMost, r.Spent)
	r, err = Find(w, Options{Most: 4 * time.Second})
	require.NoError(t, err)
	assert.NotEmpty(t, w.written)
	assert.Equal(t, 4*time.Second, r.Spent)
}

func TestErrorsOfTheWireComeBack(t *testing.T) {
	gone := errors.New("gone")
	_, err := Find(&tape{err: gone}, Options{})
	assert.ErrorIs(t, err, gone)
}

func TestProgressIsTold(t *testing.T) {
	var steps []Step
	r, err := Find(&tape{give: []byte("ST,GS,+  412.6 g\r\n")}, Options{Progress: func(s Step) { steps = append(steps, s) }})
	require.NoError(t, err)
	require.True(t, r.Found)
	assert.Equal(t, "csv", r.Line)
	assert.Equal(t, Sure, r.Sure)
	assert.Equal(t, 100*scale.Milligram, r.Division)
	assert.Equal(t, `"ST,GS,+  412.6 g\r" is 412.6 g, gross, still`, r.Sample[0])
	assert.Equal(t, "listening at 9600 8N1", steps[0].Text)
	assert.Contains(t, steps[len(steps)-1].Text, "lines of the shape csv")
}

func TestDivisionByTwoAndFive(t *testing.T) {
	for by, want := range map[uint64]scale.Mass{1: 100 * scale.Milligram, 2: 200 * scale.Milligram, 5: 500 * scale.Milligram, 10: scale.Gram} {
		var lines []line
		for _, r := range stream(9, "100.0", by, scale.MotionMoving, scale.StatusOK) {
			lines = append(lines, line{reading: r})
		}
		assert.Equal(t, want, division(lines, scale.UnitGram))
	}
	one := []line{{reading: stream(1, "100.0", 0, scale.MotionStill, scale.StatusOK)[0]}}
	assert.Equal(t, 100*scale.Milligram, division(one, scale.UnitGram), "one number shows no step")
}

// TestAnyBytesEndInTime: whatever comes, Find ends within its time and says why.
func TestAnyBytesEndInTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := &tape{give: rapid.SliceOfN(rapid.Byte(), 0, 40).Draw(t, "bytes")}
		r, err := Find(w, Options{Most: 3 * time.Second})
		require.NoError(t, err)
		assert.LessOrEqual(t, r.Spent, 3*time.Second)
		assert.NotEmpty(t, r.Why)
		assert.Equal(t, r.Found, r.Sure != NotSure)
		assert.True(t, r.Found || r.Settles != "")
	})
}
