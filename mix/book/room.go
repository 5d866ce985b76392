package book

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

const (
	// LeastFreeBytes must be free for the book: its log grows to journal_size_limit
	// before it is cut back, and the file by as much when the log is folded in.
	LeastFreeBytes = 2 * 16 << 20

	// ProbeName is the file that is written to see whether the folder takes one,
	// probeBytes what is put into it.
	ProbeName  = "book.probe"
	probeBytes = 8 << 10
)

// ErrNoRoom: the disk has so little left that the next entries may not fit.
var ErrNoRoom = errors.New("there is too little room for the book")

// Room looks whether the next entry will find its place: whether the disk has
// LeastFreeBytes left, and whether a small file in the book's folder can be
// written as far as the disk. It touches neither the book nor who works with it.
func (b *Book) Room() error {
	b.handles.RLock()
	defer b.handles.RUnlock()
	if b.closed {
		return ErrClosed
	}
	if b.lock == nil {
		return ErrLooking
	}
	free, known, err := freeBytes(b.dir)
	switch {
	case err != nil:
		return fmt.Errorf("how much room the disk of %s has can not be asked: %w", b.dir, err)
	case known && free < LeastFreeBytes:
		return fmt.Errorf("%w: the disk of %s has %d MB left and should have %d: free some space", ErrNoRoom, b.dir, free>>20, LeastFreeBytes>>20)
	}
	path := filepath.Join(b.dir, ProbeName)
	if err := writeProbe(path); err != nil {
		return fmt.Errorf("a file of %d bytes beside the book can not be written: %w: free some space, or let this user write there", probeBytes, err)
	}
	return nil
}

// writeProbe writes a file, has it on disk, and takes it away, also where it came
// to no end.
func writeProbe(path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(make([]byte, probeBytes))
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close(), os.Remove(path))
}

// shortOfDisk is Short for an error of the system.
func shortOfDisk(err error) string {
	for _, e := range []struct {
		errors []error
		short  string
	}{
		{[]error{ErrNoRoom}, "the disk is nearly full, free some space"},
		{[]error{syscall.ENOSPC, syscall.EDQUOT, syscall.EFBIG}, "the disk is full, free some space"},
		{[]error{syscall.EROFS, syscall.EACCES, syscall.EPERM, syscall.ENOENT}, "its folder can not be written"},
		{[]error{syscall.EIO}, "its disk failed, have it checked"},
	} {
		for _, one := range e.errors {
			if errors.Is(err, one) {
				return e.short
			}
		}
	}
	return ""
}
