package book

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
	"gramcup/scale/checkup"
)

// checked is a finished check, as a walk makes it.
func checked(identity string, passed bool) checkup.Record {
	r := checkup.Record{
		Format: 1, Scale: identity, Capacity: checkup.Grams(6 * scale.Kilogram), Division: checkup.Grams(scale.Gram / 10),
		Interval: checkup.Grams(scale.Gram / 10), Class: "II", Guessed: true, WeightID: "K-7", Nominal: checkup.Grams(scale.Kilogram),
		WeightClass: "F2", WeightError: checkup.Grams(16 * scale.Milligram), Limit: checkup.Grams(scale.Gram / 5), LimitSource: checkup.LimitSource,
		ZeroAfter: checkup.Grams(scale.Gram / 10), Passed: passed, Findings: []string{}, Notes: []string{checkup.Disclaimer},
	}
	for i := range 3 {
		r.Readings = append(r.Readings, checkup.Reading{Place: checkup.PlaceMiddle, Expected: r.Nominal, Shown: r.Nominal + checkup.Grams(i), AfterMS: int64(i) * 4000})
	}
	return r
}

func stampAt(n int) mix.Stamp {
	return mix.Stamp{Boot: "boot-1", Mono: time.Duration(n) * time.Minute, WallMS: 1_700_000_000_000 + int64(n)*60_000}
}

func TestChecksComeBack(t *testing.T) {
	b := fresh(t)
	list, err := b.Checks(10)
	require.NoError(t, err)
	require.Empty(t, list)
	_, found, err := b.LastCheck("fine")
	require.NoError(t, err)
	require.False(t, found)

	for i, c := range []struct {
		identity string
		passed   bool
	}{{"fine", true}, {"coarse", true}, {"fine", false}} {
		kept, err := b.KeepCheck(stampAt(i), checked(c.identity, c.passed))
		require.NoError(t, err)
		require.Equal(t, checkup.Kept{N: int64(i + 1), AtMS: stampAt(i).WallMS, Record: checked(c.identity, c.passed)}, kept)
	}
	list, err = b.Checks(2)
	require.NoError(t, err)
	require.Len(t, list, 2)
	require.Equal(t, checked("fine", false), list[0].Record)
	require.EqualValues(t, 2, list[1].N)
	last, err := b.LastChecks()
	require.NoError(t, err)
	require.Len(t, last, 2, "one for each scale")
	require.EqualValues(t, []int64{3, 2}, []int64{last[0].N, last[1].N})
	one, found, err := b.LastCheck("fine")
	require.NoError(t, err)
	require.True(t, found)
	require.False(t, one.Passed)
	for _, limit := range []int{0, MaxChecks + 1} {
		_, err = b.Checks(limit)
		require.ErrorContains(t, err, "ask for 1 to 1000")
	}
}

// A keep that was in doubt is repeated: it is there once.
func TestTheSameCheckIsKeptOnce(t *testing.T) {
	b := fresh(t)
	first, err := b.KeepCheck(stampAt(1), checked("fine", true))
	require.NoError(t, err)
	again, err := b.KeepCheck(stampAt(1), checked("fine", true))
	require.NoError(t, err)
	require.Equal(t, first, again)
	other, err := b.KeepCheck(stampAt(2), checked("fine", true))
	require.NoError(t, err)
	require.EqualValues(t, 2, other.N)
}

func TestACheckThatIsTooLargeIsRefused(t *testing.T) {
	b := fresh(t)
	r := checked("fine", true)
	r.Findings = []string{string(make([]byte, MaxBodyBytes))}
	_, err := b.KeepCheck(stampAt(1), r)
	require.ErrorContains(t, err, "at most 65536")
	_, err = b.KeepCheck(stampAt(1), checked(string(make([]byte, maxNameBytes+1)), true))
	require.ErrorContains(t, err, "more than 4096 bytes")
	require.NoError(t, b.Close())
	_, err = b.KeepCheck(stampAt(1), checked("fine", true))
	require.ErrorIs(t, err, ErrClosed)
}

// Ten times a process that keeps checks is killed at a random moment: every
// check that it said was kept is in the book, whole. (That the disk has it, and
// not only the kernel, is asked of SQLite in TestPragmas.)
func TestKilledWhileKeepingChecks(t *testing.T) {
	dir, told := t.TempDir(), 0
	for range 10 {
		c := childCommand("checks", dir)
		out, err := c.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, c.Start())
		lines := bufio.NewScanner(out)
		require.True(t, lines.Scan(), "the process ended early")
		timer := time.AfterFunc(time.Duration(rand.Int64N(int64(40*time.Millisecond))), func() { _ = c.Process.Kill() })
		for more := true; more; more = lines.Scan() {
			var n, whole int
			if _, err := fmt.Sscan(lines.Text(), &n, &whole); err == nil && whole == 1 {
				told = max(told, n)
			}
		}
		timer.Stop()
		require.Error(t, c.Wait(), "it was killed")
		b, err := Open(dir)
		require.NoError(t, err)
		list, err := b.Checks(MaxChecks)
		require.NoError(t, err)
		require.GreaterOrEqual(t, int(list[0].N), told)
		for i, k := range list {
			require.EqualValues(t, int(list[0].N)-i, k.N, "no gap")
			require.Equal(t, checked("fine", true), k.Record)
		}
		require.NoError(t, b.Close())
	}
	require.Positive(t, told)
}

// keepForEver keeps checks and prints the number of each that is kept, until it
// is killed; the 1 behind it tells a whole line.
func keepForEver(dir string) error {
	b, err := Open(dir)
	if err != nil {
		return err
	}
	for i := 0; ; i++ {
		at := mix.Stamp{Boot: fmt.Sprint("boot-", time.Now().UnixNano()), Mono: time.Duration(i)}
		kept, err := b.KeepCheck(at, checked("fine", true))
		if err != nil {
			return err
		}
		fmt.Println(kept.N, 1)
	}
}
