package mix_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

func TestRatioText(t *testing.T) {
	p21 := recipeOf(t, "2:1", "0.98,1.05")
	for _, row := range []struct {
		recipe mix.Recipe
		want   string
	}{
		{recipeOf(t, "4:1:1", "1.42,1.06,0.87"), "4 : 1 : 1 by volume"},
		{byWeight(recipeOf(t, "100:30", "1.35,1.10")), "100 : 30 by weight"},
		{recipeOf(t, "1:1.5", "1,1"), "1 : 1.5 by volume"},
		{withPercent(t, p21, 10, mix.OfParts, "0.87"), "2 : 1 + 10 % of A+B by volume"},
		{withPercent(t, p21, 10, mix.OfFirst, "0.87"), "2 : 1 + 10 % of A by volume"},
		{withPercent(t, p21, 7.5, mix.OfWhole, "0.87"), "2 : 1 + 7.5 % of the whole by volume"},
		{withPercent(t, withPercent(t, p21, 5, mix.OfFirst, "0.87"), 10, mix.OfParts, "0.87"), "2 : 1 + 5 % of A + 10 % of A+B by volume"},
	} {
		assert.Equal(t, row.want, mix.RatioText(row.recipe))
	}
}

func TestShareText(t *testing.T) {
	r := withPercent(t, recipeOf(t, "4:1:0.5", "1,1,1"), 10, mix.OfParts, "0.87")
	for i, want := range []string{"4 parts", "1 part", "0.5 parts", "10 % of A+B+C"} {
		assert.Equal(t, want, mix.ShareText(r, i))
	}
	// The letters are those of the components that are given in parts.
	r.Components[1], r.Components[3] = r.Components[3], r.Components[1]
	assert.Equal(t, "10 % of A+C+D", mix.ShareText(r, 1))
}

func TestDecimals(t *testing.T) {
	for division, want := range map[scale.Mass]int{scale.Kilogram: 0, 5 * scale.Gram: 0, scale.Gram: 0, 500 * scale.Milligram: 1,
		100 * scale.Milligram: 1, 50 * scale.Milligram: 2, 20 * scale.Milligram: 2, 10 * scale.Milligram: 2, scale.Milligram: 3, 1: 6, 0: 0, -1: 0} {
		assert.Equal(t, want, mix.Decimals(division), "%v", division)
	}
}

func TestCupText(t *testing.T) {
	r := recipeOf(t, "4:1:1", "1.42,1.06,0.87")
	p, err := r.Plan(volume(600))
	require.NoError(t, err)
	assert.Equal(t, "", mix.CupText(r, p), "nothing is said of a cup that is not known")
	r.CupUsableML = 600.5
	assert.Equal(t, "Fits this cup", mix.CupText(r, p))
	r.CupUsableML = 550
	assert.Equal(t, "Does not fit this cup: 50 ml over its usable 550 ml", mix.CupText(r, p))
}

// requireText: whatever the state, there is something to read, and nothing in
// it is a slip of a format.
func requireText(t require.TestingT, b *mix.Batch) {
	headline, detail := mix.Headline(b)
	require.NotEmpty(t, headline)
	all := headline + detail
	for _, c := range mix.Choices(b) {
		require.NotEmpty(t, c.Label)
		require.NotEmpty(t, c.Consequences, c.Label)
		all += c.Label + strings.Join(c.Consequences, "")
	}
	for _, slip := range []string{"%!", "NaN", "Inf", "-0.0 "} {
		require.NotContains(t, all, slip)
	}
}

// withEndings adds the ended places to those where a batch can stand.
func withEndings() []place {
	all := phases()
	for _, at := range phases() {
		for _, verb := range []mix.Verb{mix.VerbStop, mix.VerbAbort} {
			all = append(all, place{fmt.Sprintf("%s, then %s", at.name, verb), func(t *testing.T) *rig {
				r := at.bring(t)
				require.Nil(t, r.press(verb).Refused)
				return r
			}, mix.PhaseDone, false})
		}
	}
	return all
}

func TestHeadlineIsNeverEmpty(t *testing.T) {
	headline, _ := mix.Headline(&mix.Batch{})
	require.Equal(t, "Choose what to mix", headline)
	require.Empty(t, mix.Choices(&mix.Batch{}))
	seen := map[string]bool{}
	for _, at := range withEndings() {
		r := at.bring(t)
		requireText(t, &r.b)
		headline, _ := mix.Headline(&r.b)
		seen[headline] = true
		require.Equal(t, r.b.State.Ended(), len(mix.Choices(&r.b)) == 0, at.name)
		before := r.b
		r.powerCut()
		requireText(t, &r.b)
		if before.State.Ended() {
			require.Equal(t, before, r.b, "nothing happens to what has ended")
		}
	}
	require.Greater(t, len(seen), 9, "places look different: %v", seen)
}

// TestWhatIsOfferedCanBeDone: with a weight that stands still, none of the
// choices is refused because of where the batch stands.
func TestWhatIsOfferedCanBeDone(t *testing.T) {
	for _, at := range phases() {
		for i, c := range mix.Choices(&at.bring(t).b) {
			t.Run(fmt.Sprintf("%s: %s", at.name, c.Do), func(t *testing.T) {
				r := at.bring(t)
				r.wake = mix.Stamp{}
				if !r.live.Still && r.b.State == mix.StateRunning {
					r.stand(800 * time.Millisecond)
				}
				offered := mix.Choices(&r.b)
				require.Equal(t, c.Do, offered[i].Do)
				if r.b.State == mix.StateHeld {
					r.reading(false)
					r.stand(500 * time.Millisecond)
				}
				ready := r.press(c.Do)
				switch {
				case ready.Refused == nil:
				case c.Do == mix.VerbKeep && strings.HasPrefix(ready.Refused.Sentence, "nothing of this component is in the cup yet"):
				case c.Do == mix.VerbCupOn && at.phase == mix.PhaseCup && r.load == 0:
				case c.Do == mix.VerbReopen && strings.HasPrefix(ready.Refused.Sentence, "the next component is already in the cup"):
				default:
					t.Fatalf("offered and refused: %s", ready.Refused)
				}
				require.Equal(t, ready.Refused == nil, len(ready.Events) > 0 || ready.Effect != mix.EffectNone, "what is not refused does something")
				require.Equal(t, c.Grave, r.b.State.Ended() && c.Do != mix.VerbStirred, "the grave choices are those that end")
			})
		}
	}
}
