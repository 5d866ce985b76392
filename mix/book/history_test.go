package book

import (
	"fmt"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

func end(t *testing.T, b *Book, s *mix.Summary) {
	t.Helper()
	require.NoError(t, b.Append(recorded(s.Batch, 1, started(), mix.Completed{}), nil, s))
}

func TestSummariesComeBack(t *testing.T) {
	b := fresh(t)
	full, bare := summaryOf("b1", 1_700_000_000_000), &mix.Summary{Batch: "b2", Outcome: mix.StateAborted}
	end(t, b, full)
	end(t, b, bare)
	got, err := b.Summaries(10, 0)
	require.NoError(t, err)
	bare.Components = []mix.SummaryLine{}
	require.Equal(t, []mix.Summary{*bare, *full}, got)
}

// Paging gives every batch once and in the order in which they ended, also
// where the clock was in 1970 or went back, and where two ended in the same
// millisecond of it at different times.
func TestSummariesByPage(t *testing.T) {
	b := fresh(t)
	var want []string
	for i, endedMS := range []int64{500, 600, 700, 3, 4, 5, 650, 800, 6, 900} {
		s := summaryOf(fmt.Sprintf("b%d", i), endedMS)
		end(t, b, s)
		want = append([]string{s.Batch}, want...)
	}
	for limit := 1; limit < 12; limit++ {
		var got []string
		before := int64(0)
		for {
			page, err := b.Summaries(limit, before)
			require.NoError(t, err)
			require.LessOrEqual(t, len(page), limit)
			if len(page) == 0 || len(got) > len(want) {
				break
			}
			for _, s := range page {
				got = append(got, s.Batch)
			}
			before = page[len(page)-1].Ended.WallMS
		}
		require.Equal(t, want, got, "%d at a time", limit)
	}
	page, err := b.Summaries(3, 660)
	require.NoError(t, err)
	require.Equal(t, "b8", page[0].Batch, "a time at which none ended is compared with the clock")
	for _, limit := range []int{0, -1, MaxSummaries + 1} {
		_, err := b.Summaries(limit, 0)
		require.ErrorContains(t, err, "ask for 1 to 1000")
	}
}

// While one appends, readers see whole appends only: as many pieces of trace
// as events, no gap, and never less than was acknowledged before they asked.
func TestReadersWhileAppending(t *testing.T) {
	b := fresh(t)
	require.NoError(t, b.FillSample())
	const appends, pieces = 150, 2
	var acknowledged sync.Map
	done := make(chan struct{})
	var group sync.WaitGroup
	for range 3 {
		group.Go(func() {
			for {
				select {
				case <-done:
					return
				default:
				}
				before, _ := acknowledged.Load("n")
				least, _ := before.(int)
				events, err := b.Events("b1")
				if err != nil || len(events)%pieces != 0 || len(events) < least*pieces {
					t.Errorf("%d events after %d acknowledged appends of %d: %v", len(events), least, pieces, err)
					return
				}
				if trace, err := b.Trace("b1"); err != nil || len(trace) < least {
					t.Errorf("%d pieces of trace after %d appends: %v", len(trace), least, err)
					return
				}
				if list, err := b.Recipes(); err != nil || len(list) != len(Sample()) {
					t.Errorf("%d recipes: %v", len(list), err)
					return
				}
			}
		})
	}
	for i := range appends {
		e := recorded("b1", uint64(i*pieces+1), started(), mix.Rested{})
		if err := b.Append(e, []byte{1}, nil); err != nil {
			t.Error(err)
			break
		}
		acknowledged.Store("n", i+1)
		switch i {
		case 50:
			require.NoError(t, b.PutRecipe(Sample()[0]))
		case 100:
			require.NoError(t, b.Reopen())
		}
	}
	close(done)
	group.Wait()
}
