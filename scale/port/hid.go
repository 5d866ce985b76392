package port

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

// hidOpener opens a weighing device again and again, after the first time by
// what the device is and not by its node, which is another after replugging.
type hidOpener struct {
	address Address
	host    host

	mu    sync.Mutex
	known *hidDevice // the device of the first time
}

// identity is the name under which the device is found again, as far as it is
// known.
func (o *hidOpener) identity() string {
	o.mu.Lock()
	known := o.known
	o.mu.Unlock()
	if known != nil {
		return known.stable()
	}
	if d, err := o.find(); err == nil {
		return d.stable()
	}
	return o.address.String()
}

func (o *hidOpener) open(context.Context) (io.ReadWriteCloser, error) {
	d, err := o.find()
	if err != nil {
		return nil, err
	}
	w, err := openHID(d)
	if err != nil {
		return nil, err
	}
	o.mu.Lock()
	o.known = &d
	o.mu.Unlock()
	return w, nil
}

// find is the device to open now.
func (o *hidOpener) find() (hidDevice, error) {
	o.mu.Lock()
	known := o.known
	o.mu.Unlock()
	if known == nil && o.address.Path != "" {
		path, err := filepath.EvalSymlinks(o.address.Path)
		if err != nil {
			return hidDevice{}, o.host.noHID(o.address.Path)
		}
		return o.host.hidWithTwins(filepath.Base(path))
	}
	a := o.address
	if known != nil && a.Path != "" {
		a = known.address()
	}
	var fits []hidDevice
	for _, d := range o.host.weighing() {
		if d.is(a) {
			fits = append(fits, d)
		}
	}
	switch {
	case len(fits) == 1:
		return fits[0], nil
	case len(fits) == 0:
		return hidDevice{}, o.host.noHID(o.address.String())
	}
	for _, d := range fits { // twins: the one in the same socket
		if known != nil && d.socket == known.socket {
			return d, nil
		}
	}
	return hidDevice{}, fmt.Errorf("%d scales that look the same answer to %s: name one by its socket, such as %s", len(fits), o.address, Address{Kind: KindHID, ID: fits[0].id, Socket: fits[0].socket})
}

// noHID says which scales there are instead.
func (h host) noHID(asked string) error {
	list := h.weighing()
	if len(list) == 0 {
		return fmt.Errorf("no weighing device %s (%w): is it plugged in and switched on? none is present", asked, fs.ErrNotExist)
	}
	names := make([]string, len(list))
	for i, d := range list {
		names[i] = d.stable()
	}
	return fmt.Errorf("no weighing device %s (%w): is it plugged in and switched on? these are present: %s", asked, fs.ErrNotExist, strings.Join(names, ", "))
}

// openHID opens the node of a device and keeps other users of this program out.
func openHID(d hidDevice) (*hidWire, error) {
	file, err := os.OpenFile(d.node, os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		return nil, explainHID(d, err)
	}
	if err := errors.Join(lockFile(file), file.SetWriteDeadline(time.Time{})); err != nil {
		return nil, errors.Join(explainHID(d, err), file.Close())
	}
	return newHIDWire(d.stable(), file), nil
}

// lockFile keeps a second instance of this program out: the system lets any
// number of programs read such a device.
func lockFile(file *os.File) error {
	raw, err := file.SyscallConn()
	if err != nil {
		return err
	}
	var inner error
	err = raw.Control(func(fd uintptr) { inner = unix.Flock(int(fd), unix.LOCK_EX|unix.LOCK_NB) })
	return errors.Join(err, inner)
}

// explainHID turns what the system says into what a person can do.
func explainHID(d hidDevice, err error) error {
	switch {
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("no permission for %s: put this line into /etc/udev/rules.d/60-gramcup.rules, unplug the scale and plug it in again: %s (%w)", d.node, d.udevRule("dialout"), fs.ErrPermission)
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENXIO), errors.Is(err, syscall.ENODEV):
		return fmt.Errorf("%s is gone: plug the scale in again (%w)", d.node, fs.ErrNotExist)
	case errors.Is(err, syscall.EWOULDBLOCK), errors.Is(err, syscall.EBUSY):
		return fmt.Errorf("%s is in use by another gramcup: end that one first (%w)", d.node, syscall.EBUSY)
	}
	return fmt.Errorf("opening %s failed: %w", d.node, err)
}
