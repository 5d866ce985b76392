package book

import (
	"errors"
	"fmt"
	"path/filepath"
	"syscall"
)

// folderLock is a file that nobody else may open while it is held; the system
// closes it when the process dies, however it dies.
type folderLock struct{ handle syscall.Handle }

func lockFolder(dir string) (*folderLock, error) {
	name, err := syscall.UTF16PtrFromString(filepath.Join(dir, LockName))
	if err != nil {
		return nil, fmt.Errorf("the book's folder %s can not be used: %w", dir, err)
	}
	h, err := syscall.CreateFile(name, syscall.GENERIC_READ|syscall.GENERIC_WRITE, 0, nil,
		syscall.OPEN_ALWAYS, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	const sharingViolation = syscall.Errno(32)
	switch {
	case errors.Is(err, sharingViolation):
		return nil, fmt.Errorf("%w: another gramcup works in the folder %s: stop it, or give another folder", ErrInUse, dir)
	case err != nil:
		return nil, fmt.Errorf("the book's folder %s can not be used: %w; let this user write to it", dir, err)
	}
	return &folderLock{h}, nil
}

func (l *folderLock) release() error { return syscall.CloseHandle(l.handle) }

// syncFolder does nothing: this system keeps names by itself.
func syncFolder(string) error { return nil }
