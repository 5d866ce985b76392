package mix_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// someEvents is one event of each kind, with every field set.
func someEvents(t testing.TB) []mix.Event {
	return []mix.Event{
		mix.Started{Recipe: withPercent(t, recipeOf(t, "4:1:1", "1.42,1.06,0.87"), 10, mix.OfParts, "0.9"), Amount: volume(600), Division: division},
		mix.CupPlaced{Cup: 12_300_000}, mix.Zeroed{Reference: -100_000, Mode: scale.ModeNet, Software: true},
		mix.Rested{Net: 5}, mix.Accepted{Component: 2, Amount: 41_700_000, Line: mix.LinePast, Kept: true, Settles: true},
		mix.WentPast{Component: 1, Amount: 58, Net: 99}, mix.WentBack{Component: 1}, mix.LeveledUp{Component: 1, Amount: 58, Factor: 1.0841121495327102},
		mix.Reopened{Component: 3}, mix.HeldUp{Reason: mix.HoldCupLifted, Net: 1, Top: 2}, mix.CameBack{Net: -1},
		mix.Restarted{Shift: 5_200_000, Mode: scale.ModeGross}, mix.Completed{}, mix.StoppedEarly{Net: 7}, mix.AbortedNow{Net: 8}, mix.Faulted{Reason: "<&>"},
	}
}

func TestEventsComeBack(t *testing.T) {
	for _, e := range someEvents(t) {
		body, err := mix.EncodeEvent(e)
		require.NoError(t, err)
		back, err := mix.DecodeEvent(e.Type(), mix.EventVersion, body)
		require.NoError(t, err)
		require.Equal(t, e, back)
	}
	_, err := mix.DecodeEvent("started", 2, nil)
	require.EqualError(t, err, `event "started" has version 2, this program knows 1: use the newer program that wrote it`)
	_, err = mix.DecodeEvent("evaporated", 1, nil)
	require.EqualError(t, err, `event type "evaporated" is not known: use the newer program that wrote it`)
	_, err = mix.DecodeEvent("rested", 1, []byte(`{"net_ug":"much"}`))
	require.ErrorContains(t, err, `event "rested": `)
	_, err = mix.DecodeEvent("reopened", 1, []byte(`{"component":8}`))
	require.EqualError(t, err, `event "reopened" is about component 9: a mix has at most 8, so the book is damaged`)
	nine, err := mix.EncodeEvent(mix.Started{Recipe: mix.Recipe{Components: make([]mix.Component, 9)}})
	require.NoError(t, err)
	_, err = mix.DecodeEvent("started", 1, nine)
	require.EqualError(t, err, `event "started" has a recipe of 9 components: a mix has at most 8, so the book is damaged`)
}

// FuzzDecodeEvent: a damaged book is an error, never a crash, and what is read
// is written again as it is.
func FuzzDecodeEvent(f *testing.F) {
	for _, e := range someEvents(f) {
		body, err := mix.EncodeEvent(e)
		require.NoError(f, err)
		f.Add(e.Type(), mix.EventVersion, body)
	}
	f.Add("rested", 2, []byte("{}"))
	f.Add("held", 1, []byte("null"))
	f.Add("started", 1, []byte(`{"recipe":{"components":[{"name":"\ud800"}]}}`))
	f.Fuzz(func(t *testing.T, typ string, version int, body []byte) {
		e, err := mix.DecodeEvent(typ, version, body)
		if err != nil {
			require.Nil(t, e)
			return
		}
		require.Equal(t, typ, e.Type())
		again, err := mix.EncodeEvent(e)
		require.NoError(t, err)
		back, err := mix.DecodeEvent(typ, version, again)
		require.NoError(t, err)
		one, err := json.Marshal(back)
		require.NoError(t, err)
		require.JSONEq(t, string(again), string(one))
		mix.Fold([]mix.Recorded{{Batch: "b", Seq: 1, Event: e}, {Batch: "b", Seq: 2, Event: mix.AbortedNow{}}})
	})
}

// FuzzCommand: whatever is pressed on a running batch, in whatever place, with
// whatever order, breaks no rule.
func FuzzCommand(f *testing.F) {
	for _, v := range mix.Verbs() {
		f.Add(string(v), "key", uint64(0), uint8(5), "volume", 600.0, 0.0, int64(division), 2.0, 1.0)
	}
	f.Add("start", "", uint64(9), uint8(20), "as-poured", 0.0, 1e308, int64(1), 1e-300, 1e9)
	f.Fuzz(func(t *testing.T, verb, key string, behind uint64, where uint8, kind string, ml, g float64, step int64, a, b float64) {
		r := newRig(t)
		require.Nil(t, r.start(recipeOf(t, "2:1", "1.0,1.0"), mass(300)).Refused)
		r.load = 10 * scale.Gram
		moves := []func(){
			func() { r.stand(700 * time.Millisecond) }, func() { r.stand(2 * time.Second) },
			func() { r.pour(120*scale.Gram, 2*time.Second) }, func() { r.stand(3 * time.Second) },
			func() { r.pour(80*scale.Gram, 2*time.Second) }, func() { r.stand(3 * time.Second) },
			func() { r.pour(112*scale.Gram, 2*time.Second) }, func() { r.stand(2 * time.Second) },
			func() { r.load = 0; r.stand(2 * time.Second) }, func() { r.lost() },
			func() { r.load = 330 * scale.Gram; r.stand(2 * time.Second) }, func() { r.powerCut() },
		}
		for _, move := range moves[:int(where)%(len(moves)+1)] {
			move()
		}
		recipe := recipeOf(t, "2:1", "1.0,1.0")
		recipe.Components[0].Parts, recipe.Components[1].Parts = a, b
		order := &mix.Order{ID: "next", Recipe: recipe, Amount: mix.Amount{Kind: mix.AmountKind(kind), ML: ml, Grams: g}, Division: scale.Mass(step)}
		r.command(mix.Verb(verb), r.b.Seq-behind, key, order)
		r.stand(2 * time.Second)
		r.press(mix.VerbStop)
		require.Nil(t, r.command(mix.VerbStart, r.b.Seq, "fresh", &mix.Order{ID: "z", Recipe: recipeOf(t, "2:1", "1,1"), Amount: mass(10), Division: division}).Refused, "the bench is never stuck")
		// The same with what was asked for, on a bench that is free.
		r.press(mix.VerbAbort)
		if r.command(mix.VerbStart, r.b.Seq, r.key(), order).Refused == nil {
			r.stand(3 * time.Second)
			r.pour(5*scale.Gram, time.Second)
			r.stand(3 * time.Second)
			r.press(mix.VerbEnough)
			r.press(mix.VerbKeep)
			r.press(mix.VerbLevelUp)
		}
		requireText(t, &r.b)
	})
}

// FuzzTrace: damage never panics, and what was read is packed the same again.
func FuzzTrace(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte{0x80})
	f.Add(mix.PackTrace(nil, []mix.TracePoint{{WallMS: 1_700_000_000_000, Net: scale.Gram}, {WallMS: 1_700_000_000_100, Net: -scale.Gram}}))
	f.Fuzz(func(t *testing.T, packed []byte) {
		points, err := mix.UnpackTrace(packed)
		if err != nil {
			require.ErrorIs(t, err, mix.ErrTrace)
		}
		for i := range points {
			require.Zero(t, points[i].Net%scale.Milligram, "what wrapped around would not be whole")
		}
		back, err := mix.UnpackTrace(mix.PackTrace(nil, points))
		require.NoError(t, err)
		require.Equal(t, len(points), len(back))
		for i := range points {
			require.Equal(t, points[i], back[i])
		}
	})
}
