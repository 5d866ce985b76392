package port

import (
	"context"
	"io"
	"net"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"
	"golang.org/x/sys/unix"

	"gramcup/scale/scaletest"
)

func openProbe(t *testing.T, address string) *Probe {
	t.Helper()
	p, err := OpenProbe(t.Context(), address)
	require.NoError(t, err)
	t.Cleanup(func() { _ = p.Close() })
	return p
}

// termios is how the line of a pseudo-terminal is set now.
func (p *pty) termios(t *testing.T) *unix.Termios {
	t.Helper()
	s, err := unix.IoctlGetTermios(int(p.Fd()), unix.TCGETS2)
	require.NoError(t, err)
	return s
}

// A setting reaches the system. A pseudo-terminal has no bits on a wire: it
// keeps 8 bits without parity whatever it is told, so speed, stop bits and the
// treatment of a wrong parity are all that can be seen here.
//
// With INPCK, and neither IGNPAR nor PARMRK, a byte whose parity is wrong is
// given as 00h (POSIX.1-2017, XBD 11.2.2).
func TestProbeSetsTheLine(t *testing.T) {
	line := newPTY(t)
	p := openProbe(t, line.Node)
	assert.True(t, p.Sets())
	assert.Equal(t, line.Node, p.Name())
	for _, c := range []struct {
		baud, bits int
		parity     Parity
		stop       int
		checks     bool
	}{{2400, 7, ParityEven, 1, true}, {19200, 8, ParityNone, 1, false}, {1200, 7, ParityOdd, 2, true}, {9600, 7, ParityNone, 2, false}} {
		require.NoError(t, p.Set(c.baud, c.bits, c.parity, c.stop))
		s := line.termios(t)
		assert.Equal(t, uint32(c.baud), s.Ospeed)
		assert.Equal(t, c.stop == 2, s.Cflag&unix.CSTOPB != 0)
		assert.Equal(t, c.checks, s.Iflag&unix.INPCK != 0)
		assert.Zero(t, s.Iflag&(unix.IGNPAR|unix.PARMRK|unix.ISTRIP|unix.IXON|unix.ICRNL))
		assert.Zero(t, s.Lflag&(unix.ECHO|unix.ICANON|unix.ISIG))
	}
}

func TestProbeListensAndWrites(t *testing.T) {
	line := newPTY(t)
	p := openProbe(t, line.Node)
	_, err := line.WriteString("old")
	require.NoError(t, err)
	// The kernel brings it to the other end by itself, on a loaded machine later than
	// the moment that Set allows for.
	require.Eventually(t, func() bool { return waiting(t, p) == len("old") }, patience, time.Millisecond)
	require.NoError(t, p.Set(4800, 8, ParityNone, 1))
	began := time.Now()
	got, err := p.Listen(60 * time.Millisecond)
	require.NoError(t, err)
	assert.Empty(t, got, "what came before the setting is dropped")
	assert.GreaterOrEqual(t, time.Since(began), 60*time.Millisecond)

	_, err = line.WriteString("ST,GS,+  412.6 g\r\n\x00\xff")
	require.NoError(t, err)
	heard := ""
	for deadline := time.Now().Add(patience); len(heard) < 20 && time.Now().Before(deadline); {
		got, err := p.Listen(20 * time.Millisecond)
		require.NoError(t, err)
		heard += string(got)
	}
	assert.Equal(t, "ST,GS,+  412.6 g\r\n\x00\xff", heard)
	require.NoError(t, p.Write([]byte("\x1bP\r\n")))
	assert.Equal(t, "\x1bP\r\n", readExactly(t, line, 4))
}

// waiting is how many bytes have come and were not read yet.
func waiting(t *testing.T, p *Probe) (n int) {
	t.Helper()
	raw, err := p.serial.file.SyscallConn()
	require.NoError(t, err)
	require.NoError(t, raw.Control(func(fd uintptr) { n, err = unix.IoctlGetInt(int(fd), unix.TIOCINQ) }))
	require.NoError(t, err)
	return n
}

// Nobody reads on the other side: a write ends, and listening goes on.
func TestProbeWritesToTheDeaf(t *testing.T) {
	line := newPTY(t)
	p := openProbe(t, line.Node)
	block := make([]byte, 64<<10)
	require.NoError(t, p.Write(block))
	_, err := p.Listen(time.Millisecond)
	require.NoError(t, err)
}

func TestProbeLeavesTheLineAsItWas(t *testing.T) {
	line := newPTY(t)
	s := line.termios(t)
	s.Ispeed, s.Ospeed = 2400, 2400
	s.Cflag = s.Cflag&^(unix.CBAUD|unix.CBAUD<<16) | unix.B2400 | unix.CSTOPB
	s.Iflag |= unix.IXON
	require.NoError(t, unix.IoctlSetTermios(int(line.Fd()), unix.TCSETS2, s))
	before := line.termios(t)
	p := openProbe(t, line.Node)
	require.NoError(t, p.Set(19200, 7, ParityEven, 1))
	require.NotEqual(t, before, line.termios(t))
	require.NoError(t, p.Close())
	assert.Equal(t, before, line.termios(t))
	require.NoError(t, p.Close())
	require.ErrorIs(t, p.Set(9600, 8, ParityNone, 1), os.ErrClosed)
}

func TestProbeEndsWithItsContext(t *testing.T) {
	line := newPTY(t)
	leaks := goleak.IgnoreCurrent()
	before := line.termios(t)
	ctx, cancel := context.WithCancel(t.Context())
	p, err := OpenProbe(ctx, line.Node)
	require.NoError(t, err)
	require.NoError(t, p.Set(300, 7, ParityEven, 1))
	time.AfterFunc(20*time.Millisecond, cancel)
	_, err = p.Listen(time.Hour)
	require.ErrorIs(t, err, context.Canceled)
	require.ErrorIs(t, p.Set(9600, 8, ParityNone, 1), context.Canceled)
	require.ErrorIs(t, p.Write([]byte{5}), context.Canceled)
	require.NoError(t, p.Close())
	assert.Equal(t, before, line.termios(t))
	scaletest.NoGoroutines(t, leaks)
}

func TestProbeSaysWhatIsInTheWay(t *testing.T) {
	line := newPTY(t)
	p := openProbe(t, line.Node)
	_, err := OpenProbe(t.Context(), line.Node)
	require.ErrorContains(t, err, "in use by another program")
	_, err = p.Listen(time.Millisecond)
	require.NoError(t, err, "and the one who has it is not disturbed")
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	for address, says := range map[string]string{
		file: "not a serial port", "/dev/ttyNOWHERE": "no such port", "/dev/null": "not a serial port",
		"replay:x.cap": "neither a serial port", "hid:/dev/hidraw0": "neither a serial port", "": "empty",
	} {
		_, err := OpenProbe(t.Context(), address)
		require.ErrorContains(t, err, says, address)
	}
}

func TestProbeOverTCP(t *testing.T) {
	server, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer server.Close()
	asked := make(chan string, 1)
	go func() {
		c, err := server.Accept()
		if err != nil {
			return
		}
		defer c.Close()
		_, _ = io.WriteString(c, "hello")
		buf := make([]byte, 3)
		_, _ = io.ReadFull(c, buf)
		asked <- string(buf)
	}()
	p := openProbe(t, "tcp://"+server.Addr().String())
	assert.False(t, p.Sets())
	require.NoError(t, p.Set(300, 7, ParityEven, 1), "that is the server's business")
	require.NoError(t, p.Write([]byte("W\r\n")))
	assert.Equal(t, "W\r\n", <-asked)
	heard := ""
	for err == nil {
		var got []byte
		got, err = p.Listen(50 * time.Millisecond)
		heard += string(got)
	}
	require.ErrorIs(t, err, errHungUp)
	assert.Equal(t, "hello", heard)
}

// Unplugged while listening.
func TestProbeUnplugged(t *testing.T) {
	line := newPTY(t)
	p := openProbe(t, line.Node)
	time.AfterFunc(20*time.Millisecond, func() { _ = line.Close() })
	_, err := p.Listen(patience)
	require.ErrorIs(t, err, ErrGone)
}
