package scaletest

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// Fuzz throws bytes at the codecs of one family, whichever of its settings reads
// them. Nothing panics; pieces are bounded and do not depend on how the stream is
// cut; what is refused has no reading; a weight that is written and read again is
// the same weight; and noise in front of its frame changes nothing about it.
func Fuzz(f *testing.F, codecs []scale.Codec, seeds ...string) {
	require.NotEmpty(f, codecs)
	settings := make([]codec, 0, len(codecs))
	for _, c := range codecs {
		s := codec{c, Probe(c)}
		settings = append(settings, s)
		seeds = append(seeds, string(s.can.Frames))
	}
	for _, seed := range seeds {
		f.Add([]byte(seed), []byte("junk"))
	}
	f.Fuzz(func(t *testing.T, data, junk []byte) {
		for _, c := range settings {
			c.fuzz(t, data, junk)
		}
	})
}

func (c codec) fuzz(t *testing.T, data, junk []byte) {
	if wrong := c.bounded(data); wrong != "" {
		t.Fatalf("%s: %q: %s", c.Name(), data, wrong)
	}
	if r, err := c.Decode(data); err != nil && r != (scale.Reading{}) {
		t.Fatalf("%s: %q is refused and read: %+v", c.Name(), data, r)
	}
	whole := c.pieces(t, data, len(data)+1)
	for _, size := range []int{1, 2 + len(junk)%13} {
		if cut := c.pieces(t, data, size); !slices.Equal(whole, cut) {
			t.Fatalf("%s: %q is %+v, and in steps of %d bytes %+v", c.Name(), data, whole, size, cut)
		}
	}
	for _, p := range whole {
		if m, usable := p.r.Weight(); usable {
			c.fuzzAgain(t, p.r, m, junk)
		}
	}
}

// pieces reads data in steps.
func (c codec) pieces(t *testing.T, data []byte, step int) (all []piece) {
	f := scale.NewFramer(c)
	for {
		n := min(step, len(data))
		f.Feed(data[:n])
		if data = data[n:]; len(data) == 0 {
			f.Flush()
		}
		for r, err, ok := f.Next(); ok; r, err, ok = f.Next() {
			p := piece{r: r, at: f.At()}
			if err != nil {
				if r != (scale.Reading{}) {
					t.Fatalf("%s: a refused piece has the reading %+v: %v", c.Name(), r, err)
				}
				p.bad = err.Error()
			}
			all = append(all, p)
		}
		if len(data) == 0 {
			return all
		}
	}
}

// fuzzAgain writes and reads a weight again. Fields that the shape writes more
// narrowly than it reads them may have no room for it.
func (c codec) fuzzAgain(t *testing.T, r scale.Reading, m scale.Mass, junk []byte) {
	frame := c.Encode(nil, r)
	otherUnit := !c.can.UnitText && len(c.can.Units) == 1 && r.Unit != c.can.Units[0] // read in a form that says it
	if len(frame) == 0 || otherUnit {
		return
	}
	again, err := c.Decode(frame)
	if got, usable := again.Weight(); err != nil || !usable || got != m {
		t.Fatalf("%s: %+v, written as %q, is %+v (%v)", c.Name(), r, frame, again, err)
	}
	want, got := c.can.say(r), c.can.say(again)
	want.Number.Lead, got.Number.Lead = 0, 0
	if want.Mode == scale.ModeUnknown {
		got.Mode = scale.ModeUnknown // it was read in a form that does not say it
	}
	if !c.can.Says[scale.StatusZero] {
		want.Status, got.Status = scale.StatusOK, scale.StatusOK
	}
	if want != got {
		t.Fatalf("%s: %+v, written as %q, is %+v", c.Name(), want, frame, got)
	}

	junk = bytes.Clone(junk)
	if !c.can.Resync || strings.HasPrefix(c.Name(), "signed") {
		junk = append(junk, '\r') // nothing marks the beginning of a line, or a label may stand there
	}
	var last scale.Reading
	for _, p := range c.pieces(t, append(junk, frame...), len(frame)+len(junk)) {
		last = p.r
	}
	if last != again {
		t.Fatalf("%s: behind %q the frame %q is %+v", c.Name(), junk, frame, last)
	}
}
