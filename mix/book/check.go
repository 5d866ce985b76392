package book

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"gramcup/mix"
	"gramcup/scale/checkup"
)

// MaxChecks is how many checks Checks gives at most.
const MaxChecks = 1000

// KeepCheck puts a finished check of a scale on disk, with every reading that
// its verdict rests on, and returns only after the commit. The very same check
// a second time, told by its stamp, is acknowledged and not written again, so
// that a keep whose outcome was in doubt can be repeated.
func (b *Book) KeepCheck(at mix.Stamp, r checkup.Record) (kept checkup.Kept, err error) {
	body, err := json.Marshal(r)
	switch {
	case err != nil:
		return kept, fmt.Errorf("the check of %s can not be written: %w", r.Scale, err)
	case len(body) > MaxBodyBytes:
		return kept, fmt.Errorf("the check of %s has %d bytes: at most %d are kept", r.Scale, len(body), MaxBodyBytes)
	case len(r.Scale) > maxNameBytes || len(at.Boot) > maxNameBytes:
		return kept, fmt.Errorf("a check has a scale or boot id of more than %d bytes", maxNameBytes)
	}
	kept = checkup.Kept{AtMS: at.WallMS, Record: r}
	b.write.Lock()
	defer b.write.Unlock()
	err = b.change("keep a check", func(tx *sql.Tx) error {
		var have []byte
		err := tx.QueryRow(`SELECT n, body FROM scale_check WHERE identity = ? AND boot = ? AND mono_ns = ?`,
			r.Scale, at.Boot, int64(at.Mono)).Scan(&kept.N, &have)
		switch {
		case err == nil && string(have) == string(body):
			return nil
		case err != nil && !errors.Is(err, sql.ErrNoRows):
			return err
		}
		return tx.QueryRow(`INSERT INTO scale_check (identity, boot, mono_ns, wall_ms, passed, body)
			VALUES (?, ?, ?, ?, ?, ?) RETURNING n`, r.Scale, at.Boot, int64(at.Mono), at.WallMS, r.Passed, string(body)).Scan(&kept.N)
	})
	return kept, err
}

// Checks lists the checks of all scales, the newest first, at most limit of
// them (1 to MaxChecks). The order is that of the book and not of the clock.
func (b *Book) Checks(limit int) (list []checkup.Kept, err error) {
	if limit < 1 || limit > MaxChecks {
		return nil, fmt.Errorf("%d checks were asked for: ask for 1 to %d", limit, MaxChecks)
	}
	return b.checks(`SELECT n, wall_ms, body FROM scale_check ORDER BY n DESC LIMIT ?`, limit)
}

// LastChecks gives the newest check of each scale, the newest of all first.
func (b *Book) LastChecks() ([]checkup.Kept, error) {
	return b.checks(`SELECT n, wall_ms, body FROM scale_check WHERE n IN (SELECT max(n) FROM scale_check GROUP BY identity)
		ORDER BY n DESC LIMIT ?`, MaxChecks)
}

// LastCheck is the newest check of one scale; found is false if it never had one.
func (b *Book) LastCheck(identity string) (k checkup.Kept, found bool, err error) {
	list, err := b.checks(`SELECT n, wall_ms, body FROM scale_check WHERE identity = ? ORDER BY n DESC LIMIT 1`, identity)
	if err != nil || len(list) == 0 {
		return k, false, err
	}
	return list[0], true, nil
}

func (b *Book) checks(query string, args ...any) (list []checkup.Kept, err error) {
	err = b.read("list the checks", func(db *sql.DB) error {
		return each(db, func(rows *sql.Rows) error {
			var k checkup.Kept
			var body []byte
			if err := rows.Scan(&k.N, &k.AtMS, &body); err != nil {
				return err
			}
			if err := json.Unmarshal(body, &k.Record); err != nil {
				return fmt.Errorf("%w: check %d can not be read: %w", ErrDamaged, k.N, err)
			}
			list = append(list, k)
			return nil
		}, query, args...)
	})
	return list, err
}
