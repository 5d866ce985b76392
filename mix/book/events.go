package book

import (
	"bytes"
	"database/sql"
	"fmt"
	"time"

	"gramcup/mix"
)

// unfinished lists the batches that have no ending event, the newest first.
const unfinished = `SELECT batch FROM event AS first WHERE seq = 1 AND NOT EXISTS
	(SELECT 1 FROM event WHERE batch = first.batch AND type IN ('completed', 'stopped', 'aborted')) ORDER BY n DESC`

// Unfinished gives the events of the newest batch that has not ended, to fold
// it back into a batch; ok is false if every batch has ended. Older unfinished
// ones are told by OlderUnfinished.
func (b *Book) Unfinished() (events []mix.Recorded, ok bool, err error) {
	err = b.read("look for the unfinished batch", func(db *sql.DB) error {
		ids, err := texts(db, unfinished+` LIMIT 1`)
		if err != nil || len(ids) == 0 {
			return err
		}
		ok = true
		events, err = eventsOf(db, ids[0])
		return err
	})
	return events, ok && err == nil, err
}

// OlderUnfinished gives the ids of the batches that have not ended and are not
// the newest such, the newest first. There should be none: a batch is ended
// before the next is started.
func (b *Book) OlderUnfinished() (ids []string, err error) {
	err = b.read("look for unfinished batches", func(db *sql.DB) (err error) {
		ids, err = texts(db, unfinished+` LIMIT -1 OFFSET 1`)
		return err
	})
	return ids, err
}

// Events gives all events of a batch in their order, none if the book does not
// know it. An event that a newer program wrote is an error.
func (b *Book) Events(batch string) (events []mix.Recorded, err error) {
	err = b.read("read events", func(db *sql.DB) (err error) {
		events, err = eventsOf(db, batch)
		return err
	})
	return events, err
}

// Trace gives the packed weight trace of a batch, all pieces joined, for
// mix.UnpackTrace; empty if there is none.
func (b *Book) Trace(batch string) (packed []byte, err error) {
	err = b.read("read a trace", func(db *sql.DB) error {
		var pieces [][]byte
		if err := each(db, func(rows *sql.Rows) error {
			var piece []byte
			if err := rows.Scan(&piece); err != nil {
				return err
			}
			pieces = append(pieces, piece)
			return nil
		}, `SELECT bytes FROM trace WHERE batch = ? ORDER BY part`, batch); err != nil {
			return err
		}
		packed = bytes.Join(pieces, nil)
		return nil
	})
	return packed, err
}

func eventsOf(db *sql.DB, batch string) ([]mix.Recorded, error) {
	var events []mix.Recorded
	err := each(db, func(rows *sql.Rows) error {
		r := mix.Recorded{Batch: batch}
		var seq, mono int64
		var typ string
		var version int
		var body []byte
		if err := rows.Scan(&seq, &r.At.Boot, &mono, &r.At.WallMS, &r.Key, &typ, &version, &body); err != nil {
			return err
		}
		r.Seq, r.At.Mono = uint64(seq), time.Duration(mono)
		if want := uint64(len(events)) + 1; r.Seq != want {
			return fmt.Errorf("%w: batch %s has event %d where %d should be: put a backup in its place", ErrDamaged, batch, r.Seq, want)
		}
		var err error
		if r.Event, err = mix.DecodeEvent(typ, version, body); err != nil {
			return fmt.Errorf("batch %s, event %d: %w", batch, seq, err)
		}
		events = append(events, r)
		return nil
	}, `SELECT seq, boot, mono_ns, wall_ms, key, type, version, body FROM event WHERE batch = ? ORDER BY seq`, batch)
	if err != nil {
		return nil, err // half a batch would fold into another one
	}
	return events, nil
}

// each calls f for every row.
func each(db *sql.DB, f func(*sql.Rows) error, query string, args ...any) error {
	rows, err := db.Query(query, args...)
	if err != nil {
		return err
	}
	defer rows.Close() // an error of the rows is in rows.Err
	for rows.Next() {
		if err := f(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

// texts gives the one column of a query.
func texts(db *sql.DB, query string, args ...any) (out []string, err error) {
	err = each(db, func(rows *sql.Rows) error {
		var s string
		if err := rows.Scan(&s); err != nil {
			return err
		}
		out = append(out, s)
		return nil
	}, query, args...)
	return out, err
}
