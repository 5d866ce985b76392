//go:build unix

package main

import (
	"os"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A terminal that is closed ends the daemon in order: it says success and
// leaves nothing behind.
func TestHangupEndsInOrder(t *testing.T) {
	tmp := t.TempDir()
	t.Setenv("TMPDIR", tmp)
	p := startProgram(t, "demo", "--listen", "127.0.0.1:0")
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGHUP))
	require.NoError(t, p.cmd.Wait())
	left, err := os.ReadDir(tmp)
	require.NoError(t, err)
	require.Empty(t, left)
}
