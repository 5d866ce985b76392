package port

import (
	"bytes"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

// open opens an address for real.
func open(t testing.TB, address string) io.ReadWriteCloser {
	t.Helper()
	w, err := tryOpen(address)
	require.NoError(t, err)
	t.Cleanup(func() { w.Close() })
	return w
}

func tryOpen(address string) (io.ReadWriteCloser, error) {
	opener, _, err := Open(address)
	if err != nil {
		return nil, err
	}
	return opener(context.Background())
}

func TestSerialPassesEveryByte(t *testing.T) {
	pty := newPTY(t)
	w := open(t, pty.Node)
	all := make([]byte, 256)
	for i := range all {
		all[i] = byte(i)
	}
	_, err := pty.Write(all)
	require.NoError(t, err)
	assert.Equal(t, string(all), readExactly(t, w, len(all)))
	_, err = w.Write(all)
	require.NoError(t, err)
	assert.Equal(t, string(all), readExactly(t, pty, len(all)))
}

// The settings that can be seen on a pseudo-terminal are those asked for. It
// keeps speed and stop bits but is always 8 bits without parity (seen), so
// those two are checked in the words of the library.
func TestSerialSettings(t *testing.T) {
	pty := newPTY(t)
	w := open(t, "serial:"+pty.Node+"?baud=2400&format=8n2").(*serialWire)
	raw, err := w.file.SyscallConn()
	require.NoError(t, err)
	require.NoError(t, raw.Control(func(fd uintptr) {
		settings, err := unix.IoctlGetTermios(int(fd), unix.TCGETS)
		require.NoError(t, err)
		assert.Equal(t, uint32(unix.B2400), settings.Cflag&unix.CBAUD)
		assert.NotZero(t, settings.Cflag&unix.CSTOPB)
		assert.Zero(t, settings.Lflag&(unix.ICANON|unix.ECHO|unix.ISIG))
		assert.Zero(t, settings.Iflag&(unix.IXON|unix.ICRNL|unix.INLCR|unix.ISTRIP))
	}))
	a, err := ParseAddress("serial:/dev/x?baud=4800&format=7e1")
	require.NoError(t, err)
	assert.Equal(t, serial.Mode{BaudRate: 4800, DataBits: 7, Parity: serial.EvenParity, StopBits: serial.OneStopBit}, *a.mode())
	a, err = ParseAddress("serial:/dev/x?format=8o2")
	require.NoError(t, err)
	assert.Equal(t, serial.Mode{BaudRate: 9600, DataBits: 8, Parity: serial.OddParity, StopBits: serial.TwoStopBits}, *a.mode())
}

func TestOpeningSaysWhatIsWrong(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "pour.cap")
	require.NoError(t, os.WriteFile(file, []byte("x"), 0o644))
	pty := newPTY(t)
	open(t, pty.Node)

	for name, c := range map[string]struct {
		path string
		says []string
		is   error
	}{
		"missing":       {filepath.Join(dir, "ttyUSB9"), []string{"no such port", "is it plugged in?", "present"}, fs.ErrNotExist},
		"a file":        {file, []string{"is a file, not a serial port", "replay:" + file}, nil},
		"a folder":      {dir, []string{"is not a serial port"}, syscall.ENOTTY},
		"another thing": {"/dev/null", []string{"is not a serial port"}, syscall.ENOTTY},
		"in use":        {pty.Node, []string{"in use by another program"}, syscall.EBUSY},
	} {
		t.Run(name, func(t *testing.T) {
			before := descriptorsBy(t)
			_, err := tryOpen(c.path)
			for _, s := range append(c.says, c.path) {
				assert.ErrorContains(t, err, s)
			}
			if c.is != nil {
				assert.ErrorIs(t, err, c.is)
			}
			assert.NotContains(t, err.Error(), "\n")
			assert.Subset(t, before, descriptorsBy(t), "a failed opening leaves nothing open")
		})
	}
}

// Permission is tried as a user that is not root. The kernel keeps the user
// for files per thread, so this thread becomes another and is then thrown away.
func TestOpeningWithoutPermission(t *testing.T) {
	pty := newPTY(t)
	require.NoError(t, os.Chmod(pty.Node, 0o600))
	result := make(chan error)
	go func() {
		runtime.LockOSThread() // never unlocked: the thread ends with the goroutine
		if os.Geteuid() == 0 {
			_ = unix.Setfsuid(65534)
		} else {
			_ = os.Chmod(pty.Node, 0)
		}
		_, err := tryOpen(pty.Node)
		result <- err
	}()
	err := <-result
	assert.ErrorIs(t, err, fs.ErrPermission)
	assert.ErrorContains(t, err, "no permission for "+pty.Node)
	assert.ErrorContains(t, err, "to the group")
}

func TestCloseLetsThePortGo(t *testing.T) {
	pty := newPTY(t)
	before := descriptorsBy(t)
	for range 5 {
		w := open(t, pty.Node)
		require.NoError(t, w.Close())
		require.NoError(t, w.Close(), "twice is fine")
		assert.Subset(t, before, descriptorsBy(t))
	}
}

func TestCloseWakesTheReader(t *testing.T) {
	w := open(t, newPTY(t).Node)
	got := make(chan error)
	go func() {
		_, err := w.Read(make([]byte, 10))
		got <- err
	}()
	time.Sleep(20 * time.Millisecond)
	require.NoError(t, w.Close())
	assert.ErrorIs(t, <-got, os.ErrClosed)
}

func TestUnpluggedIsNotClosed(t *testing.T) {
	pty := newPTY(t)
	w := open(t, pty.Node)
	pty.Close()
	_, err := w.Read(make([]byte, 10))
	assert.ErrorIs(t, err, ErrGone)
	_, err = w.Write([]byte("W"))
	assert.ErrorIs(t, err, ErrGone)
	assert.NoError(t, w.Close())
}

// A peer that reads nothing: about 20 kB fit a pseudo-terminal, then a write
// hangs. It must end by itself, and neither reading nor Close may feel it.
func TestBlockedWriteHoldsNothingUp(t *testing.T) {
	pty := newPTY(t)
	w := open(t, pty.Node)
	wrote := make(chan error, 1)
	go func() {
		_, err := w.Write(make([]byte, 200_000))
		wrote <- err
	}()
	_, err := pty.Write([]byte("412.6"))
	require.NoError(t, err)
	assert.Equal(t, "412.6", readExactly(t, w, 5))
	select {
	case err := <-wrote:
		assert.ErrorIs(t, err, ErrStuck)
	case <-time.After(patience):
		t.Fatal("the write hangs for ever")
	}
	// The same again, closed while the write hangs. On a machine that was away for
	// the whole second the write has ended by itself before, and nothing is shown.
	for {
		began := time.Now()
		go func() {
			_, err := w.Write(make([]byte, 200_000))
			wrote <- err
		}()
		time.Sleep(50 * time.Millisecond)
		late := time.Since(began) >= writeLimit
		require.NoError(t, w.Close())
		err := <-wrote
		if late && errors.Is(err, ErrStuck) {
			w = open(t, pty.Node)
			continue
		}
		assert.ErrorIs(t, err, os.ErrClosed)
		return
	}
}

// canary opens files until one has a descriptor number that was just freed,
// which is where a late write would land.
func canary(t *testing.T, dir string, freed map[uintptr]bool) *os.File {
	t.Helper()
	for range 20 {
		f, err := os.CreateTemp(dir, "canary")
		require.NoError(t, err)
		t.Cleanup(func() { f.Close() })
		if freed[f.Fd()] {
			return f
		}
	}
	t.Fatal("no descriptor number was used again")
	return nil
}

// openNumbers lists the descriptors that are a given node.
func openNumbers(t *testing.T, node string) map[uintptr]bool {
	entries, err := os.ReadDir("/proc/self/fd")
	require.NoError(t, err)
	numbers := map[uintptr]bool{}
	for _, e := range entries {
		if target, err := os.Readlink("/proc/self/fd/" + e.Name()); err == nil && target == node {
			n := uintptr(0)
			for _, c := range e.Name() {
				n = n*10 + uintptr(c-'0')
			}
			numbers[n] = true
		}
	}
	return numbers
}

func TestNoWriteAfterClose(t *testing.T) {
	dir := t.TempDir()
	// The library alone does write into the file: this shows that the check
	// below can fail.
	pty := newPTY(t)
	bare, err := serial.Open(pty.Node, &serial.Mode{BaudRate: 9600})
	require.NoError(t, err)
	numbers := openNumbers(t, pty.Node)
	require.NoError(t, bare.Close())
	file := canary(t, dir, numbers)
	_, err = bare.Write([]byte("tare"))
	require.NoError(t, err)
	hit, err := os.ReadFile(file.Name())
	require.NoError(t, err)
	require.Equal(t, "tare", string(hit))
	file.Close()

	for range 50 {
		pty := newPTY(t)
		w := open(t, pty.Node)
		numbers := openNumbers(t, pty.Node)
		require.Len(t, numbers, 2)
		var late sync.WaitGroup
		stop := make(chan struct{})
		for range 3 {
			late.Go(func() {
				for {
					select {
					case <-stop:
						return
					default:
						_, _ = w.Write([]byte("tare"))
					}
				}
			})
		}
		go func() { _, _ = io.Copy(io.Discard, pty) }()
		// With three who write without a pause it may take longer than Close waits.
		if err := w.Close(); !errors.Is(err, ErrSlowClose) {
			require.NoError(t, err)
		}
		require.Eventually(t, func() bool { return len(openNumbers(t, pty.Node)) == 0 }, patience, time.Millisecond)
		file := canary(t, dir, numbers)
		_, err := w.Write([]byte("tare"))
		assert.ErrorIs(t, err, os.ErrClosed)
		time.Sleep(time.Millisecond)
		close(stop)
		late.Wait()
		content, err := os.ReadFile(file.Name())
		require.NoError(t, err)
		require.Empty(t, string(content), "a late write landed in another file")
		file.Close()
		pty.Close()
	}
}

// The library panics when it reads with a descriptor of 1024 or more.
func TestHighDescriptorNumbers(t *testing.T) {
	var pile []*os.File
	defer func() {
		for _, f := range pile {
			f.Close()
		}
	}()
	for {
		f, err := os.Open("/dev/null")
		require.NoError(t, err)
		pile = append(pile, f)
		if f.Fd() >= 1024 {
			break
		}
	}
	pty := newPTY(t)
	w := open(t, pty.Node)
	_, err := pty.Write([]byte("still here"))
	require.NoError(t, err)
	assert.Equal(t, "still here", readExactly(t, w, 10))
}

func TestNodeNames(t *testing.T) {
	s := newSocket(t)
	p := s.plug()
	w := open(t, s.path)
	named, ok := w.(interface{ Identity() string })
	require.True(t, ok)
	assert.Equal(t, s.path, named.Identity())
	assert.True(t, strings.HasPrefix(p.Node, "/dev/pts/"))
	_, err := p.Write([]byte("x"))
	require.NoError(t, err)
	assert.True(t, bytes.Equal([]byte("x"), []byte(readExactly(t, w, 1))))
}
