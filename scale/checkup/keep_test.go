package checkup_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
	"gramcup/scale/checkup"
	"gramcup/simulator"
)

// cut breaks the check off, as a power cut does, and brings it back from what was
// kept. The simulated scale goes on; its clock stands for that on the wall.
func (b *bench) cut() {
	b.t.Helper()
	zero := time.UnixMilli(1_700_000_000_000)
	body, err := json.Marshal(b.w.Keep(zero))
	require.NoError(b.t, err)
	var back checkup.KeptWalk
	require.NoError(b.t, json.Unmarshal(body, &back))
	b.w, err = checkup.Restore(back, zero)
	require.NoError(b.t, err)
}

func (b *bench) goOn() {
	b.t.Helper()
	b.sim.LiftCup()
	for range 100 {
		b.run(100 * time.Millisecond)
		if b.w.PanTrouble(b.sim.Now()) == "" {
			require.NoError(b.t, b.w.GoOn(b.sim.Now()))
			return
		}
	}
	b.t.Fatalf("it could not be gone on with: %s", b.w.PanTrouble(b.sim.Now()))
}

// Broken off after each reading, and once it is finished, a check comes to the
// verdict of one that was made in one go, and says that it was not.
func TestACheckIsGoneOnWithFromEachReading(t *testing.T) {
	b := start(t, setup(), simulator.Options{Seed: 5})
	b.cut()
	assert.Equal(t, "Nothing was weighed yet.", b.w.Far())
	b.goOn()
	b.taken(1)
	b.cut()
	assert.Equal(t, "Noted: 1 of 7 readings, the last one 0 g on the empty pan.", b.w.Far())
	assert.Equal(t, "It goes on with reading 2 of 7.", b.w.Next())
	b.sim.PlaceCup(2000)
	b.run(4 * time.Second)
	require.Error(t, b.w.GoOn(b.sim.Now()), "the weight stands there")
	assert.Contains(t, b.w.PanTrouble(b.sim.Now()), "take everything off the pan")
	require.Len(t, b.view().Taken, 1, "it takes nothing until it is gone on with")
	b.goOn()
	b.sim.PlaceCup(2000)
	b.taken(2)
	b.cut()
	assert.Equal(t, "It goes on with reading 2 of 7: how the scale came back to zero after that weight was not seen, so it is weighed again.", b.w.Next())
	b.goOn()
	require.Len(t, b.view().Taken, 1)
	for n := 2; n < 7; n += 2 {
		b.sim.PlaceCup(2000)
		b.taken(n)
		b.sim.LiftCup()
		b.taken(n + 1)
		if n < 6 {
			b.cut()
			b.goOn()
		}
	}
	want, ok := b.w.Record()
	require.True(t, ok)
	b.cut()
	got, ok := b.w.Record()
	require.True(t, ok, "a finished one is as it was")
	assert.Equal(t, want, got)
	assert.True(t, got.Passed, "%v", got.Findings)
	assert.Equal(t, "K-7", got.WeightID)
	require.Len(t, got.Notes, 6)
	assert.Contains(t, got.Notes[2], "It was broken off after reading 1, and went on ")
	assert.Contains(t, got.Notes[5], "It was broken off after reading 5, and went on ")
	for i := range got.Readings[1:] {
		assert.Greater(t, got.Readings[i+1].AfterMS, got.Readings[i].AfterMS, "the clock runs on over a break")
	}
}

// A corner that was weighed holds: only what has a zero after it is weighed again.
func TestCornersAreGoneOnWith(t *testing.T) {
	s := setup()
	s.Corners = true
	b := start(t, s, simulator.Options{Seed: 6})
	b.repeats([]float64{2000, 2000, 2000}, 0)
	b.sim.PlaceCup(2000)
	b.taken(8)
	b.cut()
	b.goOn()
	require.Len(t, b.view().Taken, 8)
	assert.Equal(t, checkup.PlaceRight, b.view().Place)
	b.w.Back()
	require.Len(t, b.view().Taken, 7)
	b.w.Again()
	b.taken(1)
	k := b.w.Keep(time.UnixMilli(0))
	assert.Empty(t, k.Breaks, "one that began anew was made in one go")
}

func TestWhatIsNotWholeIsNoCheck(t *testing.T) {
	b := start(t, setup(), simulator.Options{Seed: 7})
	b.taken(1)
	for name, spoil := range map[string]func(*checkup.KeptWalk){
		"another place":  func(k *checkup.KeptWalk) { k.Readings[0].Place = checkup.PlaceLeft },
		"too many":       func(k *checkup.KeptWalk) { k.Readings = make([]checkup.Reading, 20) },
		"no such weight": func(k *checkup.KeptWalk) { k.WeightClass = "Z9" },
		"no such class":  func(k *checkup.KeptWalk) { k.Class = "V" },
		"no scale":       func(k *checkup.KeptWalk) { k.Capacity = checkup.Grams(scale.Gram) },
	} {
		k := b.w.Keep(time.UnixMilli(0))
		spoil(&k)
		_, err := checkup.Restore(k, time.UnixMilli(0))
		assert.Error(t, err, name)
	}
}
