package scale

import (
	"bytes"
	"math"
	"math/bits"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// made writes captures from the description of a shape, and not through the
// codec, so that a mistake in the codec shows.
type made struct {
	line   func(shown) string
	random *rand.Rand
	at     time.Duration
	out    Capture
}

// bytes sends s now, cut as a USB adaptor cuts: at any place, the rest 16 ms
// later.
func (m *made) bytes(s string) {
	for len(s) > 0 {
		n := len(s)
		if m.random.IntN(3) == 0 {
			n = 1 + m.random.IntN(len(s))
		}
		m.out.Chunks = append(m.out.Chunks, Chunk{At: m.at, Data: []byte(s[:n])})
		if s = s[n:]; s != "" {
			m.at += 16 * time.Millisecond
		}
	}
}

// show sends a frame a tenth of a second after the last.
func (m *made) show(s shown) {
	m.at = m.at.Truncate(100*time.Millisecond) + 100*time.Millisecond + time.Duration(m.random.IntN(2000))*time.Microsecond
	m.bytes(m.line(s))
}

func (m *made) still() {
	for range 10 {
		m.show(shown{})
	}
	for _, tenths := range []int{310, 1620, 1893, 1847, 1851} {
		m.show(shown{tenths: tenths, moving: true})
	}
	for range 10 {
		m.show(shown{tenths: 1850})
	}
	m.show(shown{tenths: -2, moving: true})
	m.show(shown{tenths: -1})
}

func (m *made) slowPour() {
	m.show(shown{net: true})
	for i := range 60 {
		done := 4126 * (1 - math.Exp(-float64(i)/12)) / (1 - math.Exp(-60.0/12))
		m.show(shown{tenths: int(done) + m.random.IntN(3), moving: true, net: true})
	}
	for range 8 {
		m.show(shown{tenths: 4126, net: true})
	}
}

func (m *made) overload() {
	for _, tenths := range []int{42000, 58117, 61999} {
		m.show(shown{tenths: tenths, moving: true})
	}
	for i := range 5 {
		m.show(shown{tenths: 62005 + i, moving: i < 2, over: true})
	}
	m.show(shown{tenths: 61990})
}

func (m *made) fastPour() {
	m.show(shown{net: true})
	for i := range 12 {
		m.show(shown{tenths: 480*i + m.random.IntN(40), moving: true, net: true})
	}
	for _, tenths := range []int{5744, 5761, 5758, 5760} { // it swings, and is past the line
		m.show(shown{tenths: tenths, moving: true, net: true})
	}
	for range 8 {
		m.show(shown{tenths: 5760, net: true})
	}
}

func (m *made) tare() {
	for range 4 {
		m.show(shown{tenths: 1850})
	}
	for range 4 {
		m.show(shown{net: true})
	}
	for _, tenths := range []int{903, -1204, -1850} {
		m.show(shown{tenths: tenths, moving: true, net: true})
	}
	for range 4 {
		m.show(shown{tenths: -1850, net: true})
	}
	m.show(shown{})
}

func (m *made) negative() {
	for i := range 6 {
		m.show(shown{tenths: -i}) // it drifts
	}
	m.show(shown{tenths: -412, moving: true})
	for range 3 {
		m.show(shown{tenths: -325})
	}
	for i := range 3 {
		m.show(shown{tenths: -20005, moving: i < 1, under: true}) // the pan is off
	}
	m.show(shown{tenths: -3})
}

func (m *made) unitChange() {
	for _, unit := range []string{"g", "kg", "oz", "pc", "g"} {
		for i := range 3 {
			m.show(shown{tenths: 4126, unit: unit, moving: i == 0})
		}
	}
}

func (m *made) garbage() {
	m.bytes(m.line(shown{tenths: 1850})[9:]) // it began in the middle of a frame
	m.show(shown{tenths: 1850})
	noise := make([]byte, 150)
	for i := range noise {
		noise[i] = 0x80 | byte(m.random.IntN(128))
	}
	m.bytes(string(noise) + "\r\n")
	m.show(shown{tenths: 1850})
	parity := bytes.Repeat([]byte(m.line(shown{tenths: 1850})), 4)
	for i, b := range parity {
		parity[i] = b | byte(bits.OnesCount8(b)&1)<<7
	}
	m.bytes(string(parity))
	m.show(shown{tenths: 1850})
	spoilt := []byte(m.line(shown{tenths: 1850}))
	spoilt[bytes.IndexByte(spoilt, '8')] = 0
	m.bytes(string(spoilt))
	cut := m.line(shown{tenths: 1850})
	m.bytes(cut[:len(cut)-6] + cut)
	m.show(shown{tenths: 1850})
}

func (m *made) unplugged() {
	for range 5 {
		m.show(shown{tenths: 1850})
	}
	line := m.line(shown{tenths: 1850})
	m.bytes(line[:len(line)-5])
}

// situations are the captures that are made for each shape.
func situations(m *made) map[string]func() {
	return map[string]func(){
		"still": m.still, "slow_pour": m.slowPour, "overload": m.overload,
		"garbage": m.garbage, "unplugged": m.unplugged, "fast_pour": m.fastPour, "tare": m.tare,
		"negative": m.negative, "unit_change": m.unitChange,
	}
}

const captures = "../testdata/captures"

// golden compares with a file, or rewrites it with -update.
func golden(t *testing.T, path string, got []byte) {
	t.Helper()
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, got, 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "go test ./scale -update writes it")
	assert.Equal(t, string(want), string(got), "%s: go test ./scale -update rewrites it, then read the difference", path)
}
