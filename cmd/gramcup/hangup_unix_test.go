//go:build unix

package main

import (
	"os"
	"os/signal"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A terminal that is closed ends the daemon in order: it says success and
// leaves nothing behind.
func TestHangupEndsInOrder(t *testing.T) {
	// Under nohup the signal is ignored, and a child would inherit that and wait
	// for ever; what a process catches, its child begins with as usual.
	caught := make(chan os.Signal, 1)
	signal.Notify(caught, syscall.SIGHUP)
	defer signal.Stop(caught)
	tmp := t.TempDir()
	t.Setenv("TMPDIR", tmp)
	p := startProgram(t, "demo", "--listen", "127.0.0.1:0")
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGHUP))
	require.NoError(t, p.cmd.Wait())
	left, err := os.ReadDir(tmp)
	require.NoError(t, err)
	require.Empty(t, left)
}
