package book

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"
)

// maxKnownBytes bounds what is kept of a scale.
const maxKnownBytes = 4 << 10

// KnownScale is what was last put by PutKnownScale, one JSON object, and when
// by the clock on the wall. ok is false if there never was one.
func (b *Book) KnownScale() (body []byte, at time.Time, ok bool, err error) {
	err = b.read("read the known scale", func(db *sql.DB) error {
		var text string
		var wallMS int64
		err := db.QueryRow(`SELECT wall_ms, body FROM scale_known`).Scan(&wallMS, &text)
		switch {
		case errors.Is(err, sql.ErrNoRows):
			return nil
		case err != nil:
			return err
		case !json.Valid([]byte(text)):
			return fmt.Errorf("%w: the known scale can not be read", ErrDamaged)
		}
		body, at, ok = []byte(text), time.UnixMilli(wallMS), true
		return nil
	})
	return body, at, ok, err
}

// PutKnownScale keeps the scale that this bench works with, one JSON object of
// at most 4096 bytes, in place of the one before. It touches no event.
func (b *Book) PutKnownScale(body []byte, at time.Time) error {
	if len(body) > maxKnownBytes || !json.Valid(body) {
		return fmt.Errorf("what is known of the scale is no JSON of at most %d bytes: %.40q", maxKnownBytes, body)
	}
	b.write.Lock()
	defer b.write.Unlock()
	return b.change("keep the known scale", func(tx *sql.Tx) error {
		_, err := tx.Exec(`INSERT INTO scale_known (n, wall_ms, body) VALUES (1, ?, ?)
			ON CONFLICT (n) DO UPDATE SET wall_ms = excluded.wall_ms, body = excluded.body`, at.UnixMilli(), string(body))
		return err
	})
}
