package scale

import (
	"fmt"
	"os"
	"reflect"
	"testing"
	"time"
	"unsafe"

	"github.com/stretchr/testify/assert"
)

// The size that makes copies cheap; the comment in Reading says why.
func TestReadingIsTwoHalves(t *testing.T) {
	assert.EqualValues(t, 32, unsafe.Sizeof(Reading{}))
}

const costWant = 412600 * Milligram

// byCodec and byRegexp are the two ways from a frame to a mass.
func (c *costCase) byCodec(frame []byte) (Mass, bool) {
	_, piece, _ := c.codec.Split(frame, false)
	r, err := c.codec.Decode(piece)
	m, ok := r.Weight()
	return m, ok && err == nil
}

func (c *costCase) byRegexp(frame []byte) (Mass, bool) {
	number, unit := c.more(frame, c.peer.FindSubmatch(frame))
	u, ok := ParseUnit([]byte(unit))
	m, err := ParseMass(number, u)
	return m, ok && err == nil
}

// The two ways give the same, for every family and for every setting that is
// read in another way.
func TestCostIsComparedForTheSameWork(t *testing.T) {
	families := map[reflect.Type]bool{}
	for _, c := range costCases() {
		frame := []byte(c.frame)
		families[reflect.TypeOf(c.codec)] = true
		for _, way := range []func([]byte) (Mass, bool){c.byCodec, c.byRegexp} {
			m, ok := way(frame)
			assert.True(t, ok && m == costWant, "%s: %v", c.codec.Name(), m)
		}
		assert.Zero(t, testing.AllocsPerRun(100, func() { c.byCodec(frame) }), c.codec.Name())
	}
	for _, c := range Codecs() {
		assert.True(t, families[reflect.TypeOf(c)], "the cost of %s is not measured", c.Name())
	}
}

// BenchmarkFrame is the cost of one frame, beside the obvious other way: a
// regular expression and a parse of its groups.
func BenchmarkFrame(b *testing.B) {
	for _, c := range costCases() {
		frame := []byte(c.frame)
		for _, way := range []struct {
			name string
			read func([]byte) (Mass, bool)
		}{{"", c.byCodec}, {"/regexp", c.byRegexp}} {
			b.Run(c.codec.Name()+way.name, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if m, ok := way.read(frame); !ok || m != costWant {
						b.Fatal("the frame is good", m)
					}
				}
			})
		}
	}
}

// BenchmarkTable prints the same as one table. The two ways take turns, and of
// many short turns the fastest counts: what else the machine does then hardly
// matters.
func BenchmarkTable(b *testing.B) {
	var table string
	for b.Loop() {
		table = costTable()
	}
	fmt.Fprint(os.Stdout, "\n", table)
}

func costTable() string {
	const turns, frames, perRegexp = 40, 8000, 20
	table := "| shape | bytes | ns a frame | allocs | regexp ns | factor |\n|---|---:|---:|---:|---:|---:|\n"
	all := costCases()
	codec, peer := make([]time.Duration, len(all)), make([]time.Duration, len(all))
	for t := range turns {
		for i := range all {
			frame := []byte(all[i].frame)
			own, other := turn(frames, frame, all[i].byCodec), perRegexp*turn(frames/perRegexp, frame, all[i].byRegexp)
			if t == 0 {
				codec[i], peer[i] = own, other
			}
			codec[i], peer[i] = min(codec[i], own), min(peer[i], other)
		}
	}
	for i := range all {
		c, frame := &all[i], []byte(all[i].frame)
		own, other := float64(codec[i])/frames, float64(peer[i])/frames
		table += fmt.Sprintf("| %s | %d | %.0f | %.0f | %.0f | %.1f |\n", c.codec.Name(), len(frame), own,
			testing.AllocsPerRun(100, func() { c.byCodec(frame) }), other, other/own)
	}
	return table
}

// turn is the time for n frames.
func turn(n int, frame []byte, read func([]byte) (Mass, bool)) time.Duration {
	began := time.Now()
	for range n {
		if m, ok := read(frame); !ok || m != costWant {
			panic("the frame is good")
		}
	}
	return time.Since(began)
}
