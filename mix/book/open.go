package book

import (
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	_ "modernc.org/sqlite" // the driver "sqlite"
)

const (
	// quickCheckBytes is the largest file that is read as a whole at start;
	// beyond it a slow card would keep the painter waiting.
	quickCheckBytes = 64 << 20
	checkAlways     = -1

	// readers is how many questions are answered at a time.
	readers = 4

	// applicationID is "gcup" in the file's header.
	applicationID = 0x67637570
)

// pragmas belong to a connection, so they go into the address that the pool
// opens every one of them with. The time to wait comes first: the others may
// have to wait. The log is cut back after a long reader let it grow.
func pragmas() []string {
	return []string{
		"busy_timeout(5000)",
		"journal_mode(WAL)",
		"synchronous(FULL)",
		"foreign_keys(1)",
		"journal_size_limit(16777216)",
	}
}

// address is the driver's name for a file, safe for any character in a path.
func address(path, mode, lock string, pragmas ...string) string {
	q := url.Values{"mode": {mode}, "_txlock": {lock}, "_pragma": pragmas}
	p := filepath.ToSlash(path)
	if !strings.HasPrefix(p, "/") {
		p = "/" + p // a drive letter
	}
	return (&url.URL{Scheme: "file", Path: p, RawQuery: q.Encode()}).String()
}

// readOnly is the address of a file that is not written to.
func readOnly(path string) string { return address(path, "ro", "deferred", "busy_timeout(5000)") }

// makeFolder makes the folder for this user alone, and has each new name on
// disk before anything is put into it.
func makeFolder(dir string) error {
	var made []string
	for p := dir; ; p = filepath.Dir(p) {
		info, err := os.Stat(p)
		if err == nil && !info.IsDir() {
			return fmt.Errorf("the book's folder %s can not be made: %s is a file; give a folder", dir, p)
		}
		if err == nil || p == filepath.Dir(p) {
			break
		}
		made = append(made, p)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return fmt.Errorf("the book's folder %s can not be made: %w; give a folder that this user may write to", dir, err)
	}
	for _, p := range made {
		if err := syncFolder(filepath.Dir(p)); err != nil {
			return fmt.Errorf("the book's folder %s can not be saved: %w", dir, err)
		}
	}
	return nil
}

// connect opens both handles. A file that is there is first looked at without
// a way to write, so that what is refused stays as it is. It is read as a
// whole if it has at most checkBytes, or with checkAlways.
func (b *Book) connect(checkBytes int64) (err error) {
	defer func() {
		if err != nil {
			err = errors.Join(err, b.disconnect())
		}
	}()
	info, err := os.Stat(b.path)
	switch {
	case errors.Is(err, os.ErrNotExist):
	case err != nil:
		return err
	case info.IsDir():
		return fmt.Errorf("it is a folder, not a file: move it away")
	case info.Size() > 0:
		whole := checkBytes == checkAlways || info.Size() <= checkBytes
		if _, err := probe(readOnly(b.path), whole); err != nil {
			return err
		}
	}
	if b.writer, err = openPool(address(b.path, "rwc", "immediate", pragmas()...), 1); err != nil {
		return err
	}
	if err := checkDurable(b.writer); err != nil {
		return err
	}
	if err := migrate(b.writer); err != nil {
		return err
	}
	b.reader, err = openPool(address(b.path, "ro", "deferred", append(pragmas(), "query_only(1)")...), readers)
	return err
}

func (b *Book) disconnect() error {
	var errs []error
	if b.reader != nil {
		errs = append(errs, b.reader.Close())
	}
	if b.writer != nil {
		errs = append(errs, b.writer.Close())
	}
	b.reader, b.writer = nil, nil
	return errors.Join(errs...)
}

// openPool opens a pool that keeps all its connections.
func openPool(address string, size int) (*sql.DB, error) {
	db, err := sql.Open("sqlite", address)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(size)
	db.SetMaxIdleConns(size)
	if err := db.Ping(); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return db, nil
}

// probe refuses a file that is not a book of this program's age or older, and
// gives its version.
func probe(where string, whole bool) (version int, err error) {
	db, err := openPool(where, 1)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	var id, tables int
	if err := db.QueryRow(`SELECT (SELECT application_id FROM pragma_application_id),
		(SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM sqlite_schema)`).Scan(&id, &version, &tables); err != nil {
		return 0, err
	}
	switch known := len(migrationNames()); {
	case tables == 0 && version == 0: // made, and never written to
		return 0, nil
	case id != applicationID:
		return 0, fmt.Errorf("%w but the database of another program, and was left as it is: give another folder", ErrForeign)
	case version > known:
		return 0, fmt.Errorf("%w: it has version %d, this program knows up to %d, and it was left as it is: use the newer program", ErrNewer, version, known)
	}
	if !whole {
		return version, nil
	}
	return version, quickCheck(db)
}

// quickCheck reads every page.
func quickCheck(db *sql.DB) error {
	var said string
	if err := db.QueryRow(`PRAGMA quick_check(1)`).Scan(&said); err != nil {
		return err
	}
	if said != "ok" {
		return fmt.Errorf("%w (%s), and was left as it is: move it away or put a backup in its place", ErrDamaged, strings.Join(strings.Fields(said), " "))
	}
	return nil
}

// checkDurable asks SQLite whether it does what the address asked for: a file
// system that can not hold a write-ahead log silently gets another journal.
func checkDurable(db *sql.DB) error {
	var mode string
	var level int
	if err := db.QueryRow(`SELECT (SELECT journal_mode FROM pragma_journal_mode),
		(SELECT synchronous FROM pragma_synchronous)`).Scan(&mode, &level); err != nil {
		return err
	}
	const full = 2
	if mode != "wal" || level != full {
		return fmt.Errorf("this file system gives journal %q at level %d where \"wal\" at %d is needed to survive a power cut: put the book on a local disk", mode, level, full)
	}
	return nil
}
