package book

import (
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"time"

	"gramcup/mix"
)

// Limits of one append. They are far above what a bench makes, and keep a
// fault of the program from filling the disk.
const (
	MaxEvents    = 64       // events in one append
	MaxBodyBytes = 64 << 10 // of one event or recipe, as JSON
	MaxTrace     = 1 << 20  // bytes of trace in one append; stored in pieces of mix.MaxTracePiece
	maxNameBytes = 4 << 10  // of a batch id, boot id or key
)

// row is an event as it is stored.
type row struct {
	mix.Recorded
	version int
	body    []byte
}

// Append puts events of one batch on disk, with the piece of its trace since
// the last append (which may be empty) and, with the event that ends it, its
// summary: all of it or nothing. It returns only after the commit.
//
// Events must continue those in the book without a gap (ErrOutOfStep). The
// very same events a second time are acknowledged and not written again, so an
// append whose outcome was in doubt can be repeated after Reopen. After a disk
// error it refuses everything with ErrFrozen until then; the error that
// reports the failure is an ErrFrozen too. A full disk is an error but does
// not freeze.
func (b *Book) Append(events []mix.Recorded, trace []byte, summary *mix.Summary) error {
	rows, err := encode(events, trace, summary)
	if err != nil {
		return fmt.Errorf("append to book %s: %w", b.path, err)
	}
	b.write.Lock()
	defer b.write.Unlock()
	refused := false
	began := time.Now()
	err = b.change("append", func(tx *sql.Tx) error {
		known, err := inStep(tx, rows)
		if err != nil || known {
			refused = errors.Is(err, ErrOutOfStep)
			return err
		}
		return store(tx, rows, trace, summary)
	})
	if !refused && !errors.Is(err, ErrClosed) {
		b.observe(time.Since(began))
	}
	if err == nil {
		newest := events[len(events)-1]
		b.last = place{newest.Batch, newest.Seq}
	}
	return err
}

// encode checks what can be checked without the file.
func encode(events []mix.Recorded, trace []byte, summary *mix.Summary) ([]row, error) {
	if n := len(events); n < 1 || n > MaxEvents {
		return nil, fmt.Errorf("%d events: give 1 to %d", n, MaxEvents)
	}
	if len(trace) > MaxTrace {
		return nil, fmt.Errorf("the trace has %d bytes: give at most %d", len(trace), MaxTrace)
	}
	first, ended := events[0], false
	rows := make([]row, len(events))
	for i, r := range events {
		body, err := encodeEvent(r, first, i)
		if err != nil {
			return nil, err
		}
		rows[i] = row{Recorded: r, version: mix.EventVersion, body: body}
		switch r.Event.(type) {
		case mix.Completed, mix.StoppedEarly, mix.AbortedNow:
			ended = true
		}
	}
	if summary != nil && (summary.Batch != first.Batch || !ended) {
		return nil, fmt.Errorf("a summary of batch %q comes with events of batch %q that do not end it: give it with the ending event", summary.Batch, first.Batch)
	}
	return rows, nil
}

func encodeEvent(r, first mix.Recorded, i int) ([]byte, error) {
	switch {
	case r.Event == nil:
		return nil, fmt.Errorf("event %d of the append is nil: give an event", i+1)
	case r.Batch == "" || r.Batch != first.Batch:
		return nil, fmt.Errorf("event %d of the append is of batch %q, the first of %q: give one batch, and its id", i+1, r.Batch, first.Batch)
	case first.Seq < 1 || r.Seq != first.Seq+uint64(i) || r.Seq > math.MaxInt64:
		return nil, fmt.Errorf("%w: number %d of an append that begins at %d has sequence %d: they count up from 1", ErrOutOfStep, i+1, first.Seq, r.Seq)
	case len(r.Batch) > maxNameBytes || len(r.Key) > maxNameBytes || len(r.At.Boot) > maxNameBytes:
		return nil, fmt.Errorf("event %d has a batch id, boot id or key of more than %d bytes", r.Seq, maxNameBytes)
	}
	body, err := mix.EncodeEvent(r.Event)
	if err != nil {
		return nil, fmt.Errorf("event %d (%s) of batch %s can not be written: %w", r.Seq, r.Event.Type(), r.Batch, err)
	}
	if len(body) > MaxBodyBytes {
		return nil, fmt.Errorf("event %d (%s) of batch %s has %d bytes: at most %d are kept", r.Seq, r.Event.Type(), r.Batch, len(body), MaxBodyBytes)
	}
	return body, nil
}

// inStep tells whether the book holds exactly these events already. It is an
// error if they neither continue the batch nor are all there.
func inStep(tx *sql.Tx, rows []row) (known bool, err error) {
	first, last := rows[0], rows[len(rows)-1]
	var have int64
	if err := tx.QueryRow(`SELECT coalesce(max(seq), 0) FROM event WHERE batch = ?`, first.Batch).Scan(&have); err != nil {
		return false, err
	}
	if first.Seq == uint64(have)+1 {
		return false, nil
	}
	if last.Seq <= uint64(have) {
		same := 0
		for _, r := range rows {
			var n int
			if err := tx.QueryRow(`SELECT count(*) FROM event WHERE batch = ? AND seq = ? AND boot = ? AND mono_ns = ?
				AND wall_ms = ? AND key = ? AND type = ? AND version = ? AND body = ?`, r.values()...).Scan(&n); err != nil {
				return false, err
			}
			same += n
		}
		if same == len(rows) {
			return true, nil
		}
	}
	return false, fmt.Errorf("%w: batch %s has %d events there and the new ones begin at %d, where %d is next: open the batch again from the book",
		ErrOutOfStep, first.Batch, have, first.Seq, have+1)
}

func (r row) values() []any {
	return []any{r.Batch, int64(r.Seq), r.At.Boot, int64(r.At.Mono), r.At.WallMS, r.Key, r.Event.Type(), r.version, string(r.body)}
}

func store(tx *sql.Tx, rows []row, trace []byte, summary *mix.Summary) error {
	for _, r := range rows {
		if _, err := tx.Exec(`INSERT INTO event (batch, seq, boot, mono_ns, wall_ms, key, type, version, body)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`, r.values()...); err != nil {
			return err
		}
	}
	// Pieces are joined when they are read, so a cut may fall anywhere.
	for len(trace) > 0 {
		piece := trace[:min(len(trace), mix.MaxTracePiece)]
		trace = trace[len(piece):]
		if _, err := tx.Exec(`INSERT INTO trace (batch, part, bytes)
			SELECT ?1, coalesce(max(part), 0) + 1, ?2 FROM trace WHERE batch = ?1`, rows[0].Batch, piece); err != nil {
			return err
		}
	}
	if summary == nil {
		return nil
	}
	return storeSummary(tx, summary)
}

func storeSummary(tx *sql.Tx, s *mix.Summary) error {
	components := s.Components
	if components == nil {
		components = []mix.SummaryLine{}
	}
	lines, err := json.Marshal(components)
	if err != nil {
		return fmt.Errorf("the summary of batch %s can not be written: %w", s.Batch, err)
	}
	more, err := json.Marshal(s.SummaryMore)
	if err != nil {
		return fmt.Errorf("the summary of batch %s can not be written: %w", s.Batch, err)
	}
	_, err = tx.Exec(`INSERT INTO summary (batch, recipe, recipe_id, outcome, on_the_line, started_boot, started_mono_ns,
		started_wall_ms, ended_boot, ended_mono_ns, ended_wall_ms, level_ups, total_g, total_ml, components, more)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		s.Batch, s.Recipe, s.RecipeID, string(s.Outcome), s.OnTheLine,
		s.Started.Boot, int64(s.Started.Mono), s.Started.WallMS, s.Ended.Boot, int64(s.Ended.Mono), s.Ended.WallMS,
		s.LevelUps, s.TotalG, s.TotalML, string(lines), string(more))
	return err
}
