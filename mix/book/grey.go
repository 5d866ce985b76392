package book

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"gramcup/mix"
)

// Greys lists the shop's systems of undercoats by name, upper and lower case
// alike.
func (b *Book) Greys() (list []mix.GreySystem, err error) {
	return b.greys(`SELECT id, body FROM grey WHERE deleted = 0 ORDER BY body ->> '$.name' COLLATE NOCASE, id`)
}

// Grey is the system with this id; found is false if there is none, or if it was
// taken away.
func (b *Book) Grey(id string) (s mix.GreySystem, found bool, err error) {
	list, err := b.greys(`SELECT id, body FROM grey WHERE id = ? AND deleted = 0`, id)
	if err != nil || len(list) == 0 {
		return s, false, err
	}
	return list[0], true, nil
}

// GreyVersions lists every body that a system ever had, the oldest first.
func (b *Book) GreyVersions(id string) ([]mix.GreySystem, error) {
	return b.greys(`SELECT id, body FROM grey_version WHERE id = ? ORDER BY version`, id)
}

func (b *Book) greys(query string, args ...any) (list []mix.GreySystem, err error) {
	err = b.read("read the undercoats", func(db *sql.DB) error {
		return each(db, func(rows *sql.Rows) error {
			var id string
			var body []byte
			if err := rows.Scan(&id, &body); err != nil {
				return err
			}
			var s mix.GreySystem
			if err := json.Unmarshal(body, &s); err != nil {
				return fmt.Errorf("%w: the undercoats %s can not be read: %w", ErrDamaged, id, err)
			}
			list = append(list, s)
			return nil
		}, query, args...)
	})
	return list, err
}

// PutGrey keeps a system in place of the one with its id, if there is one. It
// refuses what Check refuses. Every body that it ever had stays in the book; the
// same once more changes nothing.
func (b *Book) PutGrey(s mix.GreySystem, at time.Time) error {
	if err := s.Check(); err != nil {
		return err
	}
	if strings.TrimSpace(s.ID) == "" || len(s.ID) > maxNameBytes {
		return fmt.Errorf("the undercoats %q have no id, or one of more than %d bytes", s.Name, maxNameBytes)
	}
	body, err := json.Marshal(s)
	if err != nil {
		return fmt.Errorf("the undercoats %q can not be written: %w", s.Name, err)
	}
	if len(body) > MaxBodyBytes {
		return fmt.Errorf("the undercoats %q have %d bytes: at most %d are kept", s.Name, len(body), MaxBodyBytes)
	}
	b.write.Lock()
	defer b.write.Unlock()
	return b.change("keep the undercoats", func(tx *sql.Tx) error { return putGrey(tx, s.ID, string(body), at.UnixMilli()) })
}

func putGrey(tx *sql.Tx, id, body string, atMS int64) error {
	var old string
	var deleted bool
	err := tx.QueryRow(`SELECT body, deleted FROM grey WHERE id = ?`, id).Scan(&old, &deleted)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	same := err == nil && old == body
	if same && !deleted {
		return nil
	}
	if _, err := tx.Exec(`INSERT INTO grey (id, body, changed_ms, deleted) VALUES (?, ?, ?, 0)
		ON CONFLICT (id) DO UPDATE SET body = excluded.body, changed_ms = excluded.changed_ms, deleted = 0`, id, body, atMS); err != nil || same {
		return err
	}
	_, err = tx.Exec(`INSERT INTO grey_version (id, version, body, changed_ms)
		SELECT ?1, coalesce(max(version), 0) + 1, ?2, ?3 FROM grey_version WHERE id = ?1`, id, body, atMS)
	return err
}

// TakeGrey takes a system away; found is false if it was not there. Its versions
// stay in the book, and PutGrey brings it back.
func (b *Book) TakeGrey(id string, at time.Time) (found bool, err error) {
	b.write.Lock()
	defer b.write.Unlock()
	err = b.change("take undercoats away", func(tx *sql.Tx) error {
		result, err := tx.Exec(`UPDATE grey SET deleted = 1, changed_ms = ? WHERE id = ? AND deleted = 0`, at.UnixMilli(), id)
		if err != nil {
			return err
		}
		n, err := result.RowsAffected()
		found = n > 0
		return err
	})
	return found && err == nil, err
}
