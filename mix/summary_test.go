package mix_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// The row that stays of a batch says of each density what it was, at which
// temperature, where from, of when and how sure, after it was written and read
// again; an older row, which kept less, says what it has.
func TestSummaryKeepsTheProvenance(t *testing.T) {
	now := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	r := described(t)
	r.Components[0].Density = mix.Density{GPerML: 1.40, ReferenceC: 23, Source: "weighed here against water", UncertaintyGML: 0.004, SinceMS: now.AddDate(0, 0, -5).UnixMilli()}
	r.Components[1].Density = mix.Density{GPerML: 1.06, ReferenceC: 20, Source: "product sheet", AsGiven: "1.06"}
	g := scale.MassFromGrams
	b := fold(t, []mix.Event{
		mix.Started{Recipe: r, Amount: volume(600), Division: scale.Gram / 10}, mix.CupPlaced{}, mix.Zeroed{Mode: scale.ModeNet},
		mix.Accepted{Component: 0, Amount: g(560), Line: mix.LineOn}, mix.Accepted{Component: 1, Amount: g(106), Line: mix.LineOn},
		mix.Accepted{Component: 2, Amount: g(87), Line: mix.LineOn}, mix.Completed{},
	})
	body, err := json.Marshal(mix.Summarize(&b))
	require.NoError(t, err)
	var s mix.Summary
	require.NoError(t, json.Unmarshal(body, &s))
	assert.Equal(t, "1.40 g/ml at 23 °C, weighed here against water 20 Nov, ± 0.008", s.Components[0].Provenance(now))
	assert.Equal(t, "1.06 g/ml at 20 °C, product sheet", s.Components[1].Provenance(now))
	assert.Equal(t, "1.06 g/ml, product sheet", mix.SummaryLine{DensityGML: 1.06, Source: "product sheet"}.Provenance(now))
	assert.Equal(t, "", mix.SummaryLine{}.Provenance(now))
}
