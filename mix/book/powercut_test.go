package book

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// powerCut is what one run of the daemon left behind: the file as it was before
// the log was folded into it and after, the log, and how long that was when each
// append returned. With synchronous FULL (TestPragmas) all of it up to there had
// reached the disk by then; what lies behind may be there in part, or be wrong.
type powerCut struct {
	db, folded, wal, shm []byte
	appends              []cutAppend
}

type cutAppend struct {
	events  []mix.Recorded
	trace   []byte
	summary *mix.Summary
	walSize int
}

// runOnce appends three batches: events one by one and several at a time, with
// traces of many pages and the summaries of those that end.
func runOnce(t *testing.T) (run powerCut) {
	dir := t.TempDir()
	b := open(t, dir)
	file := func(suffix string) []byte {
		data, err := os.ReadFile(filepath.Join(dir, FileName+suffix))
		require.NoError(t, err)
		return data
	}
	random := rand.New(rand.NewPCG(7, 11))
	run.db = file("")
	for batch := range 3 {
		id := fmt.Sprintf("b%d", batch)
		story := append(everything(), mix.Event(mix.Completed{}))
		if batch == 2 {
			story = story[:9] // the cut finds it under way
		}
		for seq := 0; seq < len(story); {
			n := min(1+random.IntN(3), len(story)-seq)
			a := cutAppend{events: recorded(id, uint64(seq+1), story[seq:seq+n]...), trace: make([]byte, random.IntN(9000))}
			for i := range a.trace {
				a.trace[i] = byte(random.Uint32())
			}
			if seq += n; seq == len(story) && batch < 2 {
				a.summary = summaryOf(id, int64(batch))
			}
			require.NoError(t, b.Append(a.events, a.trace, a.summary))
			run.wal = file("-wal")
			if k := len(run.appends); k > 0 {
				require.Greater(t, len(run.wal), run.appends[k-1].walSize, "the log only grows here, or lengths say nothing")
			}
			a.walSize = len(run.wal)
			run.appends = append(run.appends, a)
		}
	}
	run.shm = file("-shm")
	require.Equal(t, run.db, file(""), "nothing was folded into the file yet")
	_, err := b.writer.Exec(`PRAGMA wal_checkpoint(PASSIVE)`)
	require.NoError(t, err)
	run.folded = file("")
	require.NotEqual(t, run.db, run.folded)
	return run
}

// opens puts files where a book is, opens it, and holds it against the first n
// appends: those are there with all they came with, and nothing else. goOn also
// appends the next one, which a bench that starts again would do.
func (run *powerCut) opens(t *testing.T, n int, db, wal, shm []byte, goOn bool) {
	t.Helper()
	dir := t.TempDir()
	for suffix, data := range map[string][]byte{"": db, "-wal": wal, "-shm": shm} {
		if data != nil {
			require.NoError(t, os.WriteFile(filepath.Join(dir, FileName+suffix), data, 0o600))
		}
	}
	b, err := Open(dir)
	require.NoError(t, err)
	defer func() { require.NoError(t, b.Close()) }()
	if goOn && n < len(run.appends) {
		next := run.appends[n]
		require.NoError(t, b.Append(next.events, next.trace, next.summary))
		n++
	}
	events, traces, ended := map[string][]mix.Recorded{}, map[string][]byte{}, 0
	for _, a := range run.appends[:n] {
		id := a.events[0].Batch
		events[id], traces[id] = append(events[id], a.events...), append(traces[id], a.trace...)
		if a.summary != nil {
			ended++
		}
	}
	for _, id := range []string{"b0", "b1", "b2"} {
		got, err := b.Events(id)
		require.NoError(t, err)
		require.Equal(t, events[id], got, "the events of %s after %d appends", id, n)
		trace, err := b.Trace(id)
		require.NoError(t, err)
		require.Equal(t, string(traces[id]), string(trace), "the trace of %s after %d appends", id, n)
	}
	history, err := b.Summaries(10, 0)
	require.NoError(t, err)
	require.Len(t, history, ended)
}

// returned is how many appends had returned when the log was this long.
func (run *powerCut) returned(walSize int) int {
	n := 0
	for n < len(run.appends) && run.appends[n].walSize <= walSize {
		n++
	}
	return n
}

// A power cut leaves the log cut off at any byte, behind what had reached the
// disk: every append that had returned is there whole, and none in part.
func TestPowerCutAtAnyByte(t *testing.T) {
	run := runOnce(t)
	random := rand.New(rand.NewPCG(3, 5))
	cuts, before := map[int]bool{0: true, 1: true, 31: true, 32: true, 33: true}, 0
	for _, a := range run.appends {
		for _, at := range []int{a.walSize - 1, a.walSize, a.walSize + 1, before + 1 + random.IntN(a.walSize-before-1)} {
			cuts[min(at, len(run.wal))] = true
		}
		before = a.walSize
	}
	for range 20 { // and within what the book was made with
		cuts[random.IntN(run.appends[0].walSize)] = true
	}
	for at := range cuts {
		run.opens(t, run.returned(at), run.db, run.wal[:at], nil, at%3 == 0)
	}
	t.Logf("%d cuts of a log of %d bytes with %d appends", len(cuts), len(run.wal), len(run.appends))
}

// A file that was made longer before its contents came holds zeros or old bytes
// there; of several pages a later one may have come before an earlier one; and
// the index of the log, which is never synced, may be left over from any moment.
func TestPowerCutLeavesRubbish(t *testing.T) {
	run := runOnce(t)
	random := rand.New(rand.NewPCG(13, 17))
	const header, frame = 32, 24 + 4096
	require.Zero(t, (len(run.wal)-header)%frame, "the log is a header and frames of a page")
	for n := range run.appends[:len(run.appends)-1] {
		safe, end := run.appends[n].walSize, run.appends[n+1].walSize
		wal := append([]byte(nil), run.wal[:end]...)
		lost := safe + frame*random.IntN((end-safe)/frame) // one frame of the append that was cut off
		switch n % 3 {
		case 0:
			clear(wal[lost : lost+frame])
		case 1:
			clear(wal[lost+random.IntN(frame-1) : lost+frame])
			wal[lost+frame-1] = ^run.wal[lost+frame-1]
		case 2:
			for i := lost; i < len(wal); i++ {
				wal[i] = byte(random.Uint32())
			}
		}
		run.opens(t, n+1, run.db, wal, run.shm, n%2 == 0)
	}
}

// While the log is folded into the file the cut may leave pages of it old, new or
// half written: the log is still there, and makes each of them good.
func TestPowerCutWhileFolding(t *testing.T) {
	run := runOnce(t)
	random := rand.New(rand.NewPCG(19, 23))
	for range 12 {
		db := append([]byte(nil), run.db...)
		db = append(db, make([]byte, len(run.folded)-len(db))...)
		for range 1 + random.IntN(20) {
			from := random.IntN(len(db))
			to := min(len(db), from+random.IntN(3*4096))
			copy(db[from:to], run.folded[from:to])
		}
		db = db[:len(run.db)+random.IntN(len(db)-len(run.db)+1)]
		run.opens(t, len(run.appends), db, run.wal, run.shm, false)
	}
}

// A log that lost a byte of what had reached the disk lacks an append: the tests
// above would see that.
func TestPowerCutIsSeen(t *testing.T) {
	run := runOnce(t)
	wal := append([]byte(nil), run.wal...)
	wal[run.appends[len(run.appends)-1].walSize-1]++
	run.opens(t, len(run.appends)-1, run.db, wal, nil, false)
}
