package book

import (
	"errors"
	"fmt"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// What can be wrong with a book; every returned error carries a sentence about
// the case at hand as well.
var (
	// ErrInUse: another process, or another Book here, has the folder.
	ErrInUse = errors.New("the book is in use")
	// ErrNewer: a newer program wrote it.
	ErrNewer = errors.New("the book is newer than this program")
	// ErrForeign: it is the database of another program.
	ErrForeign = errors.New("the file is not a book")
	// ErrDamaged: it is not a database, or parts of it can not be right.
	ErrDamaged = errors.New("the book is damaged")
	// ErrFrozen: the disk failed, and nothing is written until Reopen has
	// verified the file. A failed fsync can not be tried again: the kernel may
	// have dropped the pages and report success the second time.
	ErrFrozen = errors.New("the book is frozen after a disk error")
	// ErrLooking: it was opened by Look.
	ErrLooking = errors.New("the book was opened for questions alone")
	// ErrOutOfStep: the events do not continue those of the batch in the book.
	ErrOutOfStep = errors.New("the events do not follow those in the book")
	// ErrClosed: Close was called.
	ErrClosed = errors.New("the book is closed")
)

// code is the primary SQLite result code of an error, 0 if it has none.
func code(err error) int {
	if e, ok := errors.AsType[*sqlite.Error](err); ok {
		return e.Code() & 0xff
	}
	return 0
}

// explain puts SQLite's words behind a sentence that says what would be right.
// Errors that are not SQLite's pass as they are.
func explain(err error) error {
	switch code(err) {
	case 0:
		return err
	case sqlite3.SQLITE_FULL:
		return fmt.Errorf("the disk is full, nothing was written: free some space: %w", err)
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH:
		return fmt.Errorf("the file or its folder is read-only: let this user write to both: %w", err)
	case sqlite3.SQLITE_CANTOPEN:
		return fmt.Errorf("it can not be opened or created: let this user write to the folder: %w", err)
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return fmt.Errorf("another program holds the file: close it and try again: %w", err)
	case sqlite3.SQLITE_NOTADB:
		return fmt.Errorf("%w, it is no SQLite database, and was left as it is: move it away or put a backup in its place: %w", ErrDamaged, err)
	case sqlite3.SQLITE_CORRUPT:
		return fmt.Errorf("%w, and was left as it is: move it away or put a backup in its place: %w", ErrDamaged, err)
	case sqlite3.SQLITE_IOERR:
		return fmt.Errorf("the disk failed: check it, and keep a copy of the folder: %w", err)
	}
	return err
}

// diskFailed reports whether an error leaves doubt about what is on the disk.
// A full disk does not: SQLite has then rolled back before any fsync.
func diskFailed(err error) bool {
	switch code(err) {
	case sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return true
	}
	return false
}

// Short says in a few words what is wrong and what to do, for a banner that is
// read from two metres; "" where there is no shorter way than the error itself.
func Short(err error) string {
	switch code(err) {
	case 0:
		return shortOfDisk(err)
	case sqlite3.SQLITE_FULL:
		return "the disk is full, free some space"
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH, sqlite3.SQLITE_CANTOPEN:
		return "its folder can not be written"
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return "another program holds it, close that"
	case sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return "its disk failed, have it checked"
	}
	return ""
}
