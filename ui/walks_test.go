package ui

import (
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"net/http"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// benchWalks is a server with every guided walk at one desk, a scale that is
// fed by hand, and a bench that says whether it was asked to begin a batch. It
// stands in a bubble: between two weights no time goes by but that which they say.
type benchWalks struct {
	*rig
	walks *Walks
	began int
	// during runs while the bench begins a batch.
	during func()
	keys   int
}

func newBenchWalks(t *testing.T) *benchWalks {
	r := quay()
	r.ID = "quay"
	return newBenchWalksOn(t, newShelfInMemory(*r), &cupsInMemory{gone: map[string]bool{}}, &shelfOfChecks{}, nil)
}

// newBenchWalksOn is the same over what was kept; a nil book keeps no walk.
func newBenchWalksOn(t *testing.T, shelf *shelfInMemory, cups *cupsInMemory, checks *shelfOfChecks, book WalkBook) *benchWalks {
	w := &benchWalks{walks: NewWalks(nil)}
	edit := NewShelfDesk(shelf)
	begin := deskFunc(func(context.Context, mix.Command) (mix.Batch, error) {
		w.began++
		if w.during != nil {
			w.during()
		}
		return pouring().b, nil
	})
	w.rig = newStillRig(t, func(c *Config) {
		c.Shelf, c.Edit, c.Desk = shelf, edit, w.walks.Guard(begin)
		c.Check = NewCheckDesk(CheckConfig{Book: checks, Walks: w.walks, Stamp: func(t time.Time) mix.Stamp { return mix.Stamp{WallMS: t.UnixMilli()} }})
		c.Walks = w.walks
		c.Measure = NewMeasureDesk(MeasureConfig{Shelf: edit, Walks: w.walks})
		c.Cups = NewCupDesk(CupConfig{Book: cups, Walks: w.walks, NewID: func() string { return "cup-1" }})
	})
	if book != nil {
		require.NoError(t, w.walks.Keep(book, slog.New(slog.DiscardHandler)))
	}
	w.walks.Found("bench scale")
	w.shows(0)
	return w
}

// shows lets the scale stand at each of these tenths of a gram for two seconds.
func (w *benchWalks) shows(tenths ...uint64) {
	for _, n := range tenths {
		for range 20 {
			time.Sleep(100 * time.Millisecond)
			w.walks.Reading(time.Now(), scale.Reading{Number: scale.Decimal{Coefficient: n, Places: 1}, HasNumber: true, Unit: scale.UnitGram, Motion: scale.MotionStill})
		}
	}
}

// do sends a command to a walk as it is now.
func (w *benchWalks) do(path, verb, more string) Answer {
	w.t.Helper()
	w.keys++
	now := get[struct{ Version uint64 }](w.rig, path)
	return w.post(path, fmt.Sprintf(`{"key":"k-%d","version":%d,"do":%q%s}`, w.keys, now.Version, verb, more))
}

func (w *benchWalks) post(path, body string) (a Answer) {
	w.t.Helper()
	_, text := w.send(http.MethodPost, path, body, nil)
	require.NoError(w.t, json.Unmarshal([]byte(text), &a), text)
	return a
}

func (w *benchWalks) batch() Answer {
	w.t.Helper()
	w.keys++
	return w.post("/api/command", fmt.Sprintf(`{"key":"b-%d","batch":"","version":0,"do":"start","start":{"recipe_id":"quay","kind":"mass","g":200}}`, w.keys))
}

// walksAndStarts are the walks with what begins each.
var walksAndStarts = map[string]string{"/api/scale/check": withKilogram, "/api/measure": theHardener, "/api/cups": `,"temp_c":20`}

// There is one pan: while one walk needs it, the others and a batch are refused
// with what goes on and how to end it.
func TestOneWalkAtATime(t *testing.T) { synctest.Test(t, oneWalkAtATime) }

func oneWalkAtATime(t *testing.T) {
	going := map[string]string{
		"/api/scale/check": "The scale is being checked: finish or cancel that first, under Scale.",
		"/api/measure":     "A density is being measured: finish or cancel that first, under Shelf.",
		"/api/cups":        "A cup is being measured with water: finish or cancel that first, under Shelf.",
	}
	for path, start := range walksAndStarts {
		w := newBenchWalks(t)
		require.True(t, w.do(path, "start", start).OK, path)
		for other, otherStart := range walksAndStarts {
			if other == path {
				continue
			}
			a := w.do(other, "start", otherStart)
			assert.Equal(t, "not-now", a.Code, "%s during %s", other, path)
			assert.Equal(t, going[path], a.Sentence, "%s during %s", other, path)
			assert.Equal(t, going[path], get[struct {
				NotNow string `json:"not_now"`
			}](w.rig, other).NotNow, "the page says it before anybody presses")
		}
		a := w.batch()
		assert.Equal(t, "not-now", a.Code)
		assert.Equal(t, going[path], a.Sentence)
		assert.Zero(t, w.began, "the bench was not even asked")

		require.True(t, w.do(path, "cancel", "").OK)
		assert.True(t, w.batch().OK)
		assert.Equal(t, 1, w.began)
		for other, otherStart := range walksAndStarts {
			require.True(t, w.do(other, "start", otherStart).OK, "%s after %s", other, path)
			require.True(t, w.do(other, "cancel", "").OK)
		}
	}
}

// A walk that is finished needs the scale no more.
func TestAFinishedWalkLeavesThePanFree(t *testing.T) { synctest.Test(t, aFinishedWalkLeavesThePanFree) }

func aFinishedWalkLeavesThePanFree(t *testing.T) {
	w := newBenchWalks(t)
	require.True(t, w.do("/api/measure", "start", theHardener).OK)
	w.shows(420, 1418, 0, 420, 1480, 0)
	require.Equal(t, "done", get[MeasureState](w.rig, "/api/measure").Walk.Step)
	require.True(t, w.do("/api/scale/check", "start", withKilogram).OK)
	assert.Contains(t, w.do("/api/measure", "start", theHardener).Sentence, "The scale is being checked")
	require.True(t, w.do("/api/measure", "keep", "").OK, "it can still be kept")
	require.True(t, w.do("/api/scale/check", "cancel", "").OK)
	assert.True(t, w.batch().OK)
}

// No walk slips in while the bench is beginning a batch, whatever the book's
// disk takes.
func TestNoWalkBeginsWhileABatchDoes(t *testing.T) { synctest.Test(t, noWalkBeginsWhileABatchDoes) }

func noWalkBeginsWhileABatchDoes(t *testing.T) {
	w := newBenchWalks(t)
	w.during = func() {
		for path, start := range walksAndStarts {
			a := w.do(path, "start", start)
			assert.Equal(t, "not-now", a.Code)
			assert.Contains(t, a.Sentence, "A batch is in the cup", path)
		}
	}
	require.True(t, w.batch().OK)
	w.during = nil
	require.True(t, w.do("/api/measure", "start", theHardener).OK, "the bench never told of it, so it is over")
}
