package book

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"gramcup/mix"
)

// settingJob stands before the id of a recipe: how its paint was put on last.
const settingJob = "job:"

// PutJob keeps what a batch of a recipe was started for, in place of the one
// before: the next amount by area begins with it.
func (b *Book) PutJob(recipeID string, j mix.Job, at time.Time) error {
	if recipeID == "" || len(recipeID) > maxNameBytes {
		return fmt.Errorf("a job is kept for a recipe: its id has 1 to %d bytes", maxNameBytes)
	}
	body, err := json.Marshal(j)
	if err != nil {
		return fmt.Errorf("the job of %q can not be written: %w", recipeID, err)
	}
	b.write.Lock()
	defer b.write.Unlock()
	return b.change("keep how a recipe was put on", func(tx *sql.Tx) error {
		return putSetting(tx, settingJob+recipeID, body, at)
	})
}

// Jobs are what was put last for each recipe, by its id.
func (b *Book) Jobs() (jobs map[string]mix.UsedJob, err error) {
	jobs = map[string]mix.UsedJob{}
	err = b.read("read how recipes were put on", func(db *sql.DB) error {
		return each(db, func(rows *sql.Rows) error {
			var key, body string
			var used mix.UsedJob
			if err := rows.Scan(&key, &used.SinceMS, &body); err != nil {
				return err
			}
			if err := json.Unmarshal([]byte(body), &used.Job); err != nil {
				return fmt.Errorf("%w: the setting %q can not be read: %w", ErrDamaged, key, err)
			}
			jobs[strings.TrimPrefix(key, settingJob)] = used
			return nil
		}, `SELECT key, wall_ms, body FROM setting WHERE key GLOB 'job:*'`)
	})
	return jobs, err
}
