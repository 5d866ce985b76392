package mix_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// midPour is a batch in its first pour, with readings that rise.
func midPour(t testing.TB) (*rig, func(i int) *mix.Weighed) {
	r := newRig(t)
	require.Nil(t, r.start(recipeOf(t, "4:1:1", "1.42,1.06,0.87"), volume(600)).Refused)
	r.cupOn(12 * scale.Gram)
	r.pour(100*scale.Gram, 5*time.Second)
	var in mix.Weighed
	in.At = r.at
	in.Reading = r.shown(true)
	return r, func(i int) *mix.Weighed {
		in.At = in.At.Add(20 * time.Millisecond)
		in.Reading.Number.Coefficient = 1000 + uint64(i%3000)
		return &in
	}
}

// TestNoAllocationInMidPour: readings come fifty times a second for a whole
// day; none of them may leave garbage.
func TestNoAllocationInMidPour(t *testing.T) {
	r, next := midPour(t)
	i := 0
	var live mix.Live
	for name, f := range map[string]func(){
		"Step":  func() { i++; live = mix.Step(&r.b, &r.p, next(i)).Live },
		"Watch": func() { i++; live = mix.Watch(&r.b, &r.p, next(i)) },
		"Show":  func() { live = mix.Show(&r.b, &r.p) },
	} {
		require.Zero(t, testing.AllocsPerRun(500, f), name)
		require.True(t, live.Valid, name)
		require.Positive(t, live.FlowGS, name)
		require.NotEqual(t, mix.CueWait, live.Cue, name)
	}
}

// TestNoAllocationWithoutFlags: working out stillness costs nothing either.
func TestNoAllocationWithoutFlags(t *testing.T) {
	r, next := midPour(t)
	i := 0
	require.Zero(t, testing.AllocsPerRun(500, func() {
		i++
		in := next(i / 10 * 10)
		in.Reading.Motion = scale.MotionUnknown
		if e := mix.Step(&r.b, &r.p, in).Events; e != nil {
			t.Errorf("in a rising pour nothing is decided: %v", e)
		}
	}))
}

func BenchmarkStep(b *testing.B) {
	r, next := midPour(b)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		mix.Step(&r.b, &r.p, next(i))
	}
}

func BenchmarkPlanAndLevelUp(b *testing.B) {
	recipe := recipeOf(b, "4:1:1", "1.42,1.06,0.87")
	b.ReportAllocs()
	for b.Loop() {
		p, err := recipe.Plan(volume(600))
		if err != nil {
			b.Fatal(err)
		}
		if _, err := p.LevelUp([]float64{590, 100}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFold(b *testing.B) {
	r, _ := midPour(b)
	b.ReportAllocs()
	for b.Loop() {
		if folded := mix.Fold(r.events); folded.Seq != r.b.Seq {
			b.Fatal(folded.Seq)
		}
	}
}
