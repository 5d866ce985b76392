package ui

import (
	"encoding/json"
	"errors"
	"flag"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/scale"
)

var update = flag.Bool("update", false, "write the golden files anew")

// primer is an invented recipe: 4 : 1 : 1 by volume with three different
// densities.
func primer() mix.Recipe {
	return mix.Recipe{
		ID: "kl-primer", Name: "Kestrel primer 4:1:1", Basis: mix.ByVolume, PotLifeMin: 60, CupUsableML: 1100,
		Components: []mix.Component{
			{Name: "Primer base", Role: mix.RoleBase, Parts: 4, Tolerance: 0.02, PricePerL: 38, Density: mix.Density{GPerML: 1.42, ReferenceC: 20, AsGiven: "1.42", Source: "invented"}},
			{Name: "Hardener H", Role: mix.RoleHardener, Parts: 1, Tolerance: 0.03, PricePerL: 61, Density: mix.Density{GPerML: 1.07, ReferenceC: 20, AsGiven: "1.07", Source: "invented"}},
			{Name: "Reducer M", Role: mix.RoleReducer, Parts: 1, Tolerance: 0.05, PricePerL: 12, Density: mix.Density{GPerML: 0.87, ReferenceC: 20, AsGiven: "0.87", Source: "invented"}},
		},
	}
}

// pourer makes batches out of events, ten seconds apart.
type pourer struct {
	b    mix.Batch
	last []mix.Recorded
}

func (p *pourer) do(events ...mix.Event) *pourer {
	p.last = nil
	for _, e := range events {
		n := p.b.Seq + 1
		at := mix.Stamp{Boot: "boot", WallMS: 1_760_000_000_000}.Add(time.Duration(n) * 10 * time.Second)
		r := mix.Recorded{Batch: "b-0007", Seq: n, At: at, Event: e}
		p.b = mix.Apply(p.b, r)
		p.last = append(p.last, r)
	}
	return p
}

func grams(g float64) scale.Mass { return scale.MassFromGrams(g) }

// pouring is 600 ml of primer with the cup on and nothing in it.
func pouring() *pourer {
	return new(pourer).do(
		mix.Started{Recipe: primer(), Amount: mix.Amount{Kind: mix.AmountVolume, ML: 600}, Division: scale.Gram / 10},
		mix.CupPlaced{Cup: grams(31.4)},
		mix.Zeroed{Reference: 0, Mode: scale.ModeNet},
	)
}

// hardenerRan has 58 g of hardener where 107 were wanted, or past it.
func hardenerRan() *pourer {
	return pouring().do(
		mix.Accepted{Component: 0, Amount: grams(568.3), Line: mix.LineOn},
		mix.WentPast{Component: 1, Amount: grams(112.6), Net: grams(680.9)},
	)
}

func golden(t *testing.T, name string, v any) {
	t.Helper()
	got, err := json.MarshalIndent(v, "", "  ")
	require.NoError(t, err)
	got = append(got, '\n')
	path := filepath.Join("..", "testdata", "stream", name+".json")
	if *update {
		require.NoError(t, os.WriteFile(path, got, 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "run with -update to write it")
	assert.Equal(t, string(want), string(got))
}

// The examples that the page's own tests read: what one side writes, the other
// must understand.
func TestGoldenMessages(t *testing.T) {
	hello := Hello{Type: "hello", Protocol: [2]int{ProtocolMajor, ProtocolMinor}, Version: "0.1.0", Station: "Bench 1", NowMS: 1_700_000_000_000, Demo: true, Cautions: []string{"The scale is simulated."}}
	golden(t, "hello", hello)
	p := pouring().do(mix.Accepted{Component: 0, Amount: grams(568.3), Line: mix.LineOn})
	golden(t, "view_pour", viewOf(p.b))
	golden(t, "view_none", viewOf(mix.Batch{}))
	golden(t, "view_decide", viewOf(hardenerRan().b))
	p.do(mix.HeldUp{Reason: mix.HoldCupLifted, Net: grams(601.2), Top: grams(604.0)})
	golden(t, "view_held", viewOf(p.b))
	p.do(mix.Restarted{}, mix.Accepted{Component: 1, Amount: grams(107.1), Line: mix.LineOn},
		mix.Accepted{Component: 2, Amount: grams(86.8), Line: mix.LineOn}, mix.Completed{})
	golden(t, "view_complete", viewOf(p.b))

	live := exampleLive()
	golden(t, "weight", json.RawMessage(appendAge(appendWeight(nil, &live), 12)))
	golden(t, "health", healthOf(bench.Health{Scale: bench.ScaleLost, Identity: "comma line, 0.1 g", Reason: "the cable was unplugged"}))
	view := viewOf(p.b)
	golden(t, "answer_ok", Answer{OK: true, View: &view})
	golden(t, "answer_refused", Answer{Code: string(mix.RefusedStale), Sentence: "The batch has moved on since you looked: look again and decide anew."})
}

func exampleLive() mix.Live {
	return mix.Live{
		Seq: 4, Valid: true, Shown: grams(601.2), Net: grams(601.2), Amount: grams(32.9), ToGo: grams(74.1),
		FlowGS: 18.25, Predicted: grams(41.5), Line: mix.LineShort, Cue: mix.CuePour,
	}
}

// A hand-written encoder must say just what the general one says.
func TestWeightEncodingMatchesEncodingJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mass := rapid.Int64Range(-int64(100*scale.Kilogram), int64(100*scale.Kilogram))
		m := func(name string) scale.Mass { return scale.Mass(mass.Draw(t, name)) }
		l := mix.Live{
			Seq: rapid.Uint64Range(0, 1<<53).Draw(t, "seq"), Valid: rapid.Bool().Draw(t, "valid"), Still: rapid.Bool().Draw(t, "still"),
			Trouble: mix.Trouble(rapid.String().Draw(t, "trouble")), Line: mix.Line(rapid.String().Draw(t, "line")), Cue: mix.Cue(rapid.String().Draw(t, "cue")),
			Shown: m("shown"), Net: m("net"), Amount: m("amount"), ToGo: m("to go"), Predicted: m("predicted"),
			FlowGS: rapid.Float64().Draw(t, "flow"),
		}
		age := rapid.Int64Range(0, 1<<40).Draw(t, "age")
		var got Weight
		raw := appendAge(appendWeight(nil, &l), age)
		require.NoError(t, json.Unmarshal(raw, &got), string(raw))
		quoted := func(s string) (back string) {
			b, _ := json.Marshal(s)
			_ = json.Unmarshal(b, &back)
			return back
		}
		want := Weight{
			Type: "weight", Seq: l.Seq, AgeMS: age, Valid: l.Valid, Trouble: quoted(string(l.Trouble)), Still: l.Still,
			ShownG: l.Shown.Grams(), NetG: l.Net.Grams(), AmountG: l.Amount.Grams(), ToGoG: l.ToGo.Grams(), PredictedG: l.Predicted.Grams(),
			FlowGS: math.Round(min(max(l.FlowGS, -maxFlowGS), maxFlowGS)*1000) / 1000, Line: quoted(string(l.Line)), Cue: quoted(string(l.Cue)),
		}
		assert.Equal(t, want, got)
	})
}

func TestWeightEncodingSurvivesNoNumber(t *testing.T) {
	for _, flow := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64} {
		l := mix.Live{FlowGS: flow}
		assert.True(t, json.Valid(appendAge(appendWeight(nil, &l), -5)))
	}
}

func TestWeightEncodingDoesNotAllocate(t *testing.T) {
	l, buf := exampleLive(), make([]byte, 0, 512)
	assert.Zero(t, testing.AllocsPerRun(100, func() { buf = appendAge(appendWeight(buf[:0], &l), 12) }))
}

func TestDecimalsShowSingleDivisions(t *testing.T) {
	for division, want := range map[scale.Mass]int{
		0: 1, scale.Gram: 0, 2 * scale.Gram: 0, 5 * scale.Gram: 0, scale.Gram / 2: 1, scale.Gram / 10: 1,
		scale.Gram / 20: 2, scale.Milligram: 3, scale.Microgram: 6,
	} {
		assert.Equal(t, want, decimalsOf(division), "%v", division)
	}
}

func BenchmarkWeightEncoding(b *testing.B) {
	l, buf := exampleLive(), make([]byte, 0, 512)
	b.ReportAllocs()
	for b.Loop() {
		buf = appendAge(appendWeight(buf[:0], &l), 12)
	}
}

// A reason that asks already keeps its question mark and gets no full stop.
func TestSentencesEndOnce(t *testing.T) {
	for reason, want := range map[string]string{
		"the port is gone: was it unplugged?": "The scale can not be heard: the port is gone: was it unplugged?",
		"the cable was unplugged.":            "The scale can not be heard: the cable was unplugged.",
		"the cable was unplugged":             "The scale can not be heard: the cable was unplugged.",
		"":                                    "The scale can not be heard.",
	} {
		h := healthOf(bench.Health{Scale: bench.ScaleLost, Reason: reason})
		assert.Equal(t, []string{want}, h.Problems)
	}
	assert.Equal(t, "Which recipe?", sentence(errors.New("which recipe?")))
}
