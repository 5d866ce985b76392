package book

import (
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"time"

	sqlite3 "modernc.org/sqlite/lib"
)

// FileName is the database in the book's folder, LockName the file beside it
// that keeps a second process out.
const (
	FileName = "book.db"
	LockName = "book.lock"
)

// Book is an open book. All methods may be called from any goroutine.
type Book struct {
	dir  string
	path string
	lock *folderLock // nil while it is only looked at, see Look

	borrowed string // the folder of the copy that is looked at, "" where there is none

	write   sync.Mutex // one change at a time, and everything below it
	frozen  error      // why nothing is written, nil while the disk is well
	last    place      // the last event that was acknowledged
	observe func(time.Duration)

	handles sync.RWMutex // held for writing only to exchange or close them
	writer  *sql.DB
	reader  *sql.DB
	closed  bool
}

// place names an event.
type place struct {
	batch string
	seq   uint64
}

// Open opens the book in a folder and makes both if they are not there. It
// refuses, and changes nothing, when another process has the folder
// (ErrInUse), when the file is damaged (ErrDamaged), of another program
// (ErrForeign) or of a newer one (ErrNewer). An older book is brought up to
// date. Close must be called.
func Open(dir string) (*Book, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("book in %s: %w", dir, err)
	}
	if err := makeFolder(dir); err != nil {
		return nil, err
	}
	lock, err := lockFolder(dir)
	if err != nil {
		return nil, err
	}
	b := &Book{dir: dir, path: filepath.Join(dir, FileName), lock: lock, observe: func(time.Duration) {}}
	if err := b.connect(quickCheckBytes); err != nil {
		return nil, errors.Join(fmt.Errorf("book %s: %w", b.path, explain(err)), lock.release())
	}
	return b, nil
}

// Path is the database file. It must not be opened while the book is open.
func (b *Book) Path() string { return b.path }

// Observe has f called after each append that reached the disk with the time
// that it took. f must not call the book. It replaces an earlier f.
func (b *Book) Observe(f func(took time.Duration)) {
	b.write.Lock()
	defer b.write.Unlock()
	b.observe = f
}

// Close finishes the change in hand, folds the write-ahead log into the file
// and lets go of the folder. A second Close does nothing.
func (b *Book) Close() error {
	b.write.Lock()
	defer b.write.Unlock()
	b.handles.Lock()
	defer b.handles.Unlock()
	if b.closed {
		return nil
	}
	b.closed = true
	err := errors.Join(b.disconnect(), b.release())
	if err != nil {
		return fmt.Errorf("close book %s: %w", b.path, explain(err))
	}
	return nil
}

// Reopen lets go of the file and opens it anew after the disk failed. It reads
// every page and looks for the last acknowledged event before it allows
// appends again. What failed may be there or not: an Append of the very same
// events finds that out; a bench that wants to go on with other events starts
// from Unfinished again.
func (b *Book) Reopen() error {
	b.write.Lock()
	defer b.write.Unlock()
	b.handles.Lock()
	defer b.handles.Unlock()
	if b.closed {
		return ErrClosed
	}
	if b.lock == nil {
		return fmt.Errorf("reopen book %s: %w", b.path, ErrLooking)
	}
	closing := b.disconnect() // of no matter unless the opening fails as well
	err := b.connect(checkAlways)
	if err == nil {
		err = b.findLast()
	}
	if err != nil {
		b.frozen = fmt.Errorf("%w and could not be opened again: %w", ErrFrozen, errors.Join(explain(err), closing))
		return fmt.Errorf("reopen book %s: %w", b.path, b.frozen)
	}
	b.frozen = nil
	return nil
}

// findLast looks for the last acknowledged event in the file on disk.
func (b *Book) findLast() error {
	if b.last.batch == "" {
		return nil
	}
	var found int
	err := b.reader.QueryRow(`SELECT count(*) FROM event WHERE batch = ? AND seq = ?`, b.last.batch, int64(b.last.seq)).Scan(&found)
	if err == nil && found == 0 {
		err = fmt.Errorf("%w: event %d of batch %s was acknowledged and is gone: put a backup in its place", ErrDamaged, b.last.seq, b.last.batch)
	}
	return err
}

// read runs f with the pool that can only read.
func (b *Book) read(what string, f func(*sql.DB) error) error {
	b.handles.RLock()
	defer b.handles.RUnlock()
	if b.closed {
		return ErrClosed
	}
	if b.reader == nil {
		return fmt.Errorf("%s: book %s: %w: reopen it", what, b.path, ErrFrozen)
	}
	if err := f(b.reader); err != nil {
		return fmt.Errorf("%s: book %s: %w", what, b.path, explain(err))
	}
	return nil
}

// change runs f in one transaction; all of it is on disk when it returns nil,
// and nothing is shown of it when it returns an error. After an error that
// leaves doubt about the disk the book is frozen. The caller holds b.write.
func (b *Book) change(what string, f func(*sql.Tx) error) error {
	b.handles.RLock()
	defer b.handles.RUnlock()
	if b.closed {
		return ErrClosed
	}
	if b.frozen != nil {
		return fmt.Errorf("%s: book %s: %w", what, b.path, b.frozen)
	}
	doubt, err := transact(b.writer, f)
	if err == nil {
		return nil
	}
	err = explain(err)
	if doubt {
		b.frozen = fmt.Errorf("%w, it must be opened again: %w", ErrFrozen, err)
		err = b.frozen
	}
	return fmt.Errorf("%s: book %s: %w", what, b.path, err)
}

// transact reports with an error whether it leaves doubt about the disk. A
// commit that fails does, unless it did not get as far as writing.
func transact(db *sql.DB, f func(*sql.Tx) error) (doubt bool, err error) {
	tx, err := db.Begin()
	if err != nil {
		return diskFailed(err), err
	}
	if err := f(tx); err != nil {
		rollback := tx.Rollback()
		if code(rollback) == sqlite3.SQLITE_ERROR {
			rollback = nil // SQLite had rolled back by itself
		}
		return diskFailed(err) || diskFailed(rollback), errors.Join(err, rollback)
	}
	if err := tx.Commit(); err != nil {
		c := code(err)
		return c != sqlite3.SQLITE_BUSY && c != sqlite3.SQLITE_FULL, err
	}
	return false, nil
}
