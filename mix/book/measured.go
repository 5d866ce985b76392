package book

import (
	"database/sql"
	"errors"
	"fmt"
	"time"

	"gramcup/mix"
	"gramcup/scale"
)

// MeasuredScale is what the book knows of the scale that its bench works on, out
// of the batches that were started on it.
type MeasuredScale struct {
	At       time.Time // of the batch that it was last noted with
	Division scale.Mass
	Noise    scale.Mass    // what it scatters by at rest, where Stills is above 0
	Stills   int           // how many stretches of stillness that was measured in
	Repeats  scale.Repeats // what its last kept check had measured, as the newest batch says
}

// MeasuredScale takes the division of the newest batch, and the noise of the
// newest that was started on a scale of that division whose noise was known.
// found is false where no batch was ever started.
func (b *Book) MeasuredScale() (m MeasuredScale, found bool, err error) {
	err = b.read("look for the measured scale", func(db *sql.DB) error {
		const newest = ` ORDER BY n DESC LIMIT 1`
		const starts = `SELECT wall_ms, type, version, body FROM event WHERE seq = 1`
		last, ok, err := startedAt(db.QueryRow(starts + newest))
		if err != nil || !ok {
			return err
		}
		m, found = last, true
		if last.Stills > 0 {
			return nil
		}
		measured, ok, err := startedAt(db.QueryRow(starts+` AND json_extract(body, '$.division_ug') = ?
			AND json_extract(body, '$.stills') > 0`+newest, int64(last.Division)))
		if ok {
			m, m.Repeats = measured, last.Repeats
		}
		return err
	})
	return m, found && err == nil, err
}

// startedAt is what the first event of a batch says of the scale.
func startedAt(row *sql.Row) (m MeasuredScale, ok bool, err error) {
	var wallMS int64
	var typ string
	var version int
	var body []byte
	if err := row.Scan(&wallMS, &typ, &version, &body); errors.Is(err, sql.ErrNoRows) {
		return m, false, nil
	} else if err != nil {
		return m, false, err
	}
	e, err := mix.DecodeEvent(typ, version, body)
	if err != nil {
		return m, false, err
	}
	s, ok := e.(mix.Started)
	if !ok {
		return m, false, fmt.Errorf("%w: a batch begins with %q", ErrDamaged, typ)
	}
	return MeasuredScale{At: time.UnixMilli(wallMS), Division: s.Division, Noise: s.Noise, Stills: s.Stills, Repeats: s.Repeats}, s.Division > 0, nil
}
