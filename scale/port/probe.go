package port

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"golang.org/x/sys/unix"
)

// Probe is a wire on which somebody tries to find out what is at its other end.
// A serial port can be set anew while it is open, and is left as it was found.
// It is for one goroutine, except for Close.
type Probe struct {
	ctx    context.Context
	wire   io.ReadWriteCloser
	serial *serialWire   // nil for other wires
	before *unix.Termios // how the line was set; nil where that could not be read
	name   string
	cancel context.CancelFunc // ends what waits for ctx

	mu       sync.Mutex // guards the setting of the line against Close: the library checks nothing
	closed   bool
	closeErr error
}

// probeMost bounds what one Listen gives, in bytes. It is five seconds of the
// fastest line; what comes beyond it is read and dropped.
const probeMost = 512 << 10

// probeSettle is how long an adaptor may hold bytes back that came before a new
// setting: 16 ms is the usual latency of a common chip family, and they would
// come later as if they belonged to it.
const probeSettle = 20 * time.Millisecond

// OpenProbe opens a serial port or a TCP connection for finding out. When ctx
// ends, Listen, Write and Set return its error. The errors say in one sentence
// what is in the way.
func OpenProbe(ctx context.Context, address string) (*Probe, error) {
	a, err := ParseAddress(address)
	if err != nil {
		return nil, err
	}
	p := &Probe{ctx: ctx, name: a.String()}
	switch a.Kind {
	case KindSerial:
		o := &serialOpener{address: a, host: thisHost()}
		before, done := settingOf(a.Path)
		p.before = before
		wire, err := o.open(ctx)
		done()
		if err != nil {
			return nil, err
		}
		p.wire, p.serial = wire, wire.(*serialWire)
		p.name = p.serial.Identity()
	case KindTCP:
		if p.wire, err = tcpOpener(a.HostPort)(ctx); err != nil {
			return nil, err
		}
	default:
		return nil, fmt.Errorf("%s is neither a serial port nor a TCP address: only there is something to find out", address)
	}
	ends, cancel := context.WithCancel(ctx)
	p.cancel = cancel
	context.AfterFunc(ends, func() { _ = p.Close() })
	return p, nil
}

// settingOf reads how a line is set. done closes what was opened for it; until
// then the port is not let go, which would drop its modem lines. Where it can
// not be read, opening the port will say why.
func settingOf(path string) (before *unix.Termios, done func()) {
	nothing := func() {}
	info, err := os.Stat(path)
	if err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return nil, nothing
	}
	fd, err := unix.Open(path, unix.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
	if err != nil {
		return nil, nothing
	}
	done = func() { _ = unix.Close(fd) }
	t, err := unix.IoctlGetTermios(fd, unix.TCGETS2)
	if err != nil {
		return nil, done
	}
	return t, done
}

// Name is the name under which the port is found again, or the TCP address.
func (p *Probe) Name() string { return p.name }

// Sets reports whether the wire has a setting at all. That of a TCP connection
// is made at the serial server.
func (p *Probe) Sets() bool { return p.serial != nil }

// Set gives the line a speed in bits a second, 7 or 8 data bits, a parity and 1
// or 2 stop bits, and drops what came before. Where a parity is set, the system
// gives 00h for a byte whose parity is wrong. On a wire without a setting it
// does nothing.
func (p *Probe) Set(baud, dataBits int, parity Parity, stopBits int) error {
	if p.serial == nil {
		return p.ctx.Err()
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed {
		return p.explain(os.ErrClosed)
	}
	a := Address{Baud: baud, DataBits: dataBits, Parity: parity, StopBits: stopBits}
	if err := p.serial.line.SetMode(a.mode()); err != nil {
		return p.explain(fmt.Errorf("%s can not be set to %d %d%c%d: %w", p.name, baud, dataBits, parity, stopBits, err))
	}
	wait(p.ctx, probeSettle)
	return p.explain(p.serial.line.ResetInputBuffer())
}

// Write sends bytes and gives up after a second.
func (p *Probe) Write(b []byte) error {
	if w, ok := p.wire.(interface{ SetWriteDeadline(time.Time) error }); ok {
		if err := w.SetWriteDeadline(time.Now().Add(writeLimit)); err != nil {
			return p.explain(err)
		}
	}
	_, err := p.wire.Write(b)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		err = ErrStuck
	}
	if errors.Is(err, ErrStuck) {
		return nil // a scale that takes nothing may still talk
	}
	return p.explain(err)
}

// Listen waits for d, all of it, and gives what came.
func (p *Probe) Listen(d time.Duration) ([]byte, error) {
	var limited interface{ SetReadDeadline(time.Time) error }
	if p.serial != nil {
		limited = p.serial.file
	} else {
		limited = p.wire.(interface{ SetReadDeadline(time.Time) error })
	}
	if err := limited.SetReadDeadline(time.Now().Add(d)); err != nil {
		return nil, p.explain(err)
	}
	var heard []byte
	buf := make([]byte, 2048)
	for {
		n, err := p.wire.Read(buf)
		if len(heard) < probeMost {
			heard = append(heard, buf[:n]...)
		}
		switch {
		case errors.Is(err, os.ErrDeadlineExceeded):
			return heard, nil
		case errors.Is(err, io.EOF):
			return heard, errHungUp
		case err != nil:
			return heard, p.explain(err)
		}
	}
}

// explain puts the end of the context before what it caused.
func (p *Probe) explain(err error) error {
	if err != nil && p.ctx.Err() != nil {
		return p.ctx.Err()
	}
	return err
}

// Close sets the line as it was before and lets it go. A second Close returns
// what the first did.
func (p *Probe) Close() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.closed {
		p.closed = true
		p.cancel()
		p.restore()
		p.closeErr = p.wire.Close()
	}
	return p.closeErr
}

// restore fails on a line that is gone, which does not matter.
func (p *Probe) restore() {
	if p.serial == nil || p.before == nil {
		return
	}
	raw, err := p.serial.file.SyscallConn()
	if err != nil {
		return
	}
	_ = raw.Control(func(fd uintptr) { _ = unix.IoctlSetTermios(int(fd), unix.TCSETS2, p.before) })
}
