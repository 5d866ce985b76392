package port

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// everyShape is each family as it is usually set, and its other settings.
func everyShape() []scale.Codec { return append(scale.Codecs(), scale.Variants()...) }

// tenths is a scene at a bench, frame by frame: empty, a cup, three pours with
// pauses, the cup lifted and put back, empty again. Negative numbers too: the
// tare was taken.
func scene(random *rand.Rand) (tenths []int64) {
	at := func(x float64) { tenths = append(tenths, int64(x)) }
	still := func(x float64) {
		for range 15 {
			at(x)
		}
	}
	jump := func(from, to float64) {
		for _, part := range []float64{0.2 + 0.3*random.Float64(), 0.75, 0.98, 1.02} {
			at(from + (to-from)*part)
		}
		still(to)
	}
	still(0)
	jump(0, 1804)
	jump(1804, 0) // tared, as a scale with a slow filter shows it
	x := 0.0
	for range 3 {
		rate := 2 + 40*random.Float64()
		for range 40 {
			x += rate * random.Float64()
			at(x)
		}
		still(x)
	}
	jump(x, -1804)
	jump(-1804, x)
	jump(x, 0)
	return tenths
}

// line is what a shape makes of a weight.
func line(c scale.Codec, tenths int64, moving bool) []byte {
	r := scale.Reading{HasNumber: true, Unit: scale.UnitGram, Mode: scale.ModeGross, Motion: scale.MotionStill,
		Number: scale.Decimal{Coefficient: uint64(max(tenths, -tenths)), Places: 1, Lead: 1, Negative: tenths < 0}}
	if l, ok := c.(scale.Labelled); ok {
		r.Mode = l.Label
	}
	if moving {
		r.Motion = scale.MotionMoving
	}
	for n := r.Number.Coefficient / 100; n > 0; n /= 10 {
		r.Number.Lead++
	}
	return c.Encode(nil, r)
}

// outcome counts what a stream became.
type outcome struct{ shown, wrong, refused int }

// damaged plays scenes over a line that loses up to a frame's length of bytes
// from one frame in odds, and counts the weights that nobody ever put on.
func damaged(codec scale.Codec, seeds int, odds int, off bool) (o outcome) {
	for seed := range seeds {
		random := rand.New(rand.NewPCG(uint64(seed), 7))
		scenes := append(scene(random), scene(random)...)
		d := &marker{}
		p := New(Config{Codec: codec}, d)
		s := newSession(p, nil)
		s.read.torn.off = off
		lose := 0
		for i, x := range scenes {
			moving := i > 0 && scenes[i-1] != x
			frame := line(codec, x, moving)
			if odds > 0 && i > 20 && random.IntN(odds) == 0 {
				// From somewhere in this frame, on into the next one.
				from := random.IntN(len(frame) + 1)
				n := 1 + random.IntN(len(frame))
				kept := frame[:from:from]
				if from+n < len(frame) {
					kept = append(kept, frame[from+n:]...)
				}
				lose, frame = max(0, from+n-len(frame)), kept
			} else if lose > 0 {
				frame = frame[min(lose, len(frame)):]
				lose = 0
			}
			d.true = scenes[max(0, i-mostHeld-2) : i+1]
			s.feed(p.started.Add(time.Duration(i)*100*time.Millisecond), frame)
		}
		o.shown, o.wrong, o.refused = o.shown+d.shown, o.wrong+d.wrong, o.refused+d.refused
	}
	return o
}

// marker is a Sink that holds what is shown against what was on the pan lately.
type marker struct {
	counter
	true []int64
	outcome
}

func (m *marker) Reading(_ time.Time, r scale.Reading) {
	w, ok := r.Weight()
	if !ok {
		return
	}
	m.shown++
	for _, x := range m.true {
		if w == scale.Mass(x)*scale.Gram/10 {
			return
		}
	}
	m.wrong++
}
func (m *marker) BadFrame(time.Time, error) { m.refused++ }

// How many wrong weights a bad line smuggles through each shape, with the rule
// about lengths and without. The seeds are fixed; the table is printed.
func TestFewerTornLinesAreBelieved(t *testing.T) {
	var table strings.Builder
	fmt.Fprintf(&table, "%-22s %8s | %8s %8s %8s\n", "one frame in ten torn", "off:bad", "on:bad", "shown", "refused")
	var before, after int
	for _, c := range everyShape() {
		off, on := damaged(c, 16, 10, true), damaged(c, 16, 10, false)
		fmt.Fprintf(&table, "%-22s %8d | %8d %8d %8d\n", c.Name(), off.wrong, on.wrong, on.shown, on.refused)
		assert.LessOrEqual(t, on.wrong, off.wrong, c.Name())
		assert.GreaterOrEqual(t, on.shown, off.shown*8/10, "%s: the rule costs few good lines", c.Name())
		before, after = before+off.wrong, after+on.wrong
	}
	t.Logf("\n%s%-22s %8d | %8d", table.String(), "all", before, after)
}

// Frames without an end are found by their length, so a torn one is as long as any
// other. What gives it away is what is left over behind it.
func TestATornFrameWithoutAnEnd(t *testing.T) {
	b := newBareScale(t, "reversed-g")
	b.send("412.6", "412.6", "412.6")
	b.shown()
	frame := string(line(scale.Reversed{Unit: scale.UnitGram}, 4126, false))
	b.n++
	b.s.feed(b.p.started.Add(time.Duration(b.n)*100*time.Millisecond), []byte(frame[:4]+frame[3:])) // a digit twice
	b.send("412.6", "412.6")
	assert.Equal(t, []string{"412.6", "412.6"}, b.shown())
	b.send("4412.6", "4412.6", "0.0", "90.3", "-120.4", "-185.0", "-185.0")
	assert.Equal(t, []string{"4412.6", "4412.6", "0.0", "90.3", "-120.4", "-185.0", "-185.0"}, b.shown(), "and no honest jump is lost")
}

// A line that loses nothing loses nothing here either.
func TestAnHonestLineLosesNothing(t *testing.T) {
	for _, c := range everyShape() {
		on, off := damaged(c, 5, 0, false), damaged(c, 5, 0, true)
		assert.Zero(t, on.wrong, c.Name())
		assert.Zero(t, on.refused, c.Name())
		assert.Equal(t, off.shown, on.shown, c.Name())
	}
}

// lastLine is the last one that a shape reads in a stream.
func lastLine(codec scale.Codec, data []byte) (line []byte) {
	f := scale.NewFramer(codec)
	f.Feed(data)
	for _, err, ok := f.Next(); ok; _, err, ok = f.Next() {
		if err == nil {
			line = append([]byte(nil), f.Piece()...)
		}
	}
	return line
}

// Every capture gives the same readings with the rule as without it, but where
// its line is damaged.
func TestCapturesLoseNothing(t *testing.T) {
	files, err := filepath.Glob("../../testdata/captures/*/*.cap")
	require.NoError(t, err)
	require.Greater(t, len(files), 100)
	for _, name := range files {
		f, err := os.Open(name)
		require.NoError(t, err)
		c, err := scale.ReadCapture(f)
		require.NoError(t, f.Close())
		require.NoError(t, err, name)
		codec, err := scale.CodecByName(c.Field("shape"))
		require.NoError(t, err, name)
		play := func(off bool) (texts []string) {
			d := newDiary(t)
			p := New(Config{Codec: codec}, d)
			s := newSession(p, nil)
			s.read.torn.off = off
			for _, chunk := range c.Chunks {
				s.feed(p.started.Add(chunk.At), chunk.Data)
			}
			// The scale goes on to say what it said last: a line that waits for the
			// next one is not lost.
			last := c.Chunks[len(c.Chunks)-1]
			again := last.Data
			if s.read.filled { // a chunk may be the end of a frame only, and then tells of a torn one
				again = lastLine(codec, c.Bytes())
			}
			s.feed(p.started.Add(last.At+100*time.Millisecond), again)
			for _, e := range d.all("reading") {
				texts = append(texts, fmt.Sprint(e.at.Sub(p.started), e.reading))
			}
			return texts
		}
		on, off := play(false), play(true)
		if strings.Contains(name, "garbage") {
			assert.Subset(t, off, on, name)
			continue
		}
		assert.Equal(t, off, on, name)
	}
}
