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

// bench is a simulated scale with a walk that watches it.
type bench struct {
	t      *testing.T
	sim    *simulator.Bench
	w      *checkup.Walk
	framer *scale.Framer
}

func setup() checkup.Setup {
	return checkup.Setup{Scale: "simulated", Capacity: 6 * scale.Kilogram, Division: scale.Gram / 10, Nominal: 2 * scale.Kilogram, WeightClass: scale.WeightF2, WeightID: "K-7"}
}

func start(t *testing.T, s checkup.Setup, o simulator.Options) *bench {
	t.Helper()
	w, err := checkup.New(s)
	require.NoError(t, err)
	o.Codec = scale.SMA{}
	return &bench{t: t, sim: simulator.New(o), w: w, framer: scale.NewFramer(o.Codec)}
}

// run lets time pass; the walk gets what comes over the line, ten times a second.
func (b *bench) run(d time.Duration) {
	for end := b.sim.Now() + d; b.sim.Now() < end; {
		b.sim.Tick(100 * time.Millisecond)
		b.framer.Feed(b.sim.Drain(nil))
		for r, err, ok := b.framer.Next(); ok; r, err, ok = b.framer.Next() {
			require.NoError(b.t, err)
			b.w.Take(b.sim.Now(), r)
		}
	}
}

func (b *bench) view() checkup.View { return b.w.View(b.sim.Now()) }

// taken runs until there are n readings.
func (b *bench) taken(n int) {
	b.t.Helper()
	for range 300 {
		if len(b.view().Taken) >= n {
			require.Len(b.t, b.view().Taken, n)
			return
		}
		b.run(100 * time.Millisecond)
	}
	b.t.Fatalf("reading %d was never taken: %+v", n, b.view())
}

// repeats does what the walk says, with a weight of so many grams each time
// and so much left on the pan after each.
func (b *bench) repeats(weightG []float64, leftG float64) {
	b.t.Helper()
	b.taken(1)
	for i, m := range weightG {
		require.Equal(b.t, checkup.StepOn, b.view().Step)
		b.sim.PlaceCup(m)
		b.taken(2 + 2*i)
		require.Equal(b.t, checkup.StepOff, b.view().Step)
		b.sim.LiftCup()
		b.sim.WipePan()
		if leftG > 0 {
			b.sim.Add(0, leftG)
		}
		b.taken(3 + 2*i)
	}
}

func (b *bench) record() checkup.Record {
	b.t.Helper()
	r, ok := b.w.Record()
	require.True(b.t, ok)
	return r
}

func TestAGoodScalePasses(t *testing.T) {
	for _, seed := range []uint64{1, 2, 3, 4, 5} {
		b := start(t, setup(), simulator.Options{Seed: seed})
		assert.Empty(t, b.view().Waits, "its first reading is still to come")
		assert.Contains(t, b.view().Sentence, "everything off")
		b.repeats([]float64{2000, 2000, 2000}, 0)
		r := b.record()
		assert.True(t, r.Passed, "%+v", r)
		assert.Len(t, r.Readings, 7)
		assert.LessOrEqual(t, r.Worst.Mass().Abs(), scale.Gram/5)
		assert.Contains(t, r.Notes[0], "own trust, no verification")
		assert.Contains(t, r.Notes[1], "guess")
		assert.Contains(t, r.Verdict(), "Passed")
		assert.Less(t, b.sim.Now(), time.Minute, "hands-free and quick")
	}
}

// A scale whose span is one part in a thousand too large shows 2002 g for 2 kg;
// seen through its line that is the same as a weight of 2002 g.
func TestAScaleWithAWrongSpanFails(t *testing.T) {
	b := start(t, setup(), simulator.Options{Seed: 2})
	b.repeats([]float64{2002, 2002, 2002}, 0)
	r := b.record()
	assert.False(t, r.Passed)
	assert.InDelta(t, 2, r.Worst.Mass().Grams(), 0.5)
	require.Len(t, r.Findings, 1)
	assert.Contains(t, r.Findings[0], "allowed are 0.2 g")
	assert.Contains(t, r.Advice(), "breaks its verification")
}

// A scale that comes back to half a gram instead of zero, as after friction or
// dirt under the pan: it is given time, noted as it is, and fails.
func TestAScaleThatDoesNotComeBackFails(t *testing.T) {
	s := setup()
	b := start(t, s, simulator.Options{Seed: 3})
	b.repeats([]float64{2000, 2000, 2000}, 0.5)
	r := b.record()
	assert.False(t, r.Passed)
	assert.Contains(t, r.Findings[len(r.Findings)-1], "not to zero")
	assert.InDelta(t, 0.5, r.ZeroAfter.Mass().Grams(), 0.15)
	assert.InDelta(t, 0, r.ZeroBefore.Mass().Grams(), 0.11)
}

func TestRepeatsThatScatterFail(t *testing.T) {
	b := start(t, setup(), simulator.Options{Seed: 4})
	b.repeats([]float64{1999.8, 2000, 2000.2}, 0)
	r := b.record()
	assert.False(t, r.Passed)
	assert.Contains(t, r.Findings[len(r.Findings)-1], "more than 2 divisions")
}

// In a draught nothing is taken, and somebody says why; after it the walk goes on.
func TestADraughtIsWaitedFor(t *testing.T) {
	b := start(t, setup(), simulator.Options{Seed: 5, Preset: simulator.FineBench()})
	b.taken(1)
	b.sim.PlaceCup(2000)
	b.sim.Inject(simulator.FaultDraught, 20*time.Second)
	said := false
	for range 18 {
		b.run(time.Second)
		said = said || b.view().Waits != "" && assert.Contains(t, b.view().Waits, "draught")
	}
	assert.True(t, said)
	b.taken(2)
}

func TestTheWrongWeightIsSaid(t *testing.T) {
	b := start(t, setup(), simulator.Options{Seed: 6})
	b.taken(1)
	b.sim.PlaceCup(1000)
	b.run(6 * time.Second)
	assert.Regexp(t, `^It shows (999|1000)(\.\d)? g: that looks like the 1 kg weight, and 2 kg is wanted\.$`, b.view().Waits)
	assert.Len(t, b.view().Taken, 1)
	b.sim.PlaceCup(300)
	b.run(6 * time.Second)
	assert.Contains(t, b.view().Waits, "is it the right weight")
	b.sim.PlaceCup(2000)
	b.taken(2)
	b.sim.PlaceCup(40)
	b.run(6 * time.Second)
	assert.Contains(t, b.view().Waits, "something still lies on the pan")
	assert.Len(t, b.view().Taken, 2)
}

// A scale that is far off must be able to fail: a person can say that this is
// the weight.
func TestAScaleFarOffCanFail(t *testing.T) {
	b := start(t, setup(), simulator.Options{Seed: 7})
	assert.False(t, b.w.ThisIsIt(), "not before there is anything")
	b.taken(1)
	for i := range 3 {
		b.sim.PlaceCup(1700)
		b.run(6 * time.Second)
		require.True(t, b.view().ThisIsIt)
		require.True(t, b.w.ThisIsIt())
		b.taken(2 + 2*i)
		b.sim.LiftCup()
		b.taken(3 + 2*i)
	}
	assert.False(t, b.record().Passed)
}

func TestTheEmptyPanMustStandAtZero(t *testing.T) {
	b := start(t, setup(), simulator.Options{Seed: 8})
	b.sim.Add(0, 0.6)
	b.run(10 * time.Second)
	assert.Contains(t, b.view().Waits, "zero the scale with its own key")
	assert.Empty(t, b.view().Taken)
	b.sim.PressZero()
	b.taken(1)
	b = start(t, setup(), simulator.Options{Seed: 8})
	b.sim.PlaceCup(42)
	b.run(6 * time.Second)
	assert.Contains(t, b.view().Waits, "take off what lies there")
}

func TestFaultsAreSaidAndWaitedFor(t *testing.T) {
	for _, c := range []struct {
		fault simulator.Fault
		says  string
	}{
		{simulator.FaultOverload, "overload"},
		{simulator.FaultWrongUnit, "switch it back to g"},
	} {
		b := start(t, setup(), simulator.Options{Seed: 9})
		b.taken(1)
		b.sim.PlaceCup(2000)
		b.sim.Inject(c.fault, 8*time.Second)
		b.run(7 * time.Second)
		assert.Contains(t, b.view().Waits, c.says)
		assert.Len(t, b.view().Taken, 1)
		b.taken(2)
	}
	b := start(t, setup(), simulator.Options{Seed: 9})
	b.taken(1)
	b.w.Lost()
	assert.Contains(t, b.view().Waits, "lost")
	b.run(time.Second)
	assert.Empty(t, b.view().Waits)
	assert.Contains(t, b.w.View(b.sim.Now()+4*time.Second).Waits, "not heard")
}

// A tare with the weight on would pass for an empty pan.
func TestATareIsNoEmptyPan(t *testing.T) {
	b := start(t, setup(), simulator.Options{Seed: 10})
	b.taken(1)
	b.sim.PlaceCup(2000)
	b.taken(2)
	b.sim.PressTare()
	b.run(10 * time.Second)
	assert.Contains(t, b.view().Waits, "tare")
	assert.Len(t, b.view().Taken, 2)
}

func TestBackAndAgain(t *testing.T) {
	b := start(t, setup(), simulator.Options{Seed: 11})
	b.taken(1)
	b.sim.PlaceCup(2000)
	b.taken(2)
	b.w.Back()
	b.run(5 * time.Second)
	assert.Len(t, b.view().Taken, 1, "the weight that stands there was taken back, and must be lifted first")
	assert.Contains(t, b.view().Sentence, "Lift")
	b.sim.LiftCup()
	b.run(2 * time.Second)
	b.sim.PlaceCup(2000)
	b.taken(2)
	b.sim.LiftCup()
	b.taken(3)
	b.w.Back()
	assert.Len(t, b.view().Taken, 1, "the zero after it goes with it")
	b.w.Back()
	b.w.Back()
	assert.Equal(t, checkup.StepZero, b.view().Step)
	b.taken(1)
	b.w.Again()
	assert.Empty(t, b.view().Taken)
	b.repeats([]float64{2000, 2000, 2000}, 0)
	b.w.Back()
	_, ok := b.w.Record()
	assert.False(t, ok, "the verdict goes with it")
	b.sim.PlaceCup(2000)
	b.taken(6)
	b.sim.LiftCup()
	b.taken(7)
	assert.True(t, b.record().Passed)
}

func TestCorners(t *testing.T) {
	for _, c := range []struct {
		name    string
		nominal scale.Mass
		third   float64 // what the third corner shows more
		judged  bool
		passed  bool
	}{
		{"good", 2 * scale.Kilogram, 0, true, true},
		{"a bad corner", 2 * scale.Kilogram, 1, true, false},
		{"with a weight far from a third it is only noted", scale.Kilogram, 1, false, true},
	} {
		s := setup()
		s.Corners, s.Nominal = true, c.nominal
		b := start(t, s, simulator.Options{Seed: 12})
		m := c.nominal.Grams()
		b.repeats([]float64{m, m, m}, 0)
		for i, place := range []checkup.Place{checkup.PlaceFront, checkup.PlaceRight, checkup.PlaceBack, checkup.PlaceLeft} {
			assert.Equal(t, place, b.view().Place, c.name)
			assert.NotEmpty(t, b.view().Sentence)
			if i == 2 {
				b.sim.PlaceCup(m + c.third)
			} else {
				b.sim.PlaceCup(m)
			}
			b.taken(8 + i)
			b.run(3 * time.Second)
			assert.Len(t, b.view().Taken, 8+i, "it counts again only once it was lifted")
			b.sim.LiftCup()
			b.run(time.Second)
		}
		b.taken(12)
		r := b.record()
		assert.Equal(t, c.judged, r.CornersJudged, c.name)
		assert.Equal(t, c.passed, r.Passed, "%s: %v", c.name, r.Findings)
		assert.InDelta(t, m+c.third, r.Readings[9].Shown.Mass().Grams(), 0.35)
		if !c.judged {
			assert.Contains(t, r.Notes[2], "2 kg here", "2 kg is a third of 6 kg")
		}
	}
}

func TestARecordAsJSONHasUnitsAndComesBack(t *testing.T) {
	b := start(t, setup(), simulator.Options{Seed: 13})
	b.repeats([]float64{2000, 2000, 2000}, 0)
	text, err := json.Marshal(b.record())
	require.NoError(t, err)
	for _, key := range []string{`"limit_g":0.2`, `"division_d_g":0.1`, `"weight_nominal_g":2000`, `"weight_error_g":0.03`, `"zero_after_g":`, `"after_ms":`, `"weight_id":"K-7"`} {
		assert.Contains(t, string(text), key)
	}
	var back checkup.Record
	require.NoError(t, json.Unmarshal(text, &back))
	assert.Equal(t, b.record(), back)
}

// A scale without a mark of stillness is judged by time alone.
func TestAScaleWithoutAStillnessMark(t *testing.T) {
	w, err := checkup.New(setup())
	require.NoError(t, err)
	at := time.Duration(0)
	feed := func(coefficient uint64, n int) {
		for range n {
			at += 500 * time.Millisecond
			w.Take(at, scale.Reading{Number: scale.Decimal{Coefficient: coefficient, Places: 1}, HasNumber: true, Unit: scale.UnitGram})
		}
	}
	feed(0, 2)
	assert.Empty(t, w.View(at).Taken)
	feed(0, 3)
	require.Len(t, w.View(at).Taken, 1)
	feed(20000, 3)
	feed(20003, 3)
	assert.Len(t, w.View(at).Taken, 1, "it moved")
	feed(20003, 2)
	assert.Len(t, w.View(at).Taken, 2)
}

// A scale that calls itself moving for ever is watched by what it shows after a
// while, and the walk goes on.
func TestAScaleThatIsNeverStillCanBeChecked(t *testing.T) {
	w, err := checkup.New(setup())
	require.NoError(t, err)
	at := time.Duration(0)
	stand := func(tenths uint64, d time.Duration) {
		for end := at + d; at < end; {
			at += 100 * time.Millisecond
			w.Take(at, scale.Reading{HasNumber: true, Unit: scale.UnitGram, Motion: scale.MotionMoving,
				Number: scale.Decimal{Coefficient: tenths + uint64(at/(300*time.Millisecond))%2, Places: 1, Lead: 4}})
		}
	}
	stand(0, 7*time.Second)
	require.Empty(t, w.View(at).Taken)
	require.Contains(t, w.View(at).Waits, "It does not come to rest")
	stand(0, 20*time.Second)
	require.Len(t, w.View(at).Taken, 1, "the zero")
	stand(20000, 3*time.Second)
	require.Len(t, w.View(at).Taken, 2, "and the weight, with no second wait")
}

// A check that was begun a moment ago waits for its first reading; it is not said
// that the scale is not heard until that is so.
func TestACheckThatHasJustBegunIsNotDeaf(t *testing.T) {
	w, err := checkup.New(setup())
	require.NoError(t, err)
	require.Empty(t, w.View(50*time.Millisecond).Waits)
	require.Empty(t, w.View(2*time.Second).Waits)
	require.Contains(t, w.View(4*time.Second).Waits, "The scale is not heard")
}

// A weight that reads differently each time it is put on is a scatter, and the kept
// check tells it: of 1999.8, 2000 and 2000.2 g it is 0.2 g (JCGM 100, 4.2.2).
func TestRepeatsTellTheScatter(t *testing.T) {
	b := start(t, setup(), simulator.Options{Seed: 4})
	b.repeats([]float64{1999.8, 2000, 2000.2}, 0)
	kept := checkup.Kept{AtMS: 1234, Record: b.record()}
	got := kept.Repeats()
	assert.Equal(t, 3, got.N)
	assert.EqualValues(t, 1234, got.AtMS)
	assert.InDelta(t, 0.2, got.Scatter.Grams(), 0.08, "each reading is rounded to 0.1 g")
	assert.Zero(t, checkup.Kept{}.Repeats(), "no check says nothing")
}
