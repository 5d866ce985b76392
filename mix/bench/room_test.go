package bench_test

import (
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// That the next entry may not find its place is said before one is tried, and
// taken back; an entry that was not written is the better reason.
func TestThePageIsToldThatThereIsNoRoom(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		defer r.close()
		r.stands(0, time.Second)
		said := func() string {
			synctest.Wait()
			_, _, _, h := r.page.seen()
			return h.Book
		}
		r.bench.Room(nil)
		require.Empty(t, said())
		r.bench.Room(wordy{errors.New("the disk of /a/long/path has 3 MB left")})
		const room = "The book may not take its next entry: the disk is full, free some space"
		require.Equal(t, room, said())
		_, err := r.do("k1", 0, mix.VerbStart)
		require.NoError(t, err, "it fits this time")
		require.Equal(t, room, said())

		r.disk.set(0, errors.New("no space left on device"))
		r.stands(12, 2*time.Second)
		require.Contains(t, said(), "so nothing is accepted now: no space left on device")
		r.bench.Room(nil)
		r.bench.Room(wordy{errors.New("still")})
		require.Contains(t, said(), "so nothing is accepted now")
		r.disk.set(0, nil)
		r.stands(12, 3*time.Second)
		require.Equal(t, room, said(), "that entry is written, the next may not be")
		r.bench.Room(nil)
		require.Empty(t, said())
	})
}
