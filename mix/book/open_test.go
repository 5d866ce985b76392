package book

import (
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// What a connection really does, asked of SQLite itself. Values: sqlite.org,
// pragma.html (synchronous 2 is FULL).
func pragmasOf(t *testing.T, db *sql.DB) map[string]string {
	t.Helper()
	got := map[string]string{}
	for _, name := range []string{"busy_timeout", "journal_mode", "synchronous", "foreign_keys", "query_only", "application_id", "user_version"} {
		var v string
		require.NoError(t, db.QueryRow(`PRAGMA `+name).Scan(&v))
		got[name] = v
	}
	return got
}

func TestPragmas(t *testing.T) {
	b := fresh(t)
	want := map[string]string{
		"busy_timeout": "5000", "journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "query_only": "0",
		"application_id": fmt.Sprint(0x67637570), "user_version": strconv.Itoa(len(migrationNames())),
	}
	require.Equal(t, want, pragmasOf(t, b.writer))
	want["query_only"] = "1"
	// All of the pool at once, so that each has its own connection.
	ctx := t.Context()
	for range readers {
		conn, err := b.reader.Conn(ctx)
		require.NoError(t, err)
		defer func() { require.NoError(t, conn.Close()) }()
		for name, value := range want {
			var got string
			require.NoError(t, conn.QueryRowContext(ctx, `PRAGMA `+name).Scan(&got))
			require.Equal(t, value, got, name)
		}
		_, err = conn.ExecContext(ctx, `PRAGMA query_only = 0`)
		require.NoError(t, err)
		_, err = conn.ExecContext(ctx, `DELETE FROM recipe`)
		require.Error(t, err, "the file is open for reading only, whatever the pragma says")
	}
	require.Equal(t, 1, b.writer.Stats().MaxOpenConnections)
}

// The pragmas hold for a connection that the pool made anew.
func TestPragmasOfANewConnection(t *testing.T) {
	b := fresh(t)
	b.writer.SetMaxIdleConns(0) // closes it, and every one after it
	require.Equal(t, "2", pragmasOf(t, b.writer)["synchronous"])
	require.Equal(t, "wal", pragmasOf(t, b.writer)["journal_mode"])
}

func TestFolderIsForThisUserAlone(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "b")
	open(t, dir)
	for _, d := range []string{dir, filepath.Dir(dir)} {
		info, err := os.Stat(d)
		require.NoError(t, err)
		if runtime.GOOS != "windows" {
			require.Equal(t, os.FileMode(0o700), info.Mode().Perm())
		}
	}
}

func TestCloseAndOpenAgain(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir)
	story := recorded("b1", 1, everything()...)
	require.NoError(t, b.Append(story, []byte("trace"), nil))
	require.NoError(t, b.Close())
	require.NoError(t, b.Close(), "a second Close does nothing")
	require.NoFileExists(t, b.Path()+"-wal", "the log is folded in")

	_, err := b.Recipes()
	require.ErrorIs(t, err, ErrClosed)
	require.ErrorIs(t, b.Append(story, nil, nil), ErrClosed)
	require.ErrorIs(t, b.Reopen(), ErrClosed)

	got, ok, err := open(t, dir).Unfinished()
	require.NoError(t, err)
	require.True(t, ok)
	require.Equal(t, story, got)
}

func TestSeveralUnfinished(t *testing.T) {
	b := fresh(t)
	for _, id := range []string{"z-first", "m-ended", "a-last", "k-middle"} {
		require.NoError(t, b.Append(recorded(id, 1, started()), nil, nil))
	}
	require.NoError(t, b.Append(recorded("m-ended", 2, mix.AbortedNow{}, mix.Faulted{Reason: "after its end"}), nil, nil))
	require.NoError(t, b.Append(recorded("z-first", 2, mix.CupPlaced{}), nil, nil))
	got, ok, err := b.Unfinished()
	require.NoError(t, err)
	require.True(t, ok)
	require.Equal(t, recorded("k-middle", 1, started()), got, "the one that was started last, not the one written to last")
	older, err := b.OlderUnfinished()
	require.NoError(t, err)
	require.Equal(t, []string{"a-last", "z-first"}, older)
}

// refused opens a folder that must be refused, and looks that the file in it
// is byte by byte what it was.
func refused(t *testing.T, dir string) error {
	t.Helper()
	path := filepath.Join(dir, FileName)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	b, err := Open(dir)
	require.Nil(t, b)
	require.Error(t, err)
	after, readErr := os.ReadFile(path)
	require.NoError(t, readErr)
	require.Equal(t, before, after, "what is refused is left as it is")
	require.ErrorContains(t, err, path)
	// The folder is free again.
	lock, lockErr := lockFolder(dir)
	require.NoError(t, lockErr)
	require.NoError(t, lock.release())
	return err
}

func TestNotADatabase(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, FileName), []byte("a shopping list: masking tape, 400 grit, tack cloths\n"), 0o600))
	err := refused(t, dir)
	require.ErrorIs(t, err, ErrDamaged)
	require.ErrorContains(t, err, "no SQLite database, and was left as it is")
}

func TestDamagedBook(t *testing.T) {
	for name, damage := range map[string]func([]byte) []byte{
		"cut short":     func(b []byte) []byte { return b[:len(b)/2] },
		"pages of zero": func(b []byte) []byte { clear(b[2*4096:]); return b },
		"a bad pointer": func(b []byte) []byte { b[100+5] ^= 0x7f; return b },
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			b := open(t, dir)
			require.NoError(t, b.FillSample())
			require.NoError(t, b.Append(recorded("b1", 1, everything()...), make([]byte, 40_000), nil))
			require.NoError(t, b.Close())
			whole, err := os.ReadFile(b.Path())
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(b.Path(), damage(whole), 0o600))
			err = refused(t, dir)
			require.ErrorIs(t, err, ErrDamaged)
			require.ErrorContains(t, err, "was left as it is")
			require.NotContains(t, err.Error(), "\n", "a log has one line for it")
		})
	}
}

// sqlInto runs SQL on a file that is not open as a book.
func sqlInto(t *testing.T, dir, text string) {
	t.Helper()
	db, err := sql.Open("sqlite", address(filepath.Join(dir, FileName), "rwc", "deferred"))
	require.NoError(t, err)
	_, err = db.Exec(text)
	require.NoError(t, err)
	require.NoError(t, db.Close())
}

func TestNewerBook(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, open(t, dir).Close())
	sqlInto(t, dir, `PRAGMA journal_mode = DELETE; PRAGMA user_version = 99`)
	err := refused(t, dir)
	require.ErrorIs(t, err, ErrNewer)
	require.ErrorContains(t, err, fmt.Sprintf("it has version 99, this program knows up to %d", len(migrationNames())))
}

func TestAnotherProgramsDatabase(t *testing.T) {
	dir := t.TempDir()
	sqlInto(t, dir, `CREATE TABLE customer (name TEXT)`)
	err := refused(t, dir)
	require.ErrorIs(t, err, ErrForeign)
	require.ErrorContains(t, err, "give another folder")
}

func TestFolderIsAFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "state")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	for _, dir := range []string{file, filepath.Join(file, "deeper")} {
		_, err := Open(dir)
		require.ErrorContains(t, err, "is a file; give a folder")
	}
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, FileName), 0o700))
	_, err := Open(dir)
	require.ErrorContains(t, err, "it is a folder, not a file")
}

// A crash between making the file and its first table leaves an empty file.
func TestEmptyFileBecomesABook(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, FileName), nil, 0o600))
	assert.NoError(t, open(t, dir).Close())
	dir = t.TempDir()
	sqlInto(t, dir, `PRAGMA journal_mode = WAL`)
	require.NoError(t, open(t, dir).FillSample())
}

// The file itself refuses to change or delete what happened, also to a program
// that goes around this package.
func TestAppendOnly(t *testing.T) {
	b := fresh(t)
	require.NoError(t, b.FillSample())
	story := recorded("b1", 1, started(), mix.CupPlaced{}, mix.Completed{})
	require.NoError(t, b.Append(story, []byte("trace"), summaryOf("b1", 1)))
	for _, q := range []string{
		`UPDATE event SET body = '{}'`, `DELETE FROM event`, `DELETE FROM event WHERE seq = 3`,
		`INSERT OR REPLACE INTO event SELECT n, batch, seq, boot, mono_ns, wall_ms, key, type, version, '{}' FROM event`,
		`INSERT OR REPLACE INTO event SELECT n, 'b2', 1, boot, mono_ns, wall_ms, key, type, version, '{}' FROM event LIMIT 1`,
		`INSERT INTO event SELECT NULL, batch, 5, boot, mono_ns, wall_ms, key, type, version, '{}' FROM event LIMIT 1`,
		`UPDATE trace SET bytes = x''`, `DELETE FROM trace`,
		`INSERT OR REPLACE INTO trace VALUES (NULL, 'b1', 1, x'')`, `INSERT OR REPLACE INTO trace VALUES (1, 'b1', 2, x'')`,
		`UPDATE summary SET total_g = 0`, `DELETE FROM summary`,
		`UPDATE recipe_version SET body = '{}'`, `DELETE FROM recipe_version`, `DELETE FROM recipe`,
		`INSERT OR REPLACE INTO recipe_version SELECT n, id, version, '{}', 0 FROM recipe_version`,
	} {
		_, err := b.writer.Exec(q)
		require.Error(t, err, q)
	}
	got, err := b.Events("b1")
	require.NoError(t, err)
	require.Equal(t, story, got)
}

// Another program that writes to the file, a database browser for one, is told
// of, and does no harm once it is gone.
func TestAnotherProgramWrites(t *testing.T) {
	b := fresh(t)
	_, err := b.writer.Exec(`PRAGMA busy_timeout = 20`) // instead of five seconds
	require.NoError(t, err)
	other, err := sql.Open("sqlite", address(b.Path(), "rw", "immediate"))
	require.NoError(t, err)
	defer func() { require.NoError(t, other.Close()) }()
	tx, err := other.Begin()
	require.NoError(t, err)
	err = b.Append(recorded("b1", 1, started()), nil, nil)
	require.ErrorContains(t, err, "another program holds the file: close it and try again")
	require.NotErrorIs(t, err, ErrFrozen)
	require.NoError(t, tx.Rollback())
	require.NoError(t, b.Append(recorded("b1", 1, started()), nil, nil))
}
