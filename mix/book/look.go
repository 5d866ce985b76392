package book

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"
)

// Look opens the book in a folder for questions alone, also beside a bench that
// works on it. The file stays as it is, byte for byte: a book of an older version
// is answered from a copy of today's, in a folder of its own that Close takes
// away. Nothing is put beside it either, unless a power cut left a log whose
// index is missing. It refuses what Open refuses but ErrInUse, and with
// fs.ErrNotExist a folder without a book. What would change the book fails with
// ErrLooking. Close must be called.
func Look(dir string) (*Book, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("book in %s: %w", dir, err)
	}
	b := &Book{dir: dir, path: filepath.Join(dir, FileName), frozen: ErrLooking, observe: func(time.Duration) {}}
	info, err := os.Stat(b.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no book in %s: %w", dir, fs.ErrNotExist)
	case err == nil && !info.Mode().IsRegular():
		err = errors.New("it is no file: move it away")
	case err == nil:
		err = b.look()
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("book %s: %w", b.path, explain(err)), b.release())
	}
	return b, nil
}

// look opens the file, or the copy that stands for it.
func (b *Book) look() error {
	where := readOnly(b.path)
	log, err := os.Stat(b.path + "-wal")
	if errors.Is(err, fs.ErrNotExist) || err == nil && log.Size() == 0 {
		// Nobody writes, and all is in the file. SQLite would put a log and its
		// index beside it even to read, and leave them there, of another user
		// maybe. A bench that starts just now writes to its log first.
		where += "&immutable=1"
	} else if err != nil {
		return err
	}
	version, err := probe(where, false)
	if err != nil {
		return err
	}
	if version < len(migrationNames()) {
		if where, err = b.copyOf(where); err != nil {
			return err
		}
	}
	b.reader, err = openPool(where, readers)
	return err
}

// copyOf makes a copy, brings it up to date, and gives its address. It may be of
// a file that a bench is writing.
func (b *Book) copyOf(where string) (copied string, err error) {
	if b.borrowed, err = os.MkdirTemp("", "gramcup-book-*"); err != nil {
		return "", fmt.Errorf("it is of an older version and is read from a copy, for which there is no place: %w", err)
	}
	path := filepath.Join(b.borrowed, FileName)
	if err := vacuumInto(where, path); err != nil {
		return "", fmt.Errorf("it is of an older version, and its copy in %s could not be made: %w", b.borrowed, err)
	}
	db, err := openPool(address(path, "rw", "immediate", "foreign_keys(1)"), 1)
	if err != nil {
		return "", err
	}
	if err := errors.Join(migrate(db), db.Close()); err != nil {
		return "", err
	}
	return readOnly(path), nil
}

// release lets go of the folder: of the lock, or of the copy.
func (b *Book) release() error {
	var errs []error
	if b.lock != nil {
		errs = append(errs, b.lock.release())
	}
	if b.borrowed != "" {
		errs = append(errs, os.RemoveAll(b.borrowed))
	}
	return errors.Join(errs...)
}
