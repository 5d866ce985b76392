package simulator

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// upset is a bench with a settled cup of 180 g and a fault of two seconds.
func upset(t *testing.T, f Fault) *Bench {
	t.Helper()
	b := warm(t, Options{Codec: smaCodec(t), Seed: 9})
	b.PlaceCup(180)
	settle(t, b)
	b.Tick(100 * time.Millisecond)
	b.Drain(nil)
	b.Inject(f, 2*time.Second)
	return b
}

// next is what the host hears in the coming time.
func next(t *testing.T, b *Bench, d time.Duration) (readings []scale.Reading, bad int) {
	t.Helper()
	b.Tick(d)
	return heard(t, smaCodec(t), b.Drain(nil))
}

// goodAgain checks that a second after its end nothing of a fault is left.
func goodAgain(t *testing.T, b *Bench, weight float64) {
	t.Helper()
	b.Tick(3 * time.Second)
	b.Drain(nil)
	readings, bad := next(t, b, time.Second)
	assert.Zero(t, bad)
	require.Len(t, readings, 10)
	m, ok := readings[9].Weight()
	assert.True(t, ok)
	assert.InDelta(t, weight, m.Grams(), 0.15)
	assert.Equal(t, scale.MotionStill, readings[9].Motion)
}

func TestFaultSilent(t *testing.T) {
	b := upset(t, FaultSilent)
	b.Send([]byte("\nW\r"))
	readings, bad := next(t, b, 1900*time.Millisecond)
	assert.Empty(t, readings)
	assert.Zero(t, bad)
	goodAgain(t, b, 180)
}

func TestFaultUnplugged(t *testing.T) {
	b := warm(t, Options{Codec: smaCodec(t)})
	w, err := b.Dial()
	require.NoError(t, err)
	_, err = b.Dial()
	assert.ErrorIs(t, err, ErrInUse)
	b.Inject(FaultUnplugged, 2*time.Second)
	_, err = w.Read(make([]byte, 10))
	assert.ErrorIs(t, err, ErrUnplugged)
	_, err = w.Write([]byte("x"))
	assert.ErrorIs(t, err, ErrUnplugged)
	b.Tick(time.Second)
	_, err = b.Dial()
	assert.ErrorIs(t, err, ErrUnplugged)
	assert.Empty(t, b.Drain(nil))
	b.Tick(time.Second)
	w2, err := b.Dial()
	require.NoError(t, err)
	b.Tick(time.Second)
	n, err := w2.Read(make([]byte, 100))
	assert.NoError(t, err)
	assert.Equal(t, 20, n, "one frame")
	assert.NoError(t, w.Close(), "closing the dead end is no error and harms nobody")
	_, err = w2.Write([]byte("x"))
	assert.NoError(t, err)
}

func TestFaultGarbage(t *testing.T) {
	b := upset(t, FaultGarbage)
	b.Tick(1900 * time.Millisecond)
	data := b.Drain(nil)
	assert.Greater(t, len(data), 19*20+19, "more than the frames")
	for _, r := range first(heard(t, smaCodec(t), data)) {
		if m, ok := r.Weight(); ok {
			assert.InDelta(t, 180, m.Grams(), 0.2, "no number comes out of junk")
		}
	}
	goodAgain(t, b, 180)
}

func first[A, B any](a A, _ B) A { return a }

func TestFaultPartial(t *testing.T) {
	b := upset(t, FaultPartial)
	b.Tick(1900 * time.Millisecond)
	data := b.Drain(nil)
	assert.Less(t, len(data), 19*19+1, "each frame lost at least a byte")
	assert.Greater(t, len(data), 19-1, "each frame kept at least one")
	goodAgain(t, b, 180)
}

func TestFaultChopped(t *testing.T) {
	b := upset(t, FaultChopped)
	b.Tick(1900 * time.Millisecond)
	var data []byte
	for {
		out, ok := b.Next(data)
		if !ok {
			break
		}
		require.Len(t, out, len(data)+1, "one byte at a time")
		data = out
	}
	readings, bad := heard(t, smaCodec(t), data)
	assert.Zero(t, bad)
	assert.Len(t, readings, 19)
	goodAgain(t, b, 180)
}

func TestFaultOverload(t *testing.T) {
	b := upset(t, FaultOverload)
	readings, _ := next(t, b, 1900*time.Millisecond)
	assert.Equal(t, scale.StatusOver, readings[len(readings)-1].Status)
	goodAgain(t, b, 180)
}

func TestFaultBump(t *testing.T) {
	b := upset(t, FaultBump)
	readings, bad := next(t, b, time.Second)
	assert.Zero(t, bad)
	moving := false
	for _, r := range readings {
		moving = moving || r.Motion == scale.MotionMoving
	}
	assert.True(t, moving, "a knock shows as motion")
	goodAgain(t, b, 180)
}

func TestFaultDraught(t *testing.T) {
	b := upset(t, FaultDraught)
	low, high, moving := math.Inf(1), math.Inf(-1), 0
	readings, _ := next(t, b, 1900*time.Millisecond)
	for _, r := range readings {
		m, ok := r.Weight()
		require.True(t, ok)
		low, high = min(low, m.Grams()), max(high, m.Grams())
		if r.Motion == scale.MotionMoving {
			moving++
		}
	}
	assert.Greater(t, high-low, 0.1, "it wanders")
	assert.Less(t, high-low, 2.0, "but not far")
	assert.Positive(t, moving)
	goodAgain(t, b, 180)
}

// A power cycle forgets the tare and takes the load on the pan as its zero.
func TestFaultPowerCycle(t *testing.T) {
	b := warm(t, Options{Codec: smaCodec(t)})
	b.PlaceCup(180)
	settle(t, b)
	b.PressTare()
	b.Drain(nil)
	b.Inject(FaultPowerCycle, 2*time.Second)
	readings, _ := next(t, b, 3400*time.Millisecond)
	assert.Empty(t, readings, "off, and then the self test")
	goodAgain(t, b, 0)
	assert.Equal(t, scale.ModeGross, b.Reading().Mode)
	b.LiftCup()
	settle(t, b)
	assert.Equal(t, scale.StatusUnder, b.Reading().Status, "the cup was taken for zero")
}

func TestPowerOnKeepsZeroOrRefuses(t *testing.T) {
	p := DecentBench()
	p.KeepsZero = true
	b := warm(t, Options{Preset: p})
	b.PlaceCup(180)
	b.Inject(FaultPowerCycle, time.Second)
	b.Tick(5 * time.Second)
	assert.InDelta(t, 180, weightG(t, b), 0.15)

	b = warm(t, Options{})
	b.PlaceCup(1300) // more than 20 % of 6 kg
	b.Inject(FaultPowerCycle, time.Second)
	b.Tick(5 * time.Second)
	assert.Equal(t, scale.StatusInitialZeroError, b.Reading().Status)
	b.LiftCup()
	b.Tick(3 * time.Second)
	assert.Equal(t, scale.StatusZero, b.Reading().Status)
}

func TestFaultWrongUnit(t *testing.T) {
	b := upset(t, FaultWrongUnit)
	readings, bad := next(t, b, 1900*time.Millisecond)
	assert.Zero(t, bad)
	require.NotEmpty(t, readings)
	for _, r := range readings {
		assert.Equal(t, scale.UnitOunce, r.Unit)
		m, ok := r.Weight()
		require.True(t, ok)
		assert.InDelta(t, 180, m.Grams(), 0.2, "right, in another unit")
	}
	goodAgain(t, b, 180)
}

func TestFaultStuck(t *testing.T) {
	b := upset(t, FaultStuck)
	b.Add(0, 500)
	b.Tick(1900 * time.Millisecond)
	readings, _ := heard(t, smaCodec(t), b.Drain(nil))
	for _, r := range readings {
		assert.Equal(t, readings[0], r)
		m, _ := r.Weight()
		assert.InDelta(t, 180, m.Grams(), 0.2)
		assert.Equal(t, scale.MotionStill, r.Motion)
	}
	goodAgain(t, b, 680)
}

func TestScheduledFaults(t *testing.T) {
	b := New(Options{Codec: smaCodec(t), Faults: []Scheduled{{Fault: FaultSilent, At: 2 * time.Second, For: time.Second}}})
	for second, want := range []int{10, 10, 0, 10} {
		readings, _ := next(t, b, time.Second)
		assert.InDelta(t, want, len(readings), 1, "second %d", second)
	}
	b.Schedule(Scheduled{Fault: FaultSilent, At: 5 * time.Second})
	b.Repair()
	b.Tick(2 * time.Second)
	assert.NotEmpty(t, b.Drain(nil), "repaired before it came")
}

func TestParseScheduled(t *testing.T) {
	for _, f := range Faults() {
		got, err := ParseScheduled(f.String() + "@1m2s+250ms")
		require.NoError(t, err)
		assert.Equal(t, Scheduled{Fault: f, At: 62 * time.Second, For: 250 * time.Millisecond}, got)
	}
	for _, s := range []string{"silent", "silent@", "silent@x", "silent@-1s", "silent@1s+", "nonsense@1s", "@1s"} {
		_, err := ParseScheduled(s)
		assert.Error(t, err, s)
	}
}
