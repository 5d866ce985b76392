//go:build linux

package simulator

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// At the pace of a scale, no more than a second of old frames waits.
func TestPtyKeepsNoHistory(t *testing.T) {
	pty, err := OpenPty("")
	require.NoError(t, err)
	defer func() { assert.NoError(t, pty.Close()) }()
	waiting := func() int {
		n, err := unix.IoctlGetInt(pty.slave, unix.TIOCINQ)
		require.NoError(t, err)
		return n
	}
	const frame = 20
	for range 200 {
		before := waiting()
		_, err := pty.Write(make([]byte, frame))
		require.NoError(t, err)
		want := before + frame
		if before > ptyStaleBytes {
			want = frame // the old ones were thrown away
		}
		require.Eventually(t, func() bool { return waiting() == want }, 4*time.Minute, time.Millisecond)
		require.LessOrEqual(t, want, ptyStaleBytes+frame)
	}
}
