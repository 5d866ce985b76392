package scale

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// lineCase is a line of a description and what it means. The weights of all
// lines are invented, and the byte counts are those of the descriptions.
type lineCase struct {
	line   string
	number string // "" for none
	want   Reading
	grams  string // "" where it must not be used as a weight
}

// The states that most lines have.
var (
	stillGram  = Reading{Unit: UnitGram, Motion: MotionStill}
	movingGram = Reading{Unit: UnitGram, Motion: MotionMoving}
)

// readsAs checks lines against their meaning.
func readsAs(t *testing.T, c Codec, lines []lineCase) {
	t.Helper()
	for _, l := range lines {
		got, err := c.Decode([]byte(l.line))
		require.NoError(t, err, "%q", l.line)
		number := ""
		if got.HasNumber {
			number = got.Number.String()
		}
		assert.Equal(t, l.number, number, "%q", l.line)
		grams := ""
		if m, ok := got.Weight(); ok {
			grams = string(m.AppendGrams(nil))
		}
		assert.Equal(t, l.grams, grams, "%q", l.line)
		got.Number, got.HasNumber = Decimal{}, false
		assert.Equal(t, l.want, got, "%q", l.line)
	}
}

// refuses checks that lines are refused, and why.
func refuses(t *testing.T, c Codec, lines map[string]string) {
	t.Helper()
	for line, reason := range lines {
		got, err := c.Decode([]byte(line))
		var fault *FrameError
		require.ErrorAs(t, err, &fault, "%q", line)
		assert.Contains(t, fault.Reason, reason, "%q", line)
		assert.Equal(t, Reading{}, got, "%q", line)
	}
}

// sends checks what is written for a still weight of 412.6 g, and that nothing is
// written for what the shape has no word for.
func sends(t *testing.T, c Codec, want string, mute ...Reading) {
	t.Helper()
	r := stillGram
	r.Number, r.HasNumber = Decimal{Coefficient: 4126, Places: 1, Lead: 3}, true
	assert.Equal(t, want, string(c.Encode(nil, r)))
	for _, m := range mute {
		m.Number, m.HasNumber = r.Number, true
		if m.Unit == UnitNone {
			m.Unit = UnitGram
		}
		assert.Equal(t, "kept", string(c.Encode([]byte("kept"), m)), "%+v", m)
	}
	r.Number = Decimal{Coefficient: 123456789012, Places: 1, Lead: 11}
	assert.Empty(t, c.Encode(nil, r), "the number does not fit")
}

// splits checks how a stream is cut into pieces.
func splits(t *testing.T, c Codec, streams map[string][]string) {
	t.Helper()
	for stream, want := range streams {
		var got []string
		for data := []byte(stream); len(data) > 0; {
			advance, piece, err := c.Split(data, true)
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

// obeys checks commands from both sides; a command that is not listed must not
// exist.
func obeys(t *testing.T, c Codec, commands map[Request]string) {
	t.Helper()
	for r := RequestUnknown; r <= RequestInfoNext; r++ {
		got, ok := c.Request(nil, r)
		assert.Equal(t, commands[r], string(got))
		assert.Equal(t, commands[r] != "", ok)
	}
	for _, unknown := range []string{"XYZ\r\n", "\r\n"} {
		r, n := c.ParseRequest([]byte(unknown))
		assert.Equal(t, RequestUnknown, r)
		assert.Equal(t, len(unknown), n)
	}
}

// A mistake that a codec must not make with what another shape sends: read it as
// another weight. Here every line of one shape goes to every codec.
func TestNoShapeReadsAnothersLineAsAnotherWeight(t *testing.T) {
	r := Reading{Number: Decimal{Coefficient: 1234, Places: 1, Lead: 3, Negative: true}, HasNumber: true, Unit: UnitGram, Mode: ModeGross, Motion: MotionStill}
	want, _ := r.Weight()
	all := append(Codecs(), Variants()...)
	for _, from := range all {
		for _, to := range all {
			if to == (Bare{Unit: UnitGram}) {
				continue // to it any line of digits is a weight, which is why it has settings
			}
			f := NewFramer(to)
			for range 3 {
				f.Feed(from.Encode(nil, r))
			}
			f.Flush()
			for got, _, ok := f.Next(); ok; got, _, ok = f.Next() {
				if m, usable := got.Weight(); usable {
					assert.Equal(t, want, m, "%s read as %s", from.Name(), to.Name())
				}
			}
		}
	}
}

// Eight bytes at a time give the same as one at a time.
func TestLineLength(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SliceOfN(rapid.SampledFrom([]byte("\r\n\x00\x01\x02\x03\x0c\x0e\x0f aA0\x7f\x80\x81\x8d\x8e\xff")), 0, 80).Draw(t, "bytes")
		want := 0
		for want < len(b) && b[want] != '\r' && b[want] != '\n' && b[want] != 3 {
			want++
		}
		require.Equal(t, want, lineLength(b))
	})
}
