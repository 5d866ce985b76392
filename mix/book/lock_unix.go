//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package book

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// folderLock is held as long as the file is open; the kernel drops it when the
// process dies, however it dies.
type folderLock struct{ file *os.File }

func lockFolder(dir string) (*folderLock, error) {
	path := filepath.Join(dir, LockName)
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, fmt.Errorf("the book's folder %s can not be used: %w; let this user write to it", dir, err)
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		if errors.Is(err, syscall.EWOULDBLOCK) {
			err = fmt.Errorf("%w: another gramcup works in the folder %s: stop it, or give another folder", ErrInUse, dir)
		} else {
			err = fmt.Errorf("the book's folder %s can not be locked: %w; put it on a local disk", dir, err)
		}
		return nil, errors.Join(err, f.Close())
	}
	return &folderLock{f}, nil
}

func (l *folderLock) release() error { return l.file.Close() }

// syncFolder has the names in a folder on disk.
func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
