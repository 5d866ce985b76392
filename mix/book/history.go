package book

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"time"

	"gramcup/mix"
)

// MaxSummaries is how many rows Summaries gives at most.
const MaxSummaries = 1000

// Summaries lists ended batches in the order in which they ended, the newest
// first, at most limit of them (1 to MaxSummaries). before, if not 0, goes on
// from there: it is the Unix time in milliseconds at which the last listed
// batch ended, or any time. The order is that of the book and not of the
// clock, so a batch that was mixed while the clock was wrong keeps its place.
func (b *Book) Summaries(limit int, before int64) (list []mix.Summary, err error) {
	if limit < 1 || limit > MaxSummaries {
		return nil, fmt.Errorf("%d summaries were asked for: ask for 1 to %d", limit, MaxSummaries)
	}
	err = b.read("list ended batches", func(db *sql.DB) error {
		const columns = `SELECT batch, recipe, recipe_id, outcome, on_the_line, started_boot, started_mono_ns, started_wall_ms,
			ended_boot, ended_mono_ns, ended_wall_ms, level_ups, total_g, total_ml, components, more FROM summary `
		add := func(rows *sql.Rows) error {
			s, err := scanSummary(rows)
			list = append(list, s)
			return err
		}
		if before == 0 {
			return each(db, add, columns+`ORDER BY n DESC LIMIT ?`, limit)
		}
		// A time that is the end of a row stands for that row; any other is
		// compared with the clock.
		var n sql.NullInt64
		if err := db.QueryRow(`SELECT min(n) FROM summary WHERE ended_wall_ms = ?`, before).Scan(&n); err != nil {
			return err
		}
		if n.Valid {
			return each(db, add, columns+`WHERE n < ? ORDER BY n DESC LIMIT ?`, n.Int64, limit)
		}
		return each(db, add, columns+`WHERE ended_wall_ms < ? ORDER BY n DESC LIMIT ?`, before, limit)
	})
	return list, err
}

func scanSummary(rows *sql.Rows) (s mix.Summary, err error) {
	var outcome string
	var started, ended int64
	var lines, more []byte
	if err := rows.Scan(&s.Batch, &s.Recipe, &s.RecipeID, &outcome, &s.OnTheLine, &s.Started.Boot, &started, &s.Started.WallMS,
		&s.Ended.Boot, &ended, &s.Ended.WallMS, &s.LevelUps, &s.TotalG, &s.TotalML, &lines, &more); err != nil {
		return s, err
	}
	s.Outcome = mix.State(outcome)
	s.Started.Mono, s.Ended.Mono = time.Duration(started), time.Duration(ended)
	if err := json.Unmarshal(lines, &s.Components); err != nil {
		return s, fmt.Errorf("%w: the summary of batch %s can not be read: %w", ErrDamaged, s.Batch, err)
	}
	if err := json.Unmarshal(more, &s.SummaryMore); err != nil {
		return s, fmt.Errorf("%w: the summary of batch %s can not be read: %w", ErrDamaged, s.Batch, err)
	}
	return s, nil
}
