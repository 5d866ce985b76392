package book

import (
	"database/sql"
	"embed"
	"fmt"
	"io/fs"
)

// The numbered steps from an empty file to today's. One that was released is
// never changed; a further one is added.
//
//go:embed migrations/*.sql
var migrations embed.FS

// migrationNames lists the steps in their order; its length is the version of
// a book that has had them all.
func migrationNames() []string {
	names, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil {
		return nil // the pattern is a constant and is well formed
	}
	return names
}

// migrate takes the steps that are missing, each in a transaction with its
// number. The number is written at every opening: SQLite falls back to reading
// where it may not write, and would say so only at the first event.
func migrate(db *sql.DB) error {
	var version int
	if err := db.QueryRow(`PRAGMA user_version`).Scan(&version); err != nil {
		return err
	}
	names := migrationNames()
	for i := version; i < len(names); i++ {
		step, err := migrations.ReadFile(names[i])
		if err != nil {
			return err
		}
		if err := setVersion(db, string(step), i+1); err != nil {
			return fmt.Errorf("bring it from version %d to %d: %w", i, i+1, err)
		}
	}
	return setVersion(db, "", len(names))
}

func setVersion(db *sql.DB, step string, version int) error {
	_, err := transact(db, func(tx *sql.Tx) error {
		_, err := tx.Exec(step + fmt.Sprintf("\n;PRAGMA user_version = %d", version))
		return err
	})
	return err
}
