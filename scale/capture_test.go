package scale

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "rewrite the captures that are made and all golden readings")

// TestCaptures decodes every capture under testdata, whoever recorded it, with
// the shape that its header names, and compares with the golden readings beside
// it. Every family has a capture of every situation.
func TestCaptures(t *testing.T) {
	t.Run("made", madeCaptures)
	paths, err := filepath.Glob(filepath.Join(captures, "*", "*.cap"))
	require.NoError(t, err)
	covered := map[reflect.Type]map[string]bool{}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		capture, err := ReadCapture(bytes.NewReader(text))
		require.NoError(t, err, path)
		c, err := CodecByName(capture.Field("shape"))
		require.NoError(t, err, path)
		assert.NotEmpty(t, capture.Field("what"), path)
		assert.NotEmpty(t, capture.Field("made")+capture.Field("device"), "%s does not say where it comes from", path)
		golden(t, strings.TrimSuffix(path, ".cap")+".golden", replay(c, capture))
		family := reflect.TypeOf(c)
		if covered[family] == nil {
			covered[family] = map[string]bool{}
		}
		covered[family][strings.TrimSuffix(filepath.Base(path), ".cap")] = true
	}
	for _, c := range Codecs() {
		for situation := range situations(nil) {
			assert.True(t, covered[reflect.TypeOf(c)][situation], "no capture, no codec: %s has none of %s", c.Name(), situation)
		}
	}
}

// replay writes a line for each piece: the milliseconds at which it was whole,
// and what it says.
func replay(c Codec, capture Capture) []byte {
	var out bytes.Buffer
	f := NewFramer(c)
	fetch := func(at time.Duration) {
		for r, err, ok := f.Next(); ok; r, err, ok = f.Next() {
			ms := float64(at.Microseconds()) / 1000
			if err != nil {
				fmt.Fprintf(&out, "%9.3f  refused: %v\n", ms, err)
				continue
			}
			number := "none"
			if r.HasNumber {
				number = r.Number.String()
			}
			weight := "unusable"
			if m, ok := r.Weight(); ok {
				weight = m.String()
			}
			fmt.Fprintf(&out, "%9.3f  %s %s %s %s %s = %s\n", ms, number, r.Unit, r.Mode, [...]string{"?", "still", "moving"}[r.Motion], r.Status, weight)
		}
	}
	var end time.Duration
	for _, chunk := range capture.Chunks {
		f.Feed(chunk.Data)
		fetch(chunk.At)
		end = chunk.At
	}
	f.Flush()
	fetch(end)
	return out.Bytes()
}

func TestCaptureComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var want Capture
		for range rapid.IntRange(0, 3).Draw(t, "header") {
			want.Header = append(want.Header, rapid.StringMatching(`[a-z]+: [!-~]+( [!-~]+)?`).Draw(t, "line"))
		}
		var at time.Duration
		for range rapid.IntRange(0, 10).Draw(t, "chunks") {
			at += time.Duration(rapid.Int64Range(0, int64(MaxCaptureGap/time.Microsecond)).Draw(t, "gap")) * time.Microsecond
			want.Chunks = append(want.Chunks, Chunk{At: at, Data: rapid.SliceOfN(rapid.Byte(), 1, MaxCaptureChunk).Draw(t, "data")})
		}
		var text bytes.Buffer
		require.NoError(t, want.Write(&text))
		for line := range strings.Lines(text.String()) {
			require.LessOrEqual(t, len(line), MaxCaptureLine)
			require.Equal(t, strings.TrimRight(line, " \n")+"\n", line, "an editor would cut it")
		}
		got, err := ReadCapture(&text)
		require.NoError(t, err)
		require.Equal(t, want, got)
	})
}

func TestCaptureText(t *testing.T) {
	var text bytes.Buffer
	w, err := NewCaptureWriter(&text, "shape: sma", "what: two\r\nlines")
	require.NoError(t, err)
	require.NoError(t, w.Chunk(5*time.Millisecond, []byte("\n 1G \\")))
	require.NoError(t, w.Chunk(36250700*time.Nanosecond, []byte("  \r")))
	require.NoError(t, w.Chunk(10*time.Millisecond, []byte{0, 0xFF, ' '}))      // a clock that ran backwards
	require.NoError(t, w.Chunk(40*time.Millisecond, nil))                       // nothing came
	require.NoError(t, w.Chunk(100*time.Hour, []byte(" ")))                     // a gap of more than a day
	require.NoError(t, w.Chunk(100*time.Hour, bytes.Repeat([]byte("x"), 1025))) // more than a line takes
	assert.Equal(t, strings.Join([]string{
		"# shape: sma", "# what: two lines",
		`+5.000 \n 1G \\`, `+31.250 \x20 \r`, `+0.000 \x00\xff\x20`, `+86400000.000 \x20`,
		`+86400000.000 ` + strings.Repeat("x", 1024), `+0.000 x`, "",
	}, "\n"), text.String())

	c, err := ReadCapture(strings.NewReader("#shape:  csv \n\n# a remark\n+1 a b\r\n# cable pulled\n+0.5 \\x20\n+.25 +1\n"))
	require.NoError(t, err)
	assert.Equal(t, "csv", c.Field("shape"))
	assert.Empty(t, c.Field("what"))
	assert.Equal(t, "a b +1", string(c.Bytes()))
	assert.Equal(t, []string{"shape:  csv", "a remark"}, c.Header)
	assert.Equal(t, 1750*time.Microsecond, c.Chunks[2].At)
}

func TestCaptureRefuses(t *testing.T) {
	for line, reason := range map[string]string{
		"hello":                 "neither with # nor with +",
		" +1 a":                 "neither with # nor with +",
		"+":                     "a chunk is +",
		"+1":                    "a chunk is +",
		"+ a":                   "a chunk is +",
		"+-1 a":                 "a chunk is +",
		"++1 a":                 "a chunk is +",
		"+1.2345 a":             "a chunk is +",
		"+1e3 a":                "a chunk is +",
		"+1 ":                   "without bytes",
		"+1 a\x00":              `byte 0x00 stands there as it is and not as \x00`,
		"+1 \xff":               `not as \xff`,
		`+1 \`:                  "a backslash is followed by",
		`+1 \t`:                 "a backslash is followed by",
		`+1 \x2`:                "a backslash is followed by",
		`+1 \xg0`:               "two hexadecimal digits",
		"+86400000.001 a":       "more than a day",
		"+999999999999999999 a": "more than a day",
		"+1 " + strings.Repeat("a", MaxCaptureLine): "longer than 8192 bytes",
	} {
		_, err := ReadCapture(strings.NewReader("# shape: sma\n+1 a\n" + line + "\n+1 b\n"))
		var bad *CaptureError
		require.ErrorAs(t, err, &bad, "%.40q", line)
		assert.Equal(t, 3, bad.Line, "%.40q", line)
		assert.Contains(t, bad.Error(), reason)
		assert.Contains(t, bad.Error(), "line 3 of the capture: ")
	}
	_, err := ReadCapture(strings.NewReader(strings.Repeat("+86400000 a\n", 417)))
	assert.ErrorContains(t, err, "line 417 of the capture: more than 10000 hours since the beginning")

	broken := errors.New("the disk is gone")
	_, err = ReadCapture(io.MultiReader(strings.NewReader("# a\n"), iotest.ErrReader(broken)))
	assert.ErrorIs(t, err, broken)
	_, err = NewCaptureWriter(brokenWriter{broken}, "a")
	assert.ErrorIs(t, err, broken)
	w, err := NewCaptureWriter(brokenWriter{broken})
	require.NoError(t, err)
	assert.ErrorIs(t, w.Chunk(0, []byte("a")), broken)
}

type brokenWriter struct{ err error }

func (b brokenWriter) Write([]byte) (int, error) { return 0, b.err }

// A power cut in the middle of a line loses that line and nothing before it.
func TestCaptureTornAtItsEnd(t *testing.T) {
	whole := "# shape: sma\n+0.000 \\n 1G       412.6g\n+31.250 \\x20\\x20\\r\n"
	for _, torn := range []string{"+99.45", "+", "+3.2 \\", "+3.2 \\x4", "+3.2 "} {
		c, err := ReadCapture(strings.NewReader(whole + torn))
		require.NoError(t, err, torn)
		require.Len(t, c.Chunks, 2, torn)
		_, err = ReadCapture(strings.NewReader(whole + torn + "\n"))
		require.Error(t, err, "a whole line that does not fit: %s", torn)
		_, err = ReadCapture(strings.NewReader(torn + "\n" + whole))
		require.Error(t, err, "not at the end: %s", torn)
	}
}
