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

// Recipes lists the shelf by name, upper and lower case alike.
func (b *Book) Recipes() (list []mix.Recipe, err error) {
	err = b.read("read the shelf", func(db *sql.DB) error {
		return each(db, func(rows *sql.Rows) error {
			r, err := scanRecipe(rows)
			list = append(list, r)
			return err
		}, `SELECT id, body FROM recipe WHERE deleted = 0 ORDER BY body ->> '$.name' COLLATE NOCASE, id`)
	})
	return list, err
}

// Recipe is the one with this id; found is false if there is none, or if it
// was taken off the shelf.
func (b *Book) Recipe(id string) (r mix.Recipe, found bool, err error) {
	err = b.read("read a recipe", func(db *sql.DB) error {
		return each(db, func(rows *sql.Rows) (err error) {
			r, err = scanRecipe(rows)
			found = err == nil
			return err
		}, `SELECT id, body FROM recipe WHERE id = ? AND deleted = 0`, id)
	})
	return r, found, err
}

func scanRecipe(rows *sql.Rows) (r mix.Recipe, err error) {
	var id string
	var body []byte
	if err := rows.Scan(&id, &body); err != nil {
		return r, err
	}
	if err := json.Unmarshal(body, &r); err != nil {
		return r, fmt.Errorf("%w: recipe %s can not be read: %w", ErrDamaged, id, err)
	}
	return r, nil
}

// PutRecipe puts a recipe on the shelf, in place of the one with its id if
// there is one. It refuses what Check refuses. Every body that a recipe ever
// had stays in the book; the same once more changes nothing.
func (b *Book) PutRecipe(r mix.Recipe) error {
	body, err := encodeRecipe(r)
	if err != nil {
		return err
	}
	b.write.Lock()
	defer b.write.Unlock()
	return b.change("put a recipe on the shelf", func(tx *sql.Tx) error {
		return putRecipe(tx, r.ID, body, time.Now().UnixMilli())
	})
}

// TakeRecipe takes a recipe off the shelf; found is false if it was not there.
// Its versions stay in the book, and PutRecipe brings it back.
func (b *Book) TakeRecipe(id string) (found bool, err error) {
	b.write.Lock()
	defer b.write.Unlock()
	err = b.change("take a recipe off the shelf", func(tx *sql.Tx) error {
		result, err := tx.Exec(`UPDATE recipe SET deleted = 1, changed_ms = ? WHERE id = ? AND deleted = 0`, time.Now().UnixMilli(), id)
		if err != nil {
			return err
		}
		n, err := result.RowsAffected()
		found = n > 0
		return err
	})
	return found && err == nil, err
}

// RecipeVersions lists every body that a recipe ever had, the oldest first.
func (b *Book) RecipeVersions(id string) (list []mix.Recipe, err error) {
	err = b.read("read the versions of a recipe", func(db *sql.DB) error {
		return each(db, func(rows *sql.Rows) error {
			r, err := scanRecipe(rows)
			list = append(list, r)
			return err
		}, `SELECT id, body FROM recipe_version WHERE id = ? ORDER BY version`, id)
	})
	return list, err
}

// FillSample puts the sample shelf into a book that never had a recipe. A shelf
// that was emptied on purpose stays empty.
func (b *Book) FillSample() error {
	b.write.Lock()
	defer b.write.Unlock()
	return b.change("fill the sample shelf", func(tx *sql.Tx) error {
		var n int
		if err := tx.QueryRow(`SELECT count(*) FROM recipe`).Scan(&n); err != nil || n > 0 {
			return err
		}
		for _, r := range Sample() {
			body, err := encodeRecipe(r)
			if err != nil {
				return err
			}
			if err := putRecipe(tx, r.ID, body, time.Now().UnixMilli()); err != nil {
				return err
			}
		}
		return nil
	})
}

func encodeRecipe(r mix.Recipe) ([]byte, error) {
	if err := r.Check(); err != nil {
		return nil, err
	}
	if strings.TrimSpace(r.ID) == "" || len(r.ID) > maxNameBytes {
		return nil, fmt.Errorf("recipe %q has no id, or one of more than %d bytes: give it a short one that no other recipe has", r.Name, maxNameBytes)
	}
	body, err := json.Marshal(r)
	if err != nil {
		return nil, fmt.Errorf("recipe %q can not be written: %w", r.Name, err)
	}
	if len(body) > MaxBodyBytes {
		return nil, fmt.Errorf("recipe %q has %d bytes: at most %d are kept, shorten its note", r.Name, len(body), MaxBodyBytes)
	}
	return body, nil
}

func putRecipe(tx *sql.Tx, id string, body []byte, nowMS int64) error {
	var old string
	var deleted bool
	err := tx.QueryRow(`SELECT body, deleted FROM recipe WHERE id = ?`, id).Scan(&old, &deleted)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return err
	}
	same := err == nil && old == string(body)
	if same && !deleted {
		return nil
	}
	if _, err := tx.Exec(`INSERT INTO recipe (id, body, changed_ms, deleted) VALUES (?, ?, ?, 0)
		ON CONFLICT (id) DO UPDATE SET body = excluded.body, changed_ms = excluded.changed_ms, deleted = 0`, id, string(body), nowMS); err != nil || same {
		return err
	}
	_, err = tx.Exec(`INSERT INTO recipe_version (id, version, body, changed_ms)
		SELECT ?1, coalesce(max(version), 0) + 1, ?2, ?3 FROM recipe_version WHERE id = ?1`, id, string(body), nowMS)
	return err
}
