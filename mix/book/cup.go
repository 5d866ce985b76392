package book

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"gramcup/mix"
)

// Cups lists the measured cups by name, upper and lower case alike.
func (b *Book) Cups() (list []mix.Cup, err error) {
	err = b.read("read the measured cups", func(db *sql.DB) error {
		return each(db, func(rows *sql.Rows) error {
			var id string
			var body []byte
			if err := rows.Scan(&id, &body); err != nil {
				return err
			}
			var c mix.Cup
			if err := json.Unmarshal(body, &c); err != nil {
				return fmt.Errorf("%w: the cup %s can not be read: %w", ErrDamaged, id, err)
			}
			list = append(list, c)
			return nil
		}, `SELECT id, body FROM cup WHERE deleted = 0 ORDER BY id`)
	})
	slices.SortStableFunc(list, func(a, b mix.Cup) int { return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)) })
	return list, err
}

// PutCup keeps a measured cup and returns only after the commit. It refuses what
// Check refuses. A cup with its id is put in its place, also one that was taken
// away; the same once more changes nothing.
func (b *Book) PutCup(c mix.Cup, at time.Time) error {
	if err := c.Check(); err != nil {
		return err
	}
	if strings.TrimSpace(c.ID) == "" || len(c.ID) > maxNameBytes {
		return fmt.Errorf("the cup %s has no id, or one of more than %d bytes", c.Name, maxNameBytes)
	}
	body, err := json.Marshal(c)
	if err != nil {
		return fmt.Errorf("the cup %s can not be written: %w", c.Name, err)
	}
	if len(body) > MaxBodyBytes {
		return fmt.Errorf("the cup %s has %d bytes: at most %d are kept", c.Name, len(body), MaxBodyBytes)
	}
	b.write.Lock()
	defer b.write.Unlock()
	return b.change("keep a measured cup", func(tx *sql.Tx) error {
		_, err := tx.Exec(`INSERT INTO cup (id, body, changed_ms, deleted) VALUES (?, ?, ?, 0)
			ON CONFLICT (id) DO UPDATE SET body = excluded.body, changed_ms = excluded.changed_ms, deleted = 0
			WHERE body <> excluded.body OR deleted = 1`, c.ID, string(body), at.UnixMilli())
		return err
	})
}

// TakeCup takes a cup off the list; found is false if it was not on it.
func (b *Book) TakeCup(id string, at time.Time) (found bool, err error) {
	return b.markCup("take a cup off the list", id, 1, at)
}

// BringCup brings back one that was taken off the list, as it was; found is false
// if there never was such a cup or it stands there.
func (b *Book) BringCup(id string, at time.Time) (found bool, err error) {
	return b.markCup("bring a cup back", id, 0, at)
}

func (b *Book) markCup(doing, id string, deleted int, at time.Time) (found bool, err error) {
	b.write.Lock()
	defer b.write.Unlock()
	err = b.change(doing, func(tx *sql.Tx) error {
		result, err := tx.Exec(`UPDATE cup SET deleted = ?, changed_ms = ? WHERE id = ? AND deleted <> ?`, deleted, at.UnixMilli(), id, deleted)
		if err != nil {
			return err
		}
		n, err := result.RowsAffected()
		found = n > 0
		return err
	})
	return found && err == nil, err
}
