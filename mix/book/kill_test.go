package book

import (
	"bufio"
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func childCommand(job, dir string) *exec.Cmd {
	c := exec.Command(os.Args[0], dir)
	c.Env = append(os.Environ(), childEnv+"="+job)
	return c
}

// Twenty times a process that appends is killed at a random moment. Every
// event that it said was acknowledged is in the book, the book opens at once,
// and no batch has a gap. (A kill can not show a missing fsync, because the
// kernel keeps the pages; that the level is FULL is asked of SQLite in
// TestPragmas.)
func TestKilledWhileAppending(t *testing.T) {
	dir := t.TempDir()
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 0))
	acknowledged := 0
	for range 20 {
		c := childCommand("append", dir)
		var said bytes.Buffer
		c.Stderr = &said
		out, err := c.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, c.Start())
		lines := bufio.NewScanner(out)
		// The first acknowledgement, so that it is killed at work.
		require.True(t, lines.Scan(), "the process ended early: %s", &said)
		seen := []string{lines.Text()}
		timer := time.AfterFunc(time.Duration(random.Int64N(int64(60*time.Millisecond))), func() { _ = c.Process.Kill() })
		for lines.Scan() {
			seen = append(seen, lines.Text())
		}
		timer.Stop()
		require.Error(t, c.Wait(), "it was killed")
		require.Empty(t, said.String())

		b, err := Open(dir)
		require.NoError(t, err)
		for _, line := range seen {
			var batch string
			var seq int
			if n, _ := fmt.Sscan(line, &batch, &seq); n < 2 {
				continue // cut off in the middle of the line
			}
			events, err := b.Events(batch)
			require.NoError(t, err)
			require.GreaterOrEqual(t, len(events), seq, "event %d of %s was acknowledged", seq, batch)
			trace, err := b.Trace(batch)
			require.NoError(t, err)
			require.Len(t, trace, len(events), "events and trace go together")
			acknowledged++
		}
		older, err := b.OlderUnfinished()
		require.NoError(t, err)
		require.Empty(t, older)
		require.NoError(t, b.Close())
	}
	t.Logf("%d acknowledged events, all there", acknowledged)
	require.GreaterOrEqual(t, acknowledged, 20)
}

func TestSecondProcess(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir)
	said, err := childCommand("open", dir).CombinedOutput()
	require.Error(t, err)
	require.Equal(t, "the book is in use: another gramcup works in the folder "+dir+": stop it, or give another folder", strings.TrimSpace(string(said)))
	_, err = Open(dir)
	require.ErrorIs(t, err, ErrInUse, "nor twice in one process")

	require.NoError(t, b.Append(recorded("b1", 1, started()), nil, nil), "the first goes on")
	require.NoError(t, b.Close())
	said, err = childCommand("open", dir).CombinedOutput()
	require.NoError(t, err, string(said))
}
