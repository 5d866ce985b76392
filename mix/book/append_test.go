package book

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/mix"
	"gramcup/scale"
)

// Every kind of event comes back from the file as it was, and folds into the
// same batch.
func TestEveryEventComesBack(t *testing.T) {
	for _, ending := range endings() {
		t.Run(ending.Type(), func(t *testing.T) {
			b := fresh(t)
			events := recorded("b1", 1, append(everything(), ending)...)
			for _, r := range events[:len(events)-1] {
				require.NoError(t, b.Append([]mix.Recorded{r}, nil, nil))
			}
			got, ok, err := b.Unfinished()
			require.NoError(t, err)
			require.True(t, ok)
			require.Equal(t, events[:len(events)-1], got)
			require.Equal(t, mix.Fold(events[:len(events)-1]), mix.Fold(got))

			require.NoError(t, b.Append(events[len(events)-1:], nil, summaryOf("b1", 5)))
			got, err = b.Events("b1")
			require.NoError(t, err)
			require.Equal(t, events, got)
			require.Equal(t, mix.Fold(events), mix.Fold(got))
			got, ok, err = b.Unfinished()
			require.NoError(t, err)
			require.False(t, ok)
			require.Empty(t, got)
		})
	}
}

// Any figures, in any cut into appends, come back exactly.
func TestAnyFiguresComeBack(t *testing.T) {
	b := fresh(t)
	batches := 0
	rapid.Check(t, func(rt *rapid.T) {
		batches++
		id := "any-" + strings.Repeat("x", batches)
		mass := rapid.Custom(func(t *rapid.T) scale.Mass { return scale.Mass(rapid.Int64().Draw(t, "mass")) })
		events := []mix.Event{started()}
		for range rapid.IntRange(0, 12).Draw(rt, "events") {
			events = append(events, rapid.OneOf(
				rapid.Custom(func(t *rapid.T) mix.Event { return mix.Rested{Net: mass.Draw(t, "net")} }),
				rapid.Custom(func(t *rapid.T) mix.Event {
					return mix.LeveledUp{Amount: mass.Draw(t, "amount"), Factor: rapid.Float64Range(1, 1e9).Draw(t, "factor")}
				}),
				rapid.Custom(func(t *rapid.T) mix.Event { return mix.Faulted{Reason: rapid.String().Draw(t, "reason")} }),
			).Draw(rt, "event"))
		}
		all := recorded(id, 1, events...)
		for i := range all {
			all[i].At.Mono = time.Duration(rapid.Int64().Draw(rt, "mono"))
			all[i].At.WallMS = rapid.Int64().Draw(rt, "wall")
			all[i].Key = rapid.StringN(0, 40, -1).Draw(rt, "key")
		}
		for rest := all; len(rest) > 0; {
			n := rapid.IntRange(1, len(rest)).Draw(rt, "cut")
			require.NoError(rt, b.Append(rest[:n], nil, nil))
			rest = rest[n:]
		}
		got, err := b.Events(id)
		require.NoError(rt, err)
		require.Equal(rt, all, got)
	})
}

func TestSequenceIsGapless(t *testing.T) {
	b := fresh(t)
	story := recorded("b1", 1, everything()...)
	require.ErrorIs(t, b.Append(story[1:2], nil, nil), ErrOutOfStep, "a batch begins at 1")
	require.NoError(t, b.Append(story[:3], nil, nil))

	err := b.Append(story[4:5], nil, nil)
	require.ErrorIs(t, err, ErrOutOfStep)
	require.ErrorContains(t, err, "batch b1 has 3 events there and the new ones begin at 5, where 4 is next")

	torn := append(append([]mix.Recorded{}, story[3]), story[5])
	require.ErrorIs(t, b.Append(torn, nil, nil), ErrOutOfStep, "a gap within one append")
	require.ErrorIs(t, b.Append(recorded("b1", 0, everything()[0]), nil, nil), ErrOutOfStep, "there is no event 0")

	other := story[2]
	other.At.Mono++
	require.ErrorIs(t, b.Append([]mix.Recorded{other}, nil, nil), ErrOutOfStep, "another event in a taken place")
	require.ErrorIs(t, b.Append(story[2:4], nil, nil), ErrOutOfStep, "half of it new")

	got, err := b.Events("b1")
	require.NoError(t, err)
	require.Equal(t, story[:3], got, "what was refused left nothing behind")
	require.NoError(t, b.Append(story[3:4], nil, nil), "and the book goes on")
}

// An append whose outcome was in doubt can be repeated: it is acknowledged and
// nothing is doubled.
func TestSameAppendTwice(t *testing.T) {
	b := fresh(t)
	story := recorded("b1", 1, append(everything(), mix.Completed{})...)
	for range 2 {
		require.NoError(t, b.Append(story, []byte("piece"), summaryOf("b1", 9)))
	}
	got, err := b.Events("b1")
	require.NoError(t, err)
	require.Equal(t, story, got)
	trace, err := b.Trace("b1")
	require.NoError(t, err)
	require.Equal(t, "piece", string(trace))
	list, err := b.Summaries(10, 0)
	require.NoError(t, err)
	require.Len(t, list, 1)
}

func TestAllOrNothing(t *testing.T) {
	b := fresh(t)
	story := recorded("b1", 1, started(), mix.Completed{})
	bad := summaryOf("b1", 1)
	bad.TotalG = math.NaN() // SQLite stores it as NULL, which the column refuses
	require.Error(t, b.Append(story, []byte("trace"), bad))
	got, err := b.Events("b1")
	require.NoError(t, err)
	require.Empty(t, got)
	trace, err := b.Trace("b1")
	require.NoError(t, err)
	require.Empty(t, trace)
	require.NoError(t, b.Append(story, []byte("trace"), summaryOf("b1", 1)), "it did not freeze")
}

func TestRefusedAppends(t *testing.T) {
	b := fresh(t)
	begin := recorded("b1", 1, started())
	long := recorded("b1", 1, mix.Faulted{Reason: strings.Repeat("x", MaxBodyBytes)})
	mixed := append(recorded("b1", 1, started()), recorded("b2", 2, mix.Completed{})...)
	key := recorded("b1", 1, started())
	key[0].Key = strings.Repeat("k", maxNameBytes+1)
	unwritable := recorded("b1", 1, mix.LeveledUp{Factor: math.Inf(1)})
	for name, c := range map[string]struct {
		events  []mix.Recorded
		trace   []byte
		summary *mix.Summary
		says    string
	}{
		"none":              {says: "0 events: give 1 to 64"},
		"too many":          {events: make([]mix.Recorded, MaxEvents+1), says: "65 events"},
		"nil event":         {events: []mix.Recorded{{Batch: "b1", Seq: 1}}, says: "is nil"},
		"no batch":          {events: recorded("", 1, started()), says: "its id"},
		"two batches":       {events: mixed, says: `of batch "b2", the first of "b1"`},
		"long body":         {events: long, says: "at most 65536 are kept"},
		"long key":          {events: key, says: "more than 4096 bytes"},
		"no JSON":           {events: unwritable, says: "can not be written"},
		"long trace":        {events: begin, trace: make([]byte, MaxTrace+1), says: "give at most 1048576"},
		"summary too early": {events: begin, summary: summaryOf("b1", 1), says: "give it with the ending event"},
		"another's summary": {events: recorded("b1", 1, mix.Completed{}), summary: summaryOf("b2", 1), says: `summary of batch "b2"`},
	} {
		t.Run(name, func(t *testing.T) {
			err := b.Append(c.events, c.trace, c.summary)
			require.ErrorContains(t, err, c.says)
			assert.NotErrorIs(t, err, ErrFrozen)
		})
	}
	require.NoError(t, b.Append(begin, nil, nil))
}

// Pieces of a trace are joined in their order, also one that is cut up to be
// stored.
func TestTraceIsJoined(t *testing.T) {
	b := fresh(t)
	var points []mix.TracePoint
	var packed []byte
	for i, e := range everything() {
		var piece []mix.TracePoint
		for j := range 30_000 * (i % 2) {
			piece = append(piece, mix.TracePoint{WallMS: int64(1_700_000_000_000 + 500*j), Net: scale.Mass(j*i) * scale.Milligram})
		}
		bytes := mix.PackTrace(nil, piece)
		require.NoError(t, b.Append(recorded("b1", uint64(i+1), e), bytes, nil))
		points, packed = append(points, piece...), append(packed, bytes...)
	}
	require.Greater(t, len(packed), 2*mix.MaxTracePiece)
	got, err := b.Trace("b1")
	require.NoError(t, err)
	require.True(t, bytes.Equal(packed, got))
	back, err := mix.UnpackTrace(got)
	require.NoError(t, err)
	require.Equal(t, points, back)
	var longest int
	require.NoError(t, b.reader.QueryRow(`SELECT max(length(bytes)) FROM trace`).Scan(&longest))
	require.Equal(t, mix.MaxTracePiece, longest)
}

func TestObserve(t *testing.T) {
	b := fresh(t)
	var took []time.Duration
	b.Observe(func(d time.Duration) { took = append(took, d) })
	story := recorded("b1", 1, everything()...)
	require.NoError(t, b.Append(story[:2], nil, nil))
	require.ErrorIs(t, b.Append(story[5:6], nil, nil), ErrOutOfStep)
	require.NoError(t, b.Append(story[2:3], nil, nil))
	require.Len(t, took, 2, "one for each append that was written")
	for _, d := range took {
		require.Positive(t, d)
	}
}
