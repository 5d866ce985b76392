package book

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"gramcup/mix"
)

// Greys lists the shop's systems of undercoats by name, upper and lower case
// alike.
func (b *Book) Greys() ([]mix.GreySystem, error) {
	return b.greys(`SELECT id, body FROM grey WHERE deleted = 0 ORDER BY body ->> '$.name' COLLATE NOCASE, id`)
}

// Grey is the system with this id; found is false if there is none, or if it was
// taken away.
func (b *Book) Grey(id string) (s mix.GreySystem, found bool, err error) {
	return first(b.greys(`SELECT id, body FROM grey WHERE id = ? AND deleted = 0`, id))
}

// GreyVersions lists every body that a system ever had, the oldest first.
func (b *Book) GreyVersions(id string) ([]mix.GreySystem, error) {
	return b.greys(`SELECT id, body FROM grey_version WHERE id = ? ORDER BY version`, id)
}

func (b *Book) greys(query string, args ...any) ([]mix.GreySystem, error) {
	return kept[mix.GreySystem](b, "read the undercoats", "the undercoats", query, args...)
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
	return b.change("keep the undercoats", func(tx *sql.Tx) error { return putVersion(tx, "grey", s.ID, string(body), at.UnixMilli()) })
}

// TakeGrey takes a system away; found is false if it was not there. Its versions
// stay in the book, and PutGrey brings it back.
func (b *Book) TakeGrey(id string, at time.Time) (found bool, err error) {
	return b.mark("take undercoats away", "grey", id, true, at.UnixMilli())
}
