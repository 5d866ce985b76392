package book

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"gramcup/mix"
)

// Recipes lists the shelf by name, upper and lower case alike.
func (b *Book) Recipes() ([]mix.Recipe, error) {
	return kept[mix.Recipe](b, "read the shelf", "recipe", `SELECT id, body FROM recipe WHERE deleted = 0 ORDER BY body ->> '$.name' COLLATE NOCASE, id`)
}

// Recipe is the one with this id; found is false if there is none, or if it
// was taken off the shelf.
func (b *Book) Recipe(id string) (r mix.Recipe, found bool, err error) {
	return first(kept[mix.Recipe](b, "read a recipe", "recipe", `SELECT id, body FROM recipe WHERE id = ? AND deleted = 0`, id))
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
		return putVersion(tx, "recipe", r.ID, string(body), time.Now().UnixMilli())
	})
}

// TakeRecipe takes a recipe off the shelf; found is false if it was not there.
// Its versions stay in the book, and PutRecipe brings it back.
func (b *Book) TakeRecipe(id string) (found bool, err error) {
	return b.mark("take a recipe off the shelf", "recipe", id, true, time.Now().UnixMilli())
}

// RecipeVersions lists every body that a recipe ever had, the oldest first.
func (b *Book) RecipeVersions(id string) ([]mix.Recipe, error) {
	return kept[mix.Recipe](b, "read the versions of a recipe", "recipe", `SELECT id, body FROM recipe_version WHERE id = ? ORDER BY version`, id)
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
			if err := putVersion(tx, "recipe", r.ID, string(body), time.Now().UnixMilli()); err != nil {
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
