package simulator

import (
	"bufio"
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
	"gramcup/scale/scaletest"
)

func smaCodec(t testing.TB) scale.Codec {
	t.Helper()
	c, err := scale.CodecByName("sma")
	require.NoError(t, err)
	return c
}

// heard is what a host makes of bytes: the good readings, and how many pieces
// were none.
func heard(t *testing.T, c scale.Codec, data []byte) (readings []scale.Reading, bad int) {
	t.Helper()
	s := bufio.NewScanner(bytes.NewReader(data))
	s.Split(c.Split)
	for s.Scan() {
		if r, err := c.Decode(s.Bytes()); err == nil {
			readings = append(readings, r)
		} else {
			bad++
		}
	}
	require.NoError(t, s.Err())
	return readings, bad
}

// ask sends a request and returns what comes back within a step or two.
func ask(t *testing.T, b *Bench, r scale.Request) string {
	t.Helper()
	request, ok := smaCodec(t).Request(nil, r)
	require.True(t, ok)
	b.Drain(nil)
	b.Send(request)
	b.Tick(2 * Step)
	return string(b.Drain(nil))
}

// answer is the one reading that a request brings.
func answer(t *testing.T, b *Bench, r scale.Request) scale.Reading {
	t.Helper()
	readings, bad := heard(t, smaCodec(t), []byte(ask(t, b, r)))
	require.Zero(t, bad)
	require.Len(t, readings, 1)
	return readings[0]
}

func TestFramesComeTenTimesASecond(t *testing.T) {
	b := New(Options{Codec: smaCodec(t)})
	b.PlaceCup(412.6)
	b.Tick(3 * time.Second)
	readings, bad := heard(t, smaCodec(t), b.Drain(nil))
	assert.Zero(t, bad)
	assert.Len(t, readings, 30)
	assert.Equal(t, b.Reading(), readings[len(readings)-1], "the line says what the display shows")
	assert.Empty(t, b.Drain(nil), "each byte comes once")
}

// everyShape are the shapes that a simulated scale can be set to.
func everyShape() []scale.Codec { return append(scale.Codecs(), scale.Variants()...) }

// A weight at rest and one that moves: what the line says is what the display
// shows, as far as the shape can say it.
func TestEveryShapeCarriesTheDisplay(t *testing.T) {
	for _, c := range everyShape() {
		t.Run(c.Name(), func(t *testing.T) {
			can := scaletest.Probe(c)
			b := warm(t, Options{Codec: c})
			// lastWeight is the last number of a tenth of a second, and the display.
			lastWeight := func() (got scale.Reading, shownG float64) {
				b.Drain(nil)
				b.Tick(100 * time.Millisecond)
				readings, bad := heard(t, c, b.Drain(nil))
				assert.Zero(t, bad)
				readings = slices.DeleteFunc(readings, func(r scale.Reading) bool { return !r.HasNumber })
				require.NotEmpty(t, readings)
				return readings[len(readings)-1], weightG(t, b)
			}
			b.PlaceCup(412.6)
			settle(t, b)
			got, shownG := lastWeight()
			m, ok := got.Weight()
			require.True(t, ok, "%+v", got)
			assert.InDelta(t, shownG, m.Grams(), 1e-9)
			assert.InDelta(t, 412.6, m.Grams(), 0.3)
			assert.Equal(t, pick(can.Still, scale.MotionStill, scale.MotionUnknown), got.Motion)

			b.Pour(0, 60, 10)
			b.Tick(2 * time.Second)
			got, shownG = lastWeight()
			assert.Equal(t, pick(can.Still, scale.MotionMoving, scale.MotionUnknown), got.Motion)
			assert.Equal(t, pick(can.BlankUnit, scale.UnitNone, scale.UnitGram), got.Unit)
			got.Unit = scale.UnitGram
			m, ok = got.Weight()
			require.True(t, ok, "%+v", got)
			assert.InDelta(t, shownG, m.Grams(), 1e-9)
			assert.Greater(t, m.Grams(), 415.0)
		})
	}
}

// Lines that do not say their unit are sent in the one that they are read in.
func TestTheUnitOfTheNameIsTheUnitOfTheDisplay(t *testing.T) {
	for _, name := range []string{"reversed-kg", "bare-oz", "bare-9-lb", "xor-digits-kg", "framed-short-oz"} {
		c, err := scale.CodecByName(name)
		require.NoError(t, err)
		b := warm(t, Options{Codec: c})
		b.PlaceCup(412.6)
		settle(t, b)
		b.Drain(nil)
		b.Tick(100 * time.Millisecond)
		readings, _ := heard(t, c, b.Drain(nil))
		require.NotEmpty(t, readings, name)
		m, ok := readings[0].Weight()
		require.True(t, ok, name)
		assert.InDelta(t, 412.6, m.Grams(), 0.3, name)
	}
}

// A print has gross and net in each, so that whichever is wanted is there before
// and behind a tare.
func TestAPrintHasBothWeights(t *testing.T) {
	for mode, wantG := range map[scale.Mode]float64{scale.ModeGross: 600, scale.ModeNet: 420} {
		c := scale.Labelled{Label: mode}
		b := warm(t, Options{Codec: c})
		b.PlaceCup(180)
		settle(t, b)
		b.PressTare()
		b.Add(0, 420)
		settle(t, b)
		b.Drain(nil)
		b.Tick(100 * time.Millisecond)
		readings, bad := heard(t, c, b.Drain(nil))
		assert.Zero(t, bad)
		require.Len(t, readings, 2)
		n := 0
		for _, r := range readings {
			if m, ok := r.Weight(); ok {
				assert.InDelta(t, wantG, m.Grams(), 0.3)
				assert.Equal(t, mode, r.Mode)
				n++
			}
		}
		assert.Equal(t, 1, n, "the other is no weight")
	}
}

func pick[T any](yes bool, a, b T) T {
	if yes {
		return a
	}
	return b
}

// bytesOf plays a fixed scene and keeps every byte.
func bytesOf(t *testing.T, seed uint64) []byte {
	b := New(Options{Seed: seed, Codec: smaCodec(t), Faults: []Scheduled{
		{Fault: FaultGarbage, At: 4 * time.Second}, {Fault: FaultDraught, At: 12 * time.Second},
	}})
	var out []byte
	tick := func(d time.Duration) {
		for range int(d / (100 * time.Millisecond)) {
			b.Tick(100 * time.Millisecond)
			out = b.Drain(out)
		}
	}
	b.Look(Screen{Ask: AskCup})
	tick(5 * time.Second)
	b.Look(Screen{Ask: AskPour, Component: 1, ToGoG: 100})
	tick(10 * time.Second)
	b.Look(Screen{Ask: AskStir})
	tick(5 * time.Second)
	return out
}

func TestSameSeedSameBytes(t *testing.T) {
	first := bytesOf(t, 7)
	assert.Equal(t, first, bytesOf(t, 7))
	assert.NotEqual(t, first, bytesOf(t, 8))
}

// Cutting time into other pieces changes nothing: what counts are the steps.
func TestTickSizeDoesNotMatter(t *testing.T) {
	play := func(dt time.Duration) []byte {
		b := New(Options{Seed: 3, Codec: smaCodec(t)})
		b.PlaceCup(100)
		b.Pour(0, 30, 10)
		for b.Now() < 6*time.Second {
			b.Tick(dt)
		}
		return b.Drain(nil)
	}
	assert.Equal(t, play(10*time.Millisecond), play(3*time.Millisecond))
	assert.Equal(t, play(10*time.Millisecond), play(60*time.Millisecond))
}

// The requests of SMA SCP-0499 sections 4.1, 4.5, 4.6, 4.9 and 4.19.1.
func TestRequests(t *testing.T) {
	b := warm(t, Options{Codec: smaCodec(t), OnRequest: true})
	assert.Empty(t, b.Drain(nil), "it was not asked")
	b.PlaceCup(180)
	b.Tick(200 * time.Millisecond)

	assert.Equal(t, scale.StatusTareError, answer(t, b, scale.RequestTare).Status, "moving")
	assert.NotEqual(t, scale.StatusTareError, answer(t, b, scale.RequestWeight).Status, "T shows once")
	assert.Equal(t, scale.StatusZeroError, answer(t, b, scale.RequestZero).Status, "moving")
	settle(t, b)
	r := answer(t, b, scale.RequestWeight)
	assert.Equal(t, scale.ModeGross, r.Mode)
	assert.NotEqual(t, scale.StatusOK, r.Status, "180 g is outside the zero range of 6 kg")
	b.LiftCup()
	settle(t, b)
	assert.Equal(t, scale.StatusZero, answer(t, b, scale.RequestZero).Status)
	b.PutBackCup()
	settle(t, b)
	r = answer(t, b, scale.RequestTare)
	assert.Equal(t, scale.ModeNet, r.Mode)
	assert.Equal(t, "0.0", r.Number.String())
	r = answer(t, b, scale.RequestClearTare)
	assert.Equal(t, scale.ModeGross, r.Mode)
	got, _ := r.Weight()
	assert.InDelta(t, 180, got.Grams(), 0.15)
}

func TestStreamRunsUntilTheNextRequest(t *testing.T) {
	b := warm(t, Options{Codec: smaCodec(t), OnRequest: true})
	ask(t, b, scale.RequestStream)
	b.Tick(time.Second)
	readings, _ := heard(t, smaCodec(t), b.Drain(nil))
	assert.InDelta(t, 10, len(readings), 1)
	ask(t, b, scale.RequestWeight)
	b.Tick(time.Second)
	assert.Empty(t, b.Drain(nil), "any request ends the stream")
	ask(t, b, scale.RequestStream)
	assert.Empty(t, ask(t, b, scale.RequestReset), "a reset is not answered")
	b.Tick(time.Second)
	assert.Empty(t, b.Drain(nil))
}

// The dialogues of SMA SCP-0499 4.13 to 4.16 and 5.5: lines until END:, then
// "?".
func TestAboutAndInfo(t *testing.T) {
	b := warm(t, Options{Codec: smaCodec(t), OnRequest: true, Seed: 12})
	for _, c := range []struct {
		first, next scale.Request
		want        string
	}{
		{scale.RequestAbout, scale.RequestAboutNext, "SMA:2/1.0|MFG:simulated|MOD:decent bench|REV:1|SN :12|END:|?"},
		{scale.RequestInfo, scale.RequestInfoNext, "SMA:2/1.0|TYP:S|CAP:g  :6000.0:1:1|CMD:TCR|END:|?"},
	} {
		for range 2 { // the first line starts again
			lines := []string{ask(t, b, c.first)}
			for len(lines) < 20 && lines[len(lines)-1] != "\n?\r" {
				lines = append(lines, ask(t, b, c.next))
			}
			got := strings.NewReplacer("\r\n", "|", "\n", "", "\r", "").Replace(strings.Join(lines, ""))
			assert.Equal(t, c.want, got)
			for _, l := range lines {
				assert.LessOrEqual(t, len(l), 1+4+25+1, "%q", l)
			}
		}
	}
}

func TestUnknownRequestIsAnswered(t *testing.T) {
	b := warm(t, Options{Codec: smaCodec(t), OnRequest: true})
	b.Send([]byte("\nV\r"))
	b.Tick(2 * Step)
	assert.Equal(t, "\n?\r", string(b.Drain(nil)))
	b.Send([]byte("\nW"))
	b.Tick(time.Second)
	assert.Empty(t, b.Drain(nil), "half a request waits")
	b.Send([]byte("\r"))
	b.Tick(2 * Step)
	assert.Len(t, b.Drain(nil), 20)
}

// A family of lines that can not say what is wrong says nothing: it must not
// send a number that is none.
func TestWhatCanNotBeSaidIsNotSent(t *testing.T) {
	for _, c := range everyShape() {
		b := warm(t, Options{Codec: c})
		b.PlaceCup(1300)
		b.Inject(FaultPowerCycle, time.Second)
		b.Tick(4 * time.Second)
		b.Drain(nil)
		b.Tick(time.Second)
		require.Equal(t, scale.StatusInitialZeroError, b.Reading().Status)
		readings, bad := heard(t, c, b.Drain(nil))
		assert.Zero(t, bad, c.Name())
		for _, r := range readings {
			assert.Equal(t, scale.StatusInitialZeroError, r.Status, c.Name())
		}
	}
}

func TestLineIsBounded(t *testing.T) {
	b := New(Options{Codec: smaCodec(t)})
	b.Tick(time.Minute)
	assert.Equal(t, 600-maxFrames, b.Dropped())
	assert.Len(t, b.Drain(nil), maxFrames*20, "the newest are kept")
	b.Send(bytes.Repeat([]byte("x"), 10_000))
	assert.Len(t, b.line.in, maxRequest)
}

func TestNoCodecNoLine(t *testing.T) {
	b := warm(t, Options{})
	b.Send([]byte("\nW\r"))
	b.Tick(time.Second)
	assert.Empty(t, b.Drain(nil))
}
