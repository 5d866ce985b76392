//go:build linux

package simulator

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"syscall"

	"golang.org/x/sys/unix"
)

// Pty is a pseudo-terminal that a serial program can open by its Path. Write
// and Read are the scale's side of it.
type Pty struct {
	Path   string // of the side to open, such as /dev/pts/5
	Link   string // a stable name that points to Path, "" for none
	master *os.File
	raw    syscall.RawConn // of master

	mu    sync.Mutex // guards slave against Close
	slave int        // kept open so that the line outlives its users; -1 when closed
}

// ptyStaleBytes is how much may wait for a program that does not read. More
// than a second of frames is stale, and like on a real line it is lost.
const ptyStaleBytes = 256

// OpenPty makes a pseudo-terminal. link, when not "", becomes a symbolic link
// to it; an old symbolic link there is replaced, anything else is an error.
func OpenPty(link string) (*Pty, error) {
	fd, err := unix.Open("/dev/ptmx", unix.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
	if err != nil {
		return nil, fmt.Errorf("open /dev/ptmx for a simulated line: %w", err)
	}
	master := os.NewFile(uintptr(fd), "/dev/ptmx")
	path, err := unlock(fd)
	if err != nil {
		return nil, errors.Join(err, master.Close())
	}
	raw, err := master.SyscallConn()
	if err != nil {
		return nil, errors.Join(fmt.Errorf("reach the descriptor of the pseudo-terminal: %w", err), master.Close())
	}
	slave, err := openRaw(path)
	if err != nil {
		return nil, errors.Join(err, master.Close())
	}
	p := &Pty{Path: path, master: master, raw: raw, slave: slave}
	if err := p.linkTo(link); err != nil {
		return nil, errors.Join(err, p.Close())
	}
	return p, nil
}

// unlock lets others open the slave and finds its name.
func unlock(fd int) (path string, err error) {
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
		return "", fmt.Errorf("unlock the pseudo-terminal: %w", err)
	}
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err != nil {
		return "", fmt.Errorf("ask for the name of the pseudo-terminal: %w", err)
	}
	return fmt.Sprintf("/dev/pts/%d", n), nil
}

// openRaw opens the slave and sets raw mode before anybody can write: until
// then the line echoes, and turns line ends into others.
func openRaw(path string) (fd int, err error) {
	fd, err = unix.Open(path, unix.O_RDWR|unix.O_NOCTTY|unix.O_CLOEXEC, 0)
	if err != nil {
		return -1, fmt.Errorf("open %s: %w", path, err)
	}
	t, err := unix.IoctlGetTermios(fd, unix.TCGETS)
	if err == nil {
		t.Iflag &^= unix.IGNBRK | unix.BRKINT | unix.PARMRK | unix.ISTRIP | unix.INLCR | unix.IGNCR | unix.ICRNL | unix.IXON
		t.Oflag &^= unix.OPOST
		t.Lflag &^= unix.ECHO | unix.ECHONL | unix.ICANON | unix.ISIG | unix.IEXTEN
		t.Cflag = t.Cflag&^(unix.CSIZE|unix.PARENB) | unix.CS8
		t.Cc[unix.VMIN], t.Cc[unix.VTIME] = 1, 0
		err = unix.IoctlSetTermios(fd, unix.TCSETS, t)
	}
	if err != nil {
		return -1, errors.Join(fmt.Errorf("set raw mode on %s: %w", path, err), unix.Close(fd))
	}
	return fd, nil
}

// linkTo makes the stable name, in one move so that it is never missing.
func (p *Pty) linkTo(link string) error {
	if link == "" {
		return nil
	}
	info, err := os.Lstat(link)
	if err == nil && info.Mode()&os.ModeSymlink == 0 {
		return fmt.Errorf("%s is in the way: the link needs a name that is free or an old link", link)
	}
	beside := filepath.Join(filepath.Dir(link), fmt.Sprintf(".%s.%d", filepath.Base(link), os.Getpid()))
	if err := os.Symlink(p.Path, beside); err != nil {
		return fmt.Errorf("link %s to %s: %w", link, p.Path, err)
	}
	if err := os.Rename(beside, link); err != nil {
		return errors.Join(fmt.Errorf("link %s to %s: %w", link, p.Path, err), os.Remove(beside))
	}
	p.Link = link
	return nil
}

// Read waits for bytes from the program on the other side.
func (p *Pty) Read(b []byte) (int, error) { return p.master.Read(b) }

// Write sends bytes to whoever has the other side open, and never waits. When
// nobody reads, old bytes are thrown away, so that a program that opens the
// line later sees the present and not the past; when the kernel has no room
// even so, b is lost like on a real line, and that is no error.
func (p *Pty) Write(b []byte) (int, error) {
	p.freshen()
	var failed error
	err := p.raw.Write(func(fd uintptr) bool {
		_, failed = unix.Write(int(fd), b)
		return true
	})
	if errors.Is(failed, unix.EAGAIN) {
		failed = nil
	}
	if err = errors.Join(err, failed); err != nil {
		return 0, fmt.Errorf("write to %s: %w", p.Path, err)
	}
	return len(b), nil
}

func (p *Pty) freshen() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.slave < 0 {
		return
	}
	// Both are comfort: where they fail the line still works.
	if waiting, err := unix.IoctlGetInt(p.slave, unix.TIOCINQ); err == nil && waiting > ptyStaleBytes {
		_ = unix.IoctlSetInt(p.slave, unix.TCFLSH, unix.TCIFLUSH)
	}
	// A program that was killed leaves its claim on the line behind for as
	// long as the pair lives, and nobody could open it again.
	_ = unix.IoctlSetInt(p.slave, unix.TIOCNXCL, 0)
}

// Close takes the line away, like pulling a plug, and removes the link if it
// still points here. A Read that waits returns. Closing twice is no error.
func (p *Pty) Close() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.slave < 0 {
		return nil
	}
	// The name goes first: once the line is closed, its number may be that of
	// another one, and whoever looks for this one would find that.
	var err error
	if to, e := os.Readlink(p.Link); p.Link != "" && e == nil && to == p.Path {
		err = os.Remove(p.Link)
	}
	err = errors.Join(err, p.master.Close(), unix.Close(p.slave))
	p.slave = -1
	return err
}
