package book

import (
	"database/sql"
	"fmt"
	"strings"
	"time"
)

// settingWalk stands before the kind of a guided walk: what it has noted.
const settingWalk = "walk:"

// PutWalk keeps what a guided walk has noted, in place of what was kept of that
// kind before, and returns only after the commit. An empty body takes it away:
// the walk has ended. What the body means is for the walk to know.
func (b *Book) PutWalk(kind string, body []byte, at time.Time) error {
	switch {
	case kind == "" || len(kind) > maxNameBytes:
		return fmt.Errorf("a walk is kept under its kind, of 1 to %d bytes", maxNameBytes)
	case len(body) > MaxBodyBytes:
		return fmt.Errorf("what the walk %q has noted has %d bytes: at most %d are kept", kind, len(body), MaxBodyBytes)
	}
	b.write.Lock()
	defer b.write.Unlock()
	return b.change("keep what was weighed", func(tx *sql.Tx) error {
		if len(body) == 0 {
			_, err := tx.Exec(`DELETE FROM setting WHERE key = ?`, settingWalk+kind)
			return err
		}
		return putSetting(tx, settingWalk+kind, body, at)
	})
}

// Walks are what was put last for each kind of walk and not taken away.
func (b *Book) Walks() (bodies map[string][]byte, err error) {
	bodies = map[string][]byte{}
	err = b.read("read what was weighed", func(db *sql.DB) error {
		return each(db, func(rows *sql.Rows) error {
			var key string
			var body []byte
			if err := rows.Scan(&key, &body); err != nil {
				return err
			}
			bodies[strings.TrimPrefix(key, settingWalk)] = body
			return nil
		}, `SELECT key, body FROM setting WHERE key GLOB 'walk:*'`)
	})
	return bodies, err
}
