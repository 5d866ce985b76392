package find

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// scenes are clean streams of a scale, ten lines a second, by what happens.
var scenes = []struct {
	name     string
	readings func() []scale.Reading
}{
	{"still", func() []scale.Reading { return stream(25, "412.6", 0, scale.MotionStill, scale.StatusOK) }},
	{"negative", func() []scale.Reading { return stream(25, "-185.0", 0, scale.MotionStill, scale.StatusOK) }},
	{"zero", func() []scale.Reading { return stream(25, "0.0", 0, scale.MotionStill, scale.StatusZero) }},
	{"pour", func() []scale.Reading { return stream(25, "101.3", 7, scale.MotionMoving, scale.StatusOK) }},
}

func stream(n int, from string, step uint64, m scale.Motion, s scale.Status) []scale.Reading {
	d, err := scale.ParseDecimal(from)
	if err != nil {
		panic(err)
	}
	var out []scale.Reading
	for range n {
		out = append(out, scale.Reading{Number: d, HasNumber: true, Unit: scale.UnitGram, Mode: scale.ModeGross, Motion: m, Status: s})
		d.Coefficient += step
	}
	return out
}

func known() []scale.Codec { return append(scale.Codecs(), scale.Variants()...) }

func names(list []*score) string {
	var out []string
	for _, s := range list {
		out = append(out, s.codec.Name())
	}
	return strings.Join(out, " ")
}

// TestConfusion lets every codec read what every shape sends. Whatever else is a
// candidate is ruled out, reads the same, or is named in the answer.
func TestConfusion(t *testing.T) {
	table := map[string]string{}
	for _, scene := range scenes {
		for _, c := range known() {
			var data []byte
			var ends []int
			for _, r := range scene.readings() {
				data = c.Encode(data, r)
				ends = append(ends, len(data))
			}
			when := func(end int) time.Duration {
				for i, e := range ends {
					if end <= e {
						return time.Duration(i) * 100 * time.Millisecond
					}
				}
				return 0
			}
			v := judgeView(data, when, known(), 0)
			where := c.Name() + ", " + scene.name
			require.NotNil(t, v.best, where)
			truth := read(c, data, when)
			if len(truth.lines) == 0 { // it passes over what it sends: the other weight of a print
				require.True(t, passesOver(c, v.best.lines), where)
				continue
			}
			truth.weigh()
			switch {
			case v.sure != NotSure:
				assert.True(t, readsAlike(truth, v.best), "%s: %s", where, v.best.codec.Name())
				assert.GreaterOrEqual(t, len(v.best.lines)+1, len(truth.lines), where)
			case v.best.kind != kindNumber:
				assert.Contains(t, names(append(v.open, v.best)), c.Name(), where)
			}
			for _, o := range v.rest {
				table[fmt.Sprintf("%-22s read as %-22s", c.Name(), o.codec.Name())] += scene.name + ": " + relation(v, o) + "; "
			}
		}
	}
	for pair, what := range table {
		t.Logf("%s %s", pair, what)
	}
}

// relation tells what became of another candidate.
func relation(v verdict, o *score) string {
	for what, list := range map[string][]*score{"open": v.open, "similar": v.similar, "another weight": v.choice} {
		for _, s := range list {
			if s == o {
				return what + " beside " + v.best.codec.Name()
			}
		}
	}
	if v.best.rulesOut(o) {
		return "ruled out by " + v.best.codec.Name()
	}
	return "reads all alike as " + v.best.codec.Name()
}

func fiveMSAByte() func(int) time.Duration {
	return func(end int) time.Duration { return time.Duration(end) * 5 * time.Millisecond }
}

// TestBlankSign: with a blank for plus, a still line of a sign, a value and a
// unit is one of a value, a unit and a mark, too. A moving one tells.
func TestBlankSign(t *testing.T) {
	still := strings.Repeat("    412.60 g  \r\n", 12)
	v := judgeView([]byte(still), fiveMSAByte(), known(), 0)
	require.NotNil(t, v.best)
	assert.Equal(t, Likely, v.sure)
	assert.Equal(t, "signed", v.best.codec.Name())
	assert.Contains(t, names(v.similar), "trailing")
	s := &search{top: v}
	assert.Contains(t, s.report(outFound).Settles, "Touch the pan")

	v = judgeView([]byte(still+strings.Repeat("    413.60    \r\n", 3)), fiveMSAByte(), known(), 0)
	assert.Equal(t, "signed", v.best.codec.Name())
	assert.NotContains(t, names(v.similar), "trailing", "trailing lines always have a unit")
}

// TestPolarityOfAMark: two shapes differ in the sense of one bit. A weight that
// stands still tells which is right, and without time nothing does.
func TestPolarityOfAMark(t *testing.T) {
	data := []byte(strings.Repeat("\n-0185.0g \r\n20\r\x03", 30))
	v := judgeView(data, func(int) time.Duration { return 0 }, known(), 0)
	assert.Equal(t, NotSure, v.sure)
	s := &search{top: v}
	r := s.report(outLines)
	assert.False(t, r.Found)
	assert.NotEmpty(t, r.Others)
	assert.Contains(t, r.Settles, "stands still")

	v = judgeView(data, fiveMSAByte(), known(), 0)
	assert.Equal(t, Sure, v.sure)
	assert.Equal(t, "polled", v.best.codec.Name(), "2 is still")
	v = judgeView([]byte(strings.ReplaceAll(string(data), "20", "10")), fiveMSAByte(), known(), 0)
	assert.Equal(t, Sure, v.sure)
	assert.Equal(t, "polled-reversed", v.best.codec.Name(), "1 is still here")
}
