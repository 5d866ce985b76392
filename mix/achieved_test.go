package mix_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// decided is a batch of 600 ml whose hardener ran a tenth past its line, on a
// scale that was known to scatter when it was started.
func decided(t *testing.T, r mix.Recipe) mix.Batch {
	t.Helper()
	base := scale.MassFromGrams(400 * r.Components[0].Density.GPerML)
	hardener := scale.MassFromGrams(110 * r.Components[1].Density.GPerML)
	return fold(t, []mix.Event{
		mix.Started{Recipe: r, Amount: volume(600), Division: scale.Gram / 10, Noise: scale.Gram / 5, Stills: 4},
		mix.CupPlaced{}, mix.Zeroed{Mode: scale.ModeNet},
		mix.Accepted{Component: 0, Amount: base, Line: mix.LineOn},
		mix.WentPast{Component: 1, Amount: hardener, Net: base + hardener},
	})
}

// fold folds events through their bodies in the book, as a restart would.
func fold(t *testing.T, events []mix.Event) (b mix.Batch) {
	t.Helper()
	for i, e := range events {
		body, err := mix.EncodeEvent(e)
		require.NoError(t, err)
		again, err := mix.DecodeEvent(e.Type(), mix.EventVersion, body)
		require.NoError(t, err)
		b = mix.Apply(b, mix.Recorded{Batch: "b", Seq: uint64(i + 1), Event: again})
	}
	return b
}

func said(b *mix.Batch, do mix.Verb) []string {
	for _, c := range mix.Choices(b) {
		if c.Do == do {
			return c.Consequences
		}
	}
	return nil
}

// A tenth more hardener is a tenth more index (it is linear in the hardener);
// levelled up it is as planned. How sure the ratio is follows from the noise
// that was known at the start; by hand for base and reducer, from a reading of
// √(0.2² + 0.1²/12) = 0.2021 g: √2 of it on 560 and on 87 g, 0.001 on 1.40 and on
// 0.87 g/ml, root of the squares times two: 0.718 %, and with the raised 616 and
// 95.7 g 0.662 %, each rounded up.
func TestChoicesSayIndexAndCertainty(t *testing.T) {
	r := described(t)
	for i := range r.Components {
		r.Components[i].Density.UncertaintyGML = 0.001
	}
	b := decided(t, r)
	assert.True(t, b.Accuracy().Measured)
	assert.InDelta(t, 0.2, b.Accuracy().RepeatabilityG, 1e-9)
	assert.Contains(t, said(&b, mix.VerbKeep), "Index 0.86 instead of 0.78, ratio sure to ± 0.72 %")
	assert.Contains(t, said(&b, mix.VerbLevelUp), "Index 0.78 as planned, ratio sure to ± 0.67 %")

	r.Components[0].Content.OHValue = 0
	b = decided(t, r)
	assert.Contains(t, said(&b, mix.VerbKeep), "Ratio sure to ± 0.72 %", "without an index, no word of it")
}

// By hand: 0.5 % of each density, √2·0.1041 g on 560 and on 108.12 g and the
// reading that they share make 0.723 %, twice that of 3.922 is 0.0567; the index
// (1.06/262.6)/(5.6/1078.8) = 0.7776 grows by 2 %.
// What came of a batch is folded from its events: ratio, ± and index, in the
// summary too, with the area that the amount came from.
func TestResult(t *testing.T) {
	r := described(t)
	job := mix.Job{AreaM2: 2.2, Coats: 2, DryUM: 40, Transfer: 0.65}
	amount := volume(600)
	amount.Job = job
	g := scale.MassFromGrams
	events := []mix.Event{
		mix.Started{Recipe: r, Amount: amount, Division: scale.Gram / 10},
		mix.CupPlaced{}, mix.Zeroed{Mode: scale.ModeNet},
		mix.Accepted{Component: 0, Amount: g(560), Line: mix.LineOn},
		mix.Accepted{Component: 1, Amount: g(108.12), Line: mix.LineOn}, // 2 % more than 106
	}
	b := fold(t, events)
	_, ok := b.Result()
	assert.False(t, ok, "a layer is still to come")
	b = fold(t, append(events, mix.Accepted{Component: 2, Amount: g(87), Line: mix.LineOn}, mix.Completed{}))
	result, ok := b.Result()
	require.True(t, ok)
	assert.InDelta(t, 4/1.02, result.Certainty.Ratio[1].Value, 1e-9)
	require.Len(t, result.Text, 2)
	assert.Equal(t, "Achieved 3.922 : 1 ± 0.057, base to hardener by volume.", result.Text[0])
	assert.Equal(t, "Index 0.79 achieved, 0.78 planned.", result.IndexText)

	s := mix.Summarize(&b)
	assert.Equal(t, "2.2 m², 2 coats of 40 µm", s.Job.Text())
	assert.InDelta(t, result.Index, s.Index, 1e-12)
	assert.Zero(t, s.Components[0].Ratio)
	assert.Equal(t, "3.922 : 1 ± 0.057", mix.RatioPlusMinus(s.Components[1].Ratio, s.Components[1].PlusMinus))
	assert.Equal(t, "", mix.Job{}.Text())
	assert.Equal(t, "1 m², 1 coat of 12.5 µm", mix.Job{AreaM2: 1, Coats: 1, DryUM: 12.5}.Text())
}
