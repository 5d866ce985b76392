package ui

import (
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/mix"
	"gramcup/scale"
)

// fedDesk is a wire whose bytes a test gives.
type fedDesk struct {
	mu     sync.Mutex
	codec  scale.Codec
	wire   ScaleWire
	kept   []ScaleChunk
	next   uint64
	opened bool
}

var began = time.UnixMilli(1_700_000_000_000)

func (d *fedDesk) Wire() ScaleWire    { return d.wire }
func (d *fedDesk) Codec() scale.Codec { return d.codec }

func (d *fedDesk) feed(at time.Duration, data ...string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, s := range data {
		d.kept = append(d.kept, ScaleChunk{N: d.next, At: began.Add(at), Fresh: d.next == 0 || d.opened, Data: []byte(s)})
		d.next, d.opened = d.next+1, false
	}
}

func (d *fedDesk) Since(n uint64) (chunks []ScaleChunk, next uint64) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, c := range d.kept {
		if c.N >= n {
			chunks = append(chunks, c)
		}
	}
	return chunks, d.next
}

func (d *fedDesk) Capture(w io.Writer, header ...string) error {
	c := scale.Capture{Header: header}
	chunks, _ := d.Since(0)
	for _, chunk := range chunks {
		c.Chunks = append(c.Chunks, scale.Chunk{At: chunk.At.Sub(began), Data: chunk.Data})
	}
	return c.Write(w)
}

// captured is a wire over which a capture of testdata came.
func captured(t *testing.T, name string) *fedDesk {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "captures", name+".cap"))
	require.NoError(t, err)
	defer f.Close()
	c, err := scale.ReadCapture(f)
	require.NoError(t, err)
	codec, err := scale.CodecByName(c.Field("shape"))
	require.NoError(t, err)
	d := &fedDesk{codec: codec}
	for _, chunk := range c.Chunks {
		d.feed(chunk.At, string(chunk.Data))
	}
	return d
}

const frame = "\n 1G       412.6g  \r"

func kinds(lines []ScaleLine) (out []string) {
	for _, l := range lines {
		out = append(out, l.Kind)
	}
	return out
}

// The examples that the page's own tests read.
func TestGoldenScale(t *testing.T) {
	d := captured(t, "sma/garbage")
	d.wire = ScaleWire{
		Identity: "/dev/serial/by-id/usb-bench-scale", Settings: "9600 baud, 8n1", Connected: true, Asked: true,
		GoodFrames: 18_240, BadFrames: 7, Answers: 1, Reconnects: 2, LastFrame: began.Add(time.Second),
	}
	hub := NewHub(HubConfig{Station: "Bench 1"})
	hub.Live(mix.Live{Valid: true, Manner: scale.Manner{
		Period: 100 * time.Millisecond, Noise: 41 * scale.Milligram, Stills: 9, Settle: 1300 * time.Millisecond, Lag: 290 * time.Millisecond, Steps: 6,
	}})
	s := New(Config{Hub: hub, Scale: d})
	golden(t, "scale", s.scaleFacts(began.Add(2*time.Second)))
	golden(t, "scale_lines", s.raw.after(0))
}

// Whatever comes and however it was cut, each byte stands in one line, in
// order, and the readings are those that the framer gives.
func TestEveryByteStandsInOneLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		codec := rapid.SampledFrom(scale.Codecs()).Draw(t, "codec")
		good := string(codec.Encode(nil, scale.Reading{
			HasNumber: true, Unit: scale.UnitGram, Mode: scale.ModeGross, Motion: scale.MotionStill,
			Number: scale.Decimal{Coefficient: 4126, Places: 1, Lead: 3},
		}))
		piece := rapid.OneOf(rapid.Just(good), rapid.Just(good), rapid.Just("\r\n"), rapid.StringN(1, 30, 60))
		stream := strings.Join(rapid.SliceOfN(piece, 1, 40).Draw(t, "pieces"), "")
		d := &fedDesk{codec: codec}
		v := newRawView(d)
		var lines []rawLine
		for rest := stream; rest != ""; {
			n := min(len(rest), rapid.IntRange(1, 70).Draw(t, "chunk"))
			d.feed(0, rest[:n])
			rest = rest[n:]
			before := v.count
			v.after(0)
			for ; before < v.count; before++ {
				lines = append(lines, v.lines[before%linesKept])
			}
		}
		var shown strings.Builder
		weights := 0
		for _, l := range lines {
			shown.Write(l.bytes)
			if l.kind == kindWeight {
				weights++
			}
		}
		shown.Write(v.pending)
		require.Equal(t, stream, shown.String())
		f, want := scale.NewFramer(codec), 0
		f.Feed([]byte(stream))
		for r, err, ok := f.Next(); ok; r, err, ok = f.Next() {
			if _, usable := r.Weight(); usable && err == nil {
				want++
			}
		}
		require.Equal(t, want, weights)
	})
}

func TestLinesOfAConnection(t *testing.T) {
	d := &fedDesk{codec: scale.SMA{}}
	v := newRawView(d)
	d.feed(0, "  412.6g  \r", frame, "\n 1GM      ")
	got := v.after(0)
	assert.Equal(t, []string{kindOpened, kindCut, kindWeight}, kinds(got.Lines))
	assert.Equal(t, ScaleLine{N: 2, AtMS: began.UnixMilli(), Kind: "weight", Bytes: `\n 1G       412.6g  \r`, Value: "412.6 g", Motion: "still", Mode: "gross", Status: "ok"}, got.Lines[2])
	assert.Equal(t, uint64(3), got.Next)
	assert.Empty(t, v.after(got.Next).Lines)

	d.feed(time.Second, " 412.7g  \r", "\nO1GM     6200.5g  \r\nE1G  ----------g  \r", "\nxx\r", "\n 1G")
	more := v.after(got.Next)
	require.Equal(t, []string{kindWeight, kindNone, kindNone, kindRefused}, kinds(more.Lines))
	assert.Equal(t, `\n 1GM       412.7g  \r`, more.Lines[0].Bytes)
	assert.Equal(t, "moving", more.Lines[0].Motion)
	assert.Equal(t, "over", more.Lines[1].Status)
	assert.Equal(t, "zero-error", more.Lines[2].Status)
	assert.NotEmpty(t, more.Lines[3].Reason)

	d.opened = true
	d.feed(2*time.Second, frame)
	again := v.after(more.Next)
	assert.Equal(t, []string{kindCut, kindOpened, kindWeight}, kinds(again.Lines))
	assert.Equal(t, `\n 1G`, again.Lines[0].Bytes)
}

// Where a person has kept the other unit, its lines are weights like any others.
func TestLinesInAUnitThatWasKept(t *testing.T) {
	d := &fedDesk{codec: scale.SMA{}}
	s := New(Config{Hub: NewHub(HubConfig{}), Scale: d})
	const ounces = "\n 1G       14.55oz \r"
	d.feed(0, frame+frame+ounces)
	seen := s.raw.after(0)
	assert.Equal(t, []string{kindWeight, kindWeight, kindRefused}, kinds(seen.Lines[len(seen.Lines)-3:]))
	s.raw.anyUnit()
	d.feed(time.Second, ounces+frame)
	assert.Equal(t, []string{kindWeight, kindRefused}, kinds(s.raw.after(seen.Next).Lines))
	unit, step, _ := s.raw.newest()
	assert.Equal(t, scale.UnitOunce, unit)
	assert.Equal(t, 283_495*scale.Mass(1), step)
}

// A press on the unit key in the middle of a connection is refused there, and
// what is refused is said with its reason.
func TestLinesInAnotherUnitAreRefused(t *testing.T) {
	d := captured(t, "sma/unit_change")
	s := New(Config{Hub: NewHub(HubConfig{}), Scale: d})
	lines := s.raw.after(0).Lines
	var refused []string
	for _, l := range lines {
		if l.Kind == kindRefused {
			refused = append(refused, l.Reason)
		}
	}
	require.NotEmpty(t, refused)
	assert.Contains(t, refused[0], "the scale changed its unit from g to ")
	facts := s.scaleFacts(began.Add(time.Hour))
	require.NotNil(t, facts.LastRefused)
	assert.Contains(t, facts.LastRefused.Reason, "set it back on the scale")
}

func TestLinesAreBounded(t *testing.T) {
	d := &fedDesk{codec: scale.SMA{}}
	v := newRawView(d)
	for i := range 5000 {
		d.feed(time.Duration(i)*time.Millisecond, frame)
	}
	got := v.after(0)
	assert.Len(t, got.Lines, linesAtOnce)
	assert.True(t, got.Missed)
	assert.LessOrEqual(t, got.Next, uint64(chunksAtOnce+1), "only the end is decoded")
	assert.LessOrEqual(t, len(v.lines), linesKept)
	d.feed(0, strings.Repeat("\r\n", 3000)+frame)
	last := v.after(got.Next).Lines
	for _, l := range last {
		assert.LessOrEqual(t, len(l.Bytes), 4*lineMost)
	}
	assert.Len(t, v.after(1<<40).Lines, 0, "a number of an earlier run")
	d.kept, d.next = d.kept[:0], d.next+100 // a hundred chunks were lost
	d.feed(0, "12.6g  \r"+frame)
	assert.Equal(t, []string{kindCut, kindWeight}, kinds(v.after(v.count).Lines))
}

// Several pages look at once while bytes come.
func TestLinesForManyLookers(t *testing.T) { synctest.Test(t, linesForManyLookers) }

func linesForManyLookers(t *testing.T) {
	d := &fedDesk{codec: scale.SMA{}}
	r := newStillRig(t, func(c *Config) { c.Scale = d })
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			next := uint64(0)
			for range 20 {
				d.feed(0, frame)
				got := r.server.raw.after(next)
				for i, l := range got.Lines {
					assert.Equal(t, got.Next-uint64(len(got.Lines)-i), l.N)
				}
				next = got.Next
				r.server.scaleFacts(time.Now())
			}
		})
	}
	all.Wait()
	assert.Len(t, r.server.raw.after(0).Lines, 81)
}

func TestScaleCapture(t *testing.T) { synctest.Test(t, theScaleCapture) }

func theScaleCapture(t *testing.T) {
	d := captured(t, "sma/garbage")
	d.wire.Identity = "/dev/ttyUSB0"
	r := newStillRig(t, func(c *Config) { c.Scale = d })
	resp, body := r.send("GET", "/api/scale/capture", "", nil)
	assert.Equal(t, "text/plain; charset=utf-8", resp.Header.Get("Content-Type"))
	assert.Regexp(t, `^attachment; filename="scale-\d{4}-\d\d-\d\d-\d{6}\.cap"$`, resp.Header.Get("Content-Disposition"))
	c, err := scale.ReadCapture(strings.NewReader(body))
	require.NoError(t, err)
	var want []byte
	for _, chunk := range d.kept {
		want = append(want, chunk.Data...)
	}
	assert.Equal(t, want, c.Bytes())
	assert.Contains(t, c.Field("what"), "ten minutes")
	assert.Contains(t, c.Field("made"), "gramcup")
	assert.NotContains(t, body, "Bench 1", "the name of the bench may be that of a person")
	resp, body = r.send("HEAD", "/api/scale/capture", "", nil)
	assert.Equal(t, http.StatusOK, resp.StatusCode)
	assert.Empty(t, body)
}

func TestScaleRoutes(t *testing.T) { synctest.Test(t, theScaleRoutes) }

func theScaleRoutes(t *testing.T) {
	r := newStillRig(t, nil)
	_, body := r.send("GET", "/api/scale/lines", "", nil)
	assert.Equal(t, `{"lines":[],"next":0,"missed":false}`, body)
	fresh := get[ScaleAnswer](r, "/api/scale")
	assert.Equal(t, int64(-1), fresh.LastFrameAgeMS)
	assert.Nil(t, fresh.LastRefused)
	assert.Equal(t, "setting", fresh.DivisionFrom)
	assert.Zero(t, fresh.Manner)
	for _, after := range []string{"-1", "x", "1e3"} {
		resp, body := r.send("GET", "/api/scale/lines?after="+after, "", nil)
		assert.Equal(t, http.StatusBadRequest, resp.StatusCode, body)
		assert.Equal(t, "bad-request", into[Answer](t, []byte(body)).Code)
	}
	without := newStillRig(t, func(c *Config) { c.Scale = nil })
	for _, path := range []string{"/api/scale", "/api/scale/lines", "/api/scale/capture"} {
		resp, _ := without.send("GET", path, "", nil)
		assert.Equal(t, http.StatusNotFound, resp.StatusCode)
		resp, _ = r.send("POST", path, "{}", nil)
		assert.Equal(t, http.StatusMethodNotAllowed, resp.StatusCode)
	}
}
