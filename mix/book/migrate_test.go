package book

import (
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// oldBook is a folder with the book of testdata/books/v1.sql.
func oldBook(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../../testdata/books/v1.sql")
	require.NoError(t, err)
	dir := t.TempDir()
	sqlInto(t, dir, string(text))
	return dir
}

// schemaOf is everything that a file declares.
func schemaOf(t *testing.T, db *sql.DB) []string {
	t.Helper()
	out, err := texts(db, `SELECT type || ' ' || name || ': ' || coalesce(sql, '') FROM sqlite_schema ORDER BY type, name`)
	require.NoError(t, err)
	require.NotEmpty(t, out)
	return out
}

// A book of version 1 opens, says what it said, and goes on. The expectations
// are written out here and not made by the code under test.
func TestVersion1Opens(t *testing.T) {
	b := open(t, oldBook(t))
	require.Equal(t, schemaOf(t, fresh(t).writer), schemaOf(t, b.writer), "an old book ends up like a new one")

	events, err := b.Events("batch-every-kind")
	require.NoError(t, err)
	var types []string
	for _, r := range events {
		types = append(types, r.Event.Type())
	}
	require.Equal(t, []string{
		"started", "cup-placed", "zeroed", "rested", "went-past", "went-back", "accepted", "reopened", "accepted",
		"held", "came-back", "restarted", "leveled-up", "accepted", "faulted", "completed",
	}, types)
	require.Equal(t, mix.LeveledUp{Component: 1, Amount: 115_000_000, Factor: 4.0 / 3}, events[12].Event)
	require.Equal(t, mix.Stamp{Boot: "boot-a", Mono: 1234567891, WallMS: 1_700_000_001_234}, events[0].At)
	require.Equal(t, "batch-every-kind-key-1", events[0].Key)

	packed, err := b.Trace("batch-every-kind")
	require.NoError(t, err)
	points, err := mix.UnpackTrace(packed)
	require.NoError(t, err)
	require.Equal(t, []mix.TracePoint{
		{WallMS: 1_700_000_000_000}, {WallMS: 1_700_000_000_100, Net: 1_500_000}, {WallMS: 1_700_000_001_000, Net: 568 * scale.Gram},
	}, points)

	list, err := b.Summaries(10, 0)
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, "batch-every-kind", list[0].Batch)
	require.Equal(t, mix.StateComplete, list[0].Outcome)
	require.Equal(t, 2, list[0].LevelUps)
	require.Equal(t, "Slate hardener", list[0].Components[1].Name)
	require.Equal(t, -7.0, list[0].Components[1].ErrorG)

	recipes, err := b.Recipes()
	require.NoError(t, err)
	require.Len(t, recipes, 1, "the other was taken off the shelf")
	require.Equal(t, 40, recipes[0].PotLifeMin)
	versions, err := b.RecipeVersions("slate-surfacer")
	require.NoError(t, err)
	require.Len(t, versions, 2)
	require.Equal(t, 45, versions[0].PotLifeMin)

	open, ok, err := b.Unfinished()
	require.NoError(t, err)
	require.True(t, ok)
	batch := mix.Fold(open)
	require.NoError(t, batch.Check())
	require.Equal(t, "batch-open", batch.ID)
	require.Equal(t, mix.PhasePour, batch.Phase)
	require.Equal(t, 1, batch.Current)
	require.Equal(t, 568*scale.Gram, batch.Content())
	require.Equal(t, 106*scale.Gram, batch.Layers[1].Target)
	older, err := b.OlderUnfinished()
	require.NoError(t, err)
	require.Empty(t, older)
	require.NoError(t, b.Append(recorded("batch-open", 5, mix.AbortedNow{}), nil, nil))
}

// The steps are numbered from 1 without a gap or a twin: the version of a book
// is how many it has had, so that one put in between would never be taken.
func TestStepsAreNumbered(t *testing.T) {
	for i, name := range migrationNames() {
		require.True(t, strings.HasPrefix(name, fmt.Sprintf("migrations/%04d_", i+1)), "%s is step %d: give it that number", name, i+1)
	}
}

// A step that fails leaves the book at the version before it.
func TestFailedStepLeavesNothing(t *testing.T) {
	dir := oldBook(t)
	db, err := openPool(address(filepath.Join(dir, FileName), "rw", "immediate", pragmas()...), 1)
	require.NoError(t, err)
	before := schemaOf(t, db)
	require.Error(t, setVersion(db, `CREATE TABLE half (done TEXT); CREATE TABLE event (n TEXT)`, 2))
	require.Equal(t, before, schemaOf(t, db))
	require.Equal(t, "1", pragmasOf(t, db)["user_version"])
	require.NoError(t, setVersion(db, `CREATE TABLE whole (done TEXT)`, len(migrationNames())+1))
	require.Equal(t, strconv.Itoa(len(migrationNames())+1), pragmasOf(t, db)["user_version"])
	require.NoError(t, db.Close())
	require.ErrorIs(t, refused(t, dir), ErrNewer)
}

// What a newer program wrote into an event is never half understood.
func TestNewerEvent(t *testing.T) {
	b := fresh(t)
	require.NoError(t, b.Append(recorded("b1", 1, started()), nil, nil))
	for seq, q := range []string{
		`INSERT INTO event (batch, seq, boot, mono_ns, wall_ms, key, type, version, body) VALUES ('b1', 2, '', 0, 0, '', 'rested', 2, '{}')`,
		`INSERT INTO event (batch, seq, boot, mono_ns, wall_ms, key, type, version, body) VALUES ('b2', 1, '', 0, 0, '', 'warmed', 1, '{}')`,
	} {
		_, err := b.writer.Exec(q)
		require.NoError(t, err)
		events, ok, err := b.Unfinished()
		require.ErrorContains(t, err, "use the newer program that wrote it", seq)
		require.False(t, ok)
		require.Nil(t, events)
	}
}
