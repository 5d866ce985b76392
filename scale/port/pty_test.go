package port

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// pty is a real pseudo-terminal: the master is the scale's end of the cable,
// Node is the computer's port.
type pty struct {
	*os.File
	Node string
}

// openPTY makes a pair in raw mode, so that nothing is echoed or translated
// before the port sets its own mode.
func openPTY() (*pty, error) {
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		return nil, err
	}
	raw, err := master.SyscallConn()
	if err != nil {
		return nil, err
	}
	var number int
	var inner error
	err = raw.Control(func(fd uintptr) {
		if inner = unix.IoctlSetPointerInt(int(fd), unix.TIOCSPTLCK, 0); inner != nil {
			return
		}
		if number, inner = unix.IoctlGetInt(int(fd), unix.TIOCGPTN); inner != nil {
			return
		}
		var settings *unix.Termios
		if settings, inner = unix.IoctlGetTermios(int(fd), unix.TCGETS); inner != nil {
			return
		}
		settings.Lflag &^= unix.ECHO | unix.ICANON | unix.ISIG
		settings.Iflag &^= unix.ICRNL | unix.IXON
		settings.Oflag &^= unix.OPOST
		inner = unix.IoctlSetTermios(int(fd), unix.TCSETS, settings)
	})
	if err == nil {
		err = inner
	}
	if err != nil {
		master.Close()
		return nil, err
	}
	return &pty{File: master, Node: fmt.Sprintf("/dev/pts/%d", number)}, nil
}

func newPTY(t testing.TB) *pty {
	t.Helper()
	p, err := openPTY()
	require.NoError(t, err)
	t.Cleanup(func() { p.Close() })
	return p
}

// socket is a stable name, as the system keeps one for a USB adaptor: a link
// to whatever is plugged in now.
type socket struct {
	t    testing.TB
	path string
}

func newSocket(t testing.TB) socket {
	return socket{t: t, path: filepath.Join(t.TempDir(), "usb-bench-scale")}
}

// plug puts a fresh adaptor in; the caller unplugs it by closing it and
// calling pull.
func (s socket) plug() *pty {
	p := newPTY(s.t)
	next := s.path + ".next"
	require.NoError(s.t, os.Symlink(p.Node, next))
	require.NoError(s.t, os.Rename(next, s.path))
	return p
}

// pull unplugs: the device goes and so does its link.
func (s socket) pull(p *pty) {
	require.NoError(s.t, os.Remove(s.path))
	require.NoError(s.t, p.Close())
}

// patience ends a hang and nothing else: what is waited for happens at once on an
// idle machine.
const patience = 2 * time.Minute

// readExactly reads n bytes or fails the test.
func readExactly(t testing.TB, r io.Reader, n int) string {
	t.Helper()
	if d, ok := r.(interface{ SetReadDeadline(time.Time) error }); ok {
		require.NoError(t, d.SetReadDeadline(time.Now().Add(patience)))
	}
	buf := make([]byte, n)
	got, err := io.ReadFull(r, buf)
	require.NoError(t, err, "after %q", buf[:got])
	return string(buf)
}

// descriptorsBy lists the open descriptors of this process by number and what each
// is. What another test left to be closed later may go at any moment; nothing may
// come.
func descriptorsBy(t testing.TB) map[string]string {
	t.Helper()
	entries, err := os.ReadDir("/proc/self/fd")
	require.NoError(t, err)
	open := map[string]string{}
	for _, e := range entries {
		// One that is gone again was that of the folder itself.
		if target, err := os.Readlink("/proc/self/fd/" + e.Name()); err == nil {
			open[e.Name()] = target
		}
	}
	return open
}

// descriptors counts the open descriptors of this process.
func descriptors(t testing.TB) int {
	t.Helper()
	entries, err := os.ReadDir("/proc/self/fd")
	require.NoError(t, err)
	return len(entries)
}
