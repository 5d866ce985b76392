package find_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
	"gramcup/scale/find"
	"gramcup/simulator"
)

// talker is something at the far end that is no scale.
type talker struct {
	say   func(now time.Duration, heard []byte) []byte
	now   time.Duration
	heard []byte
	out   []byte
}

func (k *talker) Tick(dt time.Duration) {
	k.now += dt
	k.out = append(k.out, k.say(k.now, k.heard)...)
	k.heard = nil
}

func (k *talker) Drain(dst []byte) []byte {
	dst = append(dst, k.out...)
	k.out = nil
	return dst
}

func (k *talker) Send(p []byte) { k.heard = append(k.heard, p...) }

func every(d time.Duration, say func() []byte) func(time.Duration, []byte) []byte {
	next := d
	return func(now time.Duration, _ []byte) []byte {
		if now < next {
			return nil
		}
		next += d
		return say()
	}
}

// nobodies are what stands on benches beside scales.
func nobodies(rng *rand.Rand) map[string]func(time.Duration, []byte) []byte {
	pick := func(of []string) []byte { return []byte(of[rng.IntN(len(of))]) }
	period := time.Duration(50+rng.IntN(400)) * time.Millisecond
	bcd := func() byte { return byte(rng.IntN(10)<<4 | rng.IntN(10)) }
	modem := []string{"RING\r\n", "OK\r\n", "+CSQ: 18,99\r\n", "CONNECT 9600\r\n", "NO CARRIER\r\n", "+CREG: 0,1\r\n", "4\r\n", "0\r\n"}
	return map[string]func(time.Duration, []byte) []byte{
		"silence": func(time.Duration, []byte) []byte { return nil },
		"noise": every(period, func() []byte {
			p := make([]byte, rng.IntN(60))
			for i := range p {
				p[i] = byte(rng.UintN(256))
			}
			return p
		}),
		"modem": every(period, func() []byte { return pick(modem) }),
		"modem that answers": func(_ time.Duration, heard []byte) []byte {
			if len(heard) == 0 || heard[len(heard)-1] != '\r' && heard[len(heard)-1] != '\n' {
				return nil
			}
			return append(append([]byte(nil), heard...), "\r\nERROR\r\n"...)
		},
		"thermometer": every(period, func() []byte { return pick([]string{"T=21.5 C\r\n", "T=21.6 C\r\n", "H=48 %RH\r\n"}) }),
		"position":    every(period, func() []byte { return pick([]string{"$GPTXT,01,01,02,u\r\n", "$GPGSA,A,3,04,05,1.5,0.9,1.2*31\r\n"}) }),
		"barcodes":    every(8*period, func() []byte { return pick([]string{"4006381333931\r", "96385074\r", "A-1032\r"}) }),
		"binary":      every(period, func() []byte { return []byte{0xFF, 0x41, bcd(), bcd(), bcd(), 0} }),
	}
}

// TestNobodyIsAScale: what is none is never taken for one.
func TestNobodyIsAScale(t *testing.T) {
	n := trials(t, 10_000) / 100
	binary, settings := 0, append(append([]find.Setting(nil), usual...), other...)
	for seed := range uint64(n) {
		for name := range nobodies(rand.New(rand.NewPCG(seed, 1))) {
			rng := rand.New(rand.NewPCG(seed, 1))
			s := settings[rng.IntN(len(settings))]
			if name == "binary" {
				s = raw(s.Baud)
			}
			say := nobodies(rng)[name]
			link := simulator.NewUARTLink(&talker{say: say}, simulator.UARTOptions{Far: uart(s), Eager: seed%3 == 0, Seed: seed, PulsesPerS: float64(seed % 2)})
			r, err := find.Find(&lineWire{link: link}, find.Options{})
			require.NoError(t, err)
			assert.False(t, r.Found, "seed %d, %s at %s: %s at %s, %v", seed, name, s, r.Line, r.Setting, r.Sample)
			assert.NotEmpty(t, r.Settles, name)
			assert.NotEmpty(t, r.Why, name)
			switch {
			case name == "silence" && seed%2 == 0:
				assert.Equal(t, find.TroubleSilent, r.Trouble)
			case name == "binary" && r.Trouble == find.TroubleBinary:
				binary++
			}
		}
	}
	assert.GreaterOrEqual(t, binary*100, n*90, "%d of %d binary senders are called so", binary, n)
}

func raw(baud int) find.Setting {
	return find.Setting{Baud: baud, DataBits: 8, Parity: 'n', StopBits: 1}
}

// TestNoAskIsHeardAsACommand: whatever a scale of any shape at any setting hears
// of everything that is ever asked, it is no zero, no tare and no clearing.
// Bytes with a fault are once dropped and once taken as they were sampled.
func TestNoAskIsHeardAsACommand(t *testing.T) {
	w := &order{lineWire: lineWire{link: simulator.NewUARTLink(&talker{say: func(time.Duration, []byte) []byte { return nil }}, simulator.UARTOptions{Far: uart(usual[0])})}}
	_, err := find.Find(w, find.Options{Most: time.Minute})
	require.NoError(t, err)
	require.Greater(t, len(w.asked), 100)
	for _, far := range append(append([]find.Setting(nil), usual...), other...) {
		var dropped, sampled []byte
		for _, a := range w.asked {
			sampled = append(sampled, simulator.HearUART([]byte(a.text), uart(a.at), simulator.UARTReceiver{Setting: uart(far)})...)
			for _, c := range simulator.HearUART([]byte(a.text), uart(a.at), simulator.UARTReceiver{Setting: uart(far), Checking: true}) {
				if c != 0 {
					dropped = append(dropped, c)
				}
			}
		}
		for _, heard := range [][]byte{dropped, sampled} {
			for _, c := range shapes() {
				harmless(t, c, far, heard)
			}
		}
	}
}

func harmless(t *testing.T, c scale.Codec, far find.Setting, heard []byte) {
	for len(heard) > 0 {
		r, n := c.ParseRequest(heard)
		if n == 0 {
			return
		}
		switch r {
		case scale.RequestZero, scale.RequestTare, scale.RequestClearTare:
			t.Errorf("%s at %s hears a command in %q", c.Name(), far, heard[:n])
		}
		heard = heard[n:]
	}
}

// order keeps everything that was asked, with the setting.
type order struct {
	lineWire
	now   find.Setting
	asked []struct {
		at   find.Setting
		text string
	}
}

func (w *order) Set(s find.Setting) error { w.now = s; return w.lineWire.Set(s) }

func (w *order) Write(p []byte) error {
	w.asked = append(w.asked, struct {
		at   find.Setting
		text string
	}{w.now, string(p)})
	return w.lineWire.Write(p)
}
