package book

import (
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// Backup writes a whole copy of the book to path while it stays in use, reads
// it back, and has it on disk before it returns. It refuses a path where
// something is already. The copy becomes a book when it is put as book.db into
// a folder of its own.
func (b *Book) Backup(path string) error {
	path, err := filepath.Abs(path)
	if err != nil {
		return fmt.Errorf("back up to %s: %w", path, err)
	}
	if err := free(path); err != nil {
		return err
	}
	// Under another name first: a copy that a power cut broke off must not
	// look like a backup.
	f, err := os.CreateTemp(filepath.Dir(path), ".gramcup-*.part")
	if err != nil {
		return fmt.Errorf("back up to %s: %w; give a folder that is there and that this user may write to", path, err)
	}
	part := f.Name()
	defer func() { _ = os.Remove(part) }() // gone already after a success
	if err := f.Close(); err != nil {
		return fmt.Errorf("back up to %s: %w", path, err)
	}
	if err := b.read("copy", func(*sql.DB) error { return vacuumInto(readOnly(b.path), part) }); err != nil {
		return fmt.Errorf("back up to %s: %w", path, err)
	}
	if _, err := probe(readOnly(part), true); err != nil {
		return fmt.Errorf("the backup for %s does not read back: %w", path, explain(err))
	}
	return settle(part, path)
}

// vacuumInto copies through a connection of its own, so that neither an append
// nor a question waits for it. It can not write to the book itself; query_only
// would refuse the copy too.
func vacuumInto(where, part string) (err error) {
	db, err := openPool(where, 1)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	_, err = db.Exec(`VACUUM INTO ?`, part)
	return err
}

// free refuses a name that is taken.
func free(path string) error {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s is there already and is not overwritten: give another name for the backup: %w", path, os.ErrExist)
	} else if !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("back up to %s: %w", path, err)
	}
	return nil
}

// settle has the finished copy on disk and gives it its name.
func settle(part, path string) error {
	f, err := os.OpenFile(part, os.O_RDWR, 0)
	if err == nil {
		err = errors.Join(f.Sync(), f.Close())
	}
	if err == nil {
		err = name(part, path)
	}
	if err == nil {
		err = syncFolder(filepath.Dir(path))
	}
	if err != nil {
		return fmt.Errorf("back up to %s: %w", path, err)
	}
	return nil
}

// name never replaces a file: a link fails where one is. File systems without
// links, as on many sticks, get a look and a rename.
func name(part, path string) error {
	err := os.Link(part, path)
	if err == nil {
		return os.Remove(part)
	}
	if errors.Is(err, os.ErrExist) {
		return free(path)
	}
	if err := free(path); err != nil {
		return err
	}
	return os.Rename(part, path)
}
