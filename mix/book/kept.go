package book

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
)

// Recipes, undercoats and cups are kept alike: a table with a body of JSON for
// each id, marked where it was taken away, and for the first two a table of every
// body that an id ever had. Table names come from this package alone.

// kept reads bodies; the query gives id and body. what names one in an error.
func kept[T any](b *Book, doing, what, query string, args ...any) (list []T, err error) {
	err = b.read(doing, func(db *sql.DB) error {
		return each(db, func(rows *sql.Rows) error {
			var id string
			var body []byte
			if err := rows.Scan(&id, &body); err != nil {
				return err
			}
			var one T
			if err := json.Unmarshal(body, &one); err != nil {
				return fmt.Errorf("%w: %s %s can not be read: %w", ErrDamaged, what, id, err)
			}
			list = append(list, one)
			return nil
		}, query, args...)
	})
	return list, err
}

// first is the one of a list that has one at most.
func first[T any](list []T, err error) (one T, found bool, _ error) {
	if err != nil || len(list) == 0 {
		return one, false, err
	}
	return list[0], true, nil
}

// putVersion puts a body in place of the one with its id, and keeps it as a new
// version. The same once more changes nothing but that it is there again.
func putVersion(tx *sql.Tx, table, id, body string, nowMS int64) error {
	var old string
	var deleted bool
	err := tx.QueryRow(`SELECT body, deleted FROM `+table+` WHERE id = ?`, id).Scan(&old, &deleted)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	same := err == nil && old == body
	if same && !deleted {
		return nil
	}
	if err := putBody(tx, table, id, body, nowMS); err != nil || same {
		return err
	}
	_, err = tx.Exec(`INSERT INTO `+table+`_version (id, version, body, changed_ms)
		SELECT ?1, coalesce(max(version), 0) + 1, ?2, ?3 FROM `+table+`_version WHERE id = ?1`, id, body, nowMS)
	return err
}

// putBody puts a body in place of the one with its id, also one that was taken
// away; the same once more changes nothing.
func putBody(tx *sql.Tx, table, id, body string, nowMS int64) error {
	_, err := tx.Exec(`INSERT INTO `+table+` (id, body, changed_ms, deleted) VALUES (?, ?, ?, 0)
		ON CONFLICT (id) DO UPDATE SET body = excluded.body, changed_ms = excluded.changed_ms, deleted = 0
		WHERE body <> excluded.body OR deleted = 1`, id, body, nowMS)
	return err
}

// mark takes an id away or brings it back; found is false where it was so already,
// or there never was one.
func (b *Book) mark(doing, table, id string, deleted bool, nowMS int64) (found bool, err error) {
	b.write.Lock()
	defer b.write.Unlock()
	err = b.change(doing, func(tx *sql.Tx) error {
		result, err := tx.Exec(`UPDATE `+table+` SET deleted = ?, changed_ms = ? WHERE id = ? AND deleted <> ?`, deleted, nowMS, id, deleted)
		if err != nil {
			return err
		}
		n, err := result.RowsAffected()
		found = n > 0
		return err
	})
	return found && err == nil, err
}
