package book

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// fresh opens a new book that is closed at the end of the test.
func fresh(t testing.TB) *Book {
	t.Helper()
	return open(t, filepath.Join(t.TempDir(), "state", "bench 1?#%41"))
}

func open(t testing.TB, dir string) *Book {
	t.Helper()
	b, err := Open(dir)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, b.Close()) })
	return b
}

// recorded gives events their places in a batch, from a sequence on.
func recorded(batch string, from uint64, events ...mix.Event) []mix.Recorded {
	var out []mix.Recorded
	for i, e := range events {
		seq := from + uint64(i)
		key := ""
		if seq%3 == 1 {
			key = fmt.Sprintf("%s-key-%d", batch, seq)
		}
		out = append(out, mix.Recorded{
			Batch: batch, Seq: seq, Key: key, Event: e,
			At: mix.Stamp{Boot: "boot-a", Mono: time.Duration(seq) * 1234567891, WallMS: 1_700_000_000_000 + int64(seq)*1234},
		})
	}
	return out
}

func started() mix.Event {
	return mix.Started{Recipe: Sample()[0], Amount: mix.Amount{Kind: mix.AmountVolume, ML: 600}, Division: 100 * scale.Milligram}
}

// everything is a batch in which every kind of event happens but its ending;
// endings are the three ways to end it. A fault may come last.
func everything() []mix.Event {
	return []mix.Event{
		started(),
		mix.CupPlaced{Cup: 31 * scale.Gram},
		mix.Zeroed{Reference: 31 * scale.Gram, Mode: scale.ModeGross, Software: true},
		mix.Rested{Net: 300*scale.Gram + 7},
		mix.WentPast{Component: 0, Amount: 590 * scale.Gram, Net: 590 * scale.Gram},
		mix.WentBack{Component: 0},
		mix.Accepted{Component: 0, Amount: 568 * scale.Gram, Line: mix.LineOn},
		mix.Reopened{Component: 0},
		mix.Accepted{Component: 0, Amount: 567 * scale.Gram, Line: mix.LineShort, Kept: true},
		mix.HeldUp{Reason: mix.HoldCupLifted, Net: 567 * scale.Gram, Top: 570 * scale.Gram},
		mix.CameBack{Net: 569 * scale.Gram},
		mix.Restarted{Shift: -2 * scale.Gram, Mode: scale.ModeNet},
		mix.LeveledUp{Component: 1, Amount: 115 * scale.Gram, Factor: 1.0 + 1.0/3},
		mix.Accepted{Component: 0, Amount: 757 * scale.Gram, Line: mix.LineOn, Settles: true},
		mix.Faulted{Reason: "a rule of the batch is broken: \"layers\" ≠ content\n\x00"},
	}
}

func endings() []mix.Event {
	return []mix.Event{mix.Completed{}, mix.StoppedEarly{Net: 871 * scale.Gram}, mix.AbortedNow{Net: 13}}
}

// TestStoryIsWhole keeps the list above complete: a kind of event that is
// added to mix must be added here too.
func TestStoryIsWhole(t *testing.T) {
	source, err := os.ReadFile("../event.go")
	require.NoError(t, err)
	declared := map[string]bool{}
	for _, m := range regexp.MustCompile(`\) Type\(\) string\s*\{ return "([a-z-]+)" \}`).FindAllStringSubmatch(string(source), -1) {
		declared[m[1]] = true
	}
	told := map[string]bool{}
	for _, e := range append(everything(), endings()...) {
		told[e.Type()] = true
	}
	require.NotEmpty(t, declared)
	require.Equal(t, declared, told)
}

// summaryOf is a summary with every field set.
func summaryOf(batch string, endedMS int64) *mix.Summary {
	return &mix.Summary{
		Batch: batch, Recipe: "Slate", RecipeID: "slate-surfacer", Outcome: mix.StateComplete, OnTheLine: true,
		Started:  mix.Stamp{Boot: "boot-a", Mono: 1, WallMS: endedMS - 75_000},
		Ended:    mix.Stamp{Boot: "boot-b", Mono: 75_000_000_001, WallMS: endedMS},
		LevelUps: 2, TotalG: 761.0 + 1.0/3, TotalML: 600,
		Components: []mix.SummaryLine{
			{Name: "Slate surfacer", Role: mix.RoleBase, TargetG: 568, PouredG: 568.1, ErrorG: 0.1, VolumeML: 400.07, Line: mix.LineOn},
			{Name: "Slate hardener", Role: mix.RoleHardener, TargetG: 106, PouredG: 99, ErrorG: -7, VolumeML: 93.4, Line: mix.LineShort, Kept: true},
		},
	}
}
