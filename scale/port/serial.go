package port

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/user"
	"strconv"
	"sync"
	"syscall"
	"time"

	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

// writeLimit bounds one write and closeLimit one close. A request has some ten
// bytes; one that has not left after a second is never going to be read.
const (
	writeLimit = time.Second
	closeLimit = time.Second
)

// ErrGone is the error of reading or writing a wire whose other end is no
// longer there.
var ErrGone = errors.New("the port is gone: was it unplugged?")

// ErrStuck is the error of a write that nobody took within its limit.
var ErrStuck = errors.New("the scale did not take the bytes within a second")

// ErrSlowClose is the error of a Close that goes on behind the caller's back.
var ErrSlowClose = errors.New("closing took longer than a second and goes on by itself")

// serialOpener opens a serial port again and again, after the first time by
// the name that survives replugging.
type serialOpener struct {
	address Address
	host    host

	mu     sync.Mutex
	stable string // found when the port was first seen; "" before
}

// identity is the stable name if the port is there, else the address's path.
func (o *serialOpener) identity() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.stable == "" {
		o.stable = o.lookUp()
	}
	if o.stable != "" {
		return o.stable
	}
	return o.address.Path
}

// lookUp keeps a link that the person chose: it is the stable name already.
func (o *serialOpener) lookUp() string {
	info, err := os.Lstat(o.address.Path)
	switch {
	case err != nil:
		return ""
	case info.Mode()&fs.ModeSymlink != 0:
		return o.address.Path
	}
	return o.host.stable(o.address.Path)
}

func (o *serialOpener) open(context.Context) (io.ReadWriteCloser, error) {
	path := o.identity()
	w, err := openSerial(path, o.address, o.host)
	if err != nil {
		return nil, err
	}
	w.name = o.identity()
	return w, nil
}

// serialWire is one open serial port. The library sets the line up and keeps
// other users out; the bytes go through a descriptor of our own, for three
// reasons, each seen with v1.8.0: the library's Write after Close goes to
// whatever file has got the descriptor's number by then, its Write has no
// limit and is not freed by Close, and its Read panics when the number is 1024
// or more. An *os.File has none of these: it counts its users, knows
// deadlines, and wakes everybody on Close.
type serialWire struct {
	name string
	file *os.File    // bytes, and the lock on the node
	line serial.Port // settings and exclusive use; never read or written

	closeOnce sync.Once
	closeErr  error
}

// Identity is the name by which the port was, and will be, opened.
func (w *serialWire) Identity() string { return w.name }

// openSerial opens the node twice: for the bytes and for the library. It opens
// without waiting for a carrier, which a three-wire cable never raises.
func openSerial(path string, a Address, h host) (*serialWire, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, explainOpen(path, err, h)
	}
	if info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is a file, not a serial port: give a device such as /dev/ttyUSB0, or replay:%s if it is a recording", path, path)
	}
	if info.Mode()&fs.ModeCharDevice == 0 {
		return nil, notSerial(path)
	}
	file, err := os.OpenFile(path, os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		return nil, explainOpen(path, err, h)
	}
	if err := errors.Join(claim(file), file.SetWriteDeadline(time.Time{})); err != nil {
		file.Close()
		return nil, explainOpen(path, err, h)
	}
	line, err := serial.Open(path, a.mode())
	if err != nil {
		file.Close()
		return nil, explainOpen(path, err, h)
	}
	// What the kernel kept from before was sent to somebody else.
	if err := line.ResetInputBuffer(); err != nil {
		line.Close()
		file.Close()
		return nil, explainOpen(path, err, h)
	}
	return &serialWire{name: path, file: file, line: line}, nil
}

// claim checks that the node is a terminal line and locks it. The library's
// exclusive use does not stop root, and not a second instance of this program.
func claim(file *os.File) error {
	raw, err := file.SyscallConn()
	if err != nil {
		return err
	}
	var inner error
	err = raw.Control(func(fd uintptr) {
		if _, inner = unix.IoctlGetTermios(int(fd), unix.TCGETS); inner == nil {
			inner = unix.Flock(int(fd), unix.LOCK_EX|unix.LOCK_NB)
		}
	})
	return errors.Join(err, inner)
}

// mode is the address in the library's words.
func (a Address) mode() *serial.Mode {
	m := &serial.Mode{BaudRate: a.Baud, DataBits: a.DataBits}
	switch a.Parity {
	case ParityEven:
		m.Parity = serial.EvenParity
	case ParityOdd:
		m.Parity = serial.OddParity
	}
	if a.StopBits == 2 {
		m.StopBits = serial.TwoStopBits
	}
	return m
}

// explainOpen turns what the system says into what a person can do.
func explainOpen(path string, err error, h host) error {
	var pe *serial.PortError
	portCode := func(code serial.PortErrorCode) bool { return errors.As(err, &pe) && pe.Code() == code }
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("no such port %s (%w): is it plugged in? %s", path, fs.ErrNotExist, h.presentSentence())
	case errors.Is(err, fs.ErrPermission), portCode(serial.PermissionDenied):
		return fmt.Errorf("no permission for %s: add the user that runs gramcup to the group %s and start it again (%w)", path, ownerGroup(path), fs.ErrPermission)
	case errors.Is(err, syscall.EBUSY), errors.Is(err, syscall.EWOULDBLOCK), portCode(serial.PortBusy):
		return fmt.Errorf("%s is in use by another program: close that program, or a second gramcup (%w)", path, syscall.EBUSY)
	case errors.Is(err, syscall.ENOTTY):
		return notSerial(path)
	case errors.Is(err, syscall.ENXIO), errors.Is(err, syscall.ENODEV), errors.Is(err, syscall.EIO):
		return fmt.Errorf("%s has no device behind it: plug it in again (%w)", path, err)
	}
	return fmt.Errorf("opening %s failed: %w", path, err)
}

func notSerial(path string) error {
	return fmt.Errorf("%s is not a serial port: give a device such as /dev/ttyUSB0 (%w)", path, syscall.ENOTTY)
}

// ownerGroup names the group that may use a node; on most systems dialout.
func ownerGroup(path string) string {
	info, err := os.Stat(path)
	if err != nil {
		return "that owns it"
	}
	id := strconv.Itoa(int(info.Sys().(*syscall.Stat_t).Gid))
	if g, err := user.LookupGroupId(id); err == nil {
		return g.Name
	}
	return id
}

// Read returns what has come, at least one byte. It waits until there is some,
// the port is closed, or the other end is gone (ErrGone).
func (w *serialWire) Read(p []byte) (int, error) {
	n, err := w.file.Read(p)
	return n, explainGone(err)
}

// Write sends p. It gives up after a second with ErrStuck, and never writes
// after Close, not even when it began before.
func (w *serialWire) Write(p []byte) (int, error) {
	if err := w.file.SetWriteDeadline(time.Now().Add(writeLimit)); err != nil {
		return 0, fmt.Errorf("%w (%v)", os.ErrClosed, err) // openSerial saw that deadlines work
	}
	n, err := w.file.Write(p)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return n, ErrStuck
	}
	return n, explainGone(err)
}

// explainGone: an unplugged line reads as "zero bytes" (io.EOF) or EIO.
func explainGone(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, syscall.EIO) || errors.Is(err, syscall.ENXIO) {
		return ErrGone
	}
	return err
}

// Close throws away what was not sent, wakes Read and Write, and lets the port
// go. It returns within a second: ErrSlowClose when the kernel still waits for
// the line to drain. A second Close returns what the first did.
func (w *serialWire) Close() error {
	w.closeOnce.Do(func() {
		w.closeErr = within(closeLimit, func() error {
			// Without this the last close may wait for a line that nobody
			// reads. On an unplugged port it fails, which does not matter.
			_ = w.line.ResetOutputBuffer()
			return errors.Join(w.file.Close(), w.line.Close())
		})
	})
	return w.closeErr
}

// within runs f and waits for it, but no longer than the limit. The limit is
// counted in tenths, of which a ticker drops those that nobody could take: a
// machine that was away for all of it is no sign that f hangs.
func within(limit time.Duration, f func() error) error {
	done := make(chan error, 1)
	go func() { done <- f() }()
	const parts = 10
	t := time.NewTicker(limit / parts)
	defer t.Stop()
	for range parts {
		select {
		case err := <-done:
			return err
		case <-t.C:
		}
	}
	select {
	case err := <-done:
		return err
	default:
		return ErrSlowClose
	}
}
