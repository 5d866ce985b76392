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
func (b *Book) Cups() ([]mix.Cup, error) {
	list, err := kept[mix.Cup](b, "read the measured cups", "the cup", `SELECT id, body FROM cup WHERE deleted = 0 ORDER BY id`)
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
	return b.change("keep a measured cup", func(tx *sql.Tx) error { return putBody(tx, "cup", c.ID, string(body), at.UnixMilli()) })
}

// TakeCup takes a cup off the list; found is false if it was not on it.
func (b *Book) TakeCup(id string, at time.Time) (found bool, err error) {
	return b.mark("take a cup off the list", "cup", id, true, at.UnixMilli())
}

// BringCup brings back one that was taken off the list, as it was; found is false
// if there never was such a cup or it stands there.
func (b *Book) BringCup(id string, at time.Time) (found bool, err error) {
	return b.mark("bring a cup back", "cup", id, false, at.UnixMilli())
}
