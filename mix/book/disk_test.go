//go:build linux

package book

import (
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// Nothing is kept of an append that found the disk full, the error says what
// to do, and the book goes on as soon as there is room. The limit is SQLite's
// own; it gives the same error as a full disk does.
func TestFullDisk(t *testing.T) {
	b := fresh(t)
	var pages int
	require.NoError(t, b.writer.QueryRow(`PRAGMA page_count`).Scan(&pages))
	limit := func(n int) {
		_, err := b.writer.Exec(fmt.Sprintf(`PRAGMA max_page_count = %d`, n))
		require.NoError(t, err)
	}
	limit(pages)
	story := recorded("b1", 1, everything()...)
	err := b.Append(story, make([]byte, 300_000), nil)
	require.ErrorContains(t, err, "the disk is full, nothing was written: free some space")
	require.Equal(t, "the disk is full, free some space", Short(err))
	require.NotErrorIs(t, err, ErrFrozen)
	got, err := b.Events("b1")
	require.NoError(t, err)
	require.Empty(t, got)

	limit(pages + 10_000)
	require.NoError(t, b.Append(story, make([]byte, 300_000), nil))
}

// A real write error: the kernel refuses to let the log grow. The book freezes,
// says so to everybody, and goes on only after Reopen. It runs in a process of
// its own, because the limit holds for all of its files.
func TestDiskError(t *testing.T) {
	said, err := childCommand("disk", t.TempDir()).CombinedOutput()
	require.NoError(t, err, string(said))
}

func diskError(dir string) error {
	signal.Ignore(syscall.SIGXFSZ)
	b, err := Open(dir)
	if err != nil {
		return err
	}
	story := recorded("b1", 1, everything()...)
	if err := b.Append(story[:5], nil, nil); err != nil {
		return err
	}
	var limit syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	tight := limit
	tight.Cur = 4096
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &tight); err != nil {
		return err
	}
	err = b.Append(story[5:7], make([]byte, 60_000), nil)
	if !errors.Is(err, ErrFrozen) || !strings.Contains(err.Error(), "the disk failed: check it") {
		return fmt.Errorf("the disk failed, and the book said: %w", err)
	}
	if err := b.Reopen(); !errors.Is(err, ErrFrozen) {
		return fmt.Errorf("the disk still fails, and Reopen said: %w", err)
	}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	if err := b.Append(story[5:7], nil, nil); !errors.Is(err, ErrFrozen) {
		return fmt.Errorf("the disk is well but was not verified, and the book said: %w", err)
	}
	if err := b.FillSample(); !errors.Is(err, ErrFrozen) {
		return fmt.Errorf("the shelf is not frozen: %w", err)
	}
	if err := b.Reopen(); err != nil {
		return err
	}
	if err := b.Append(story[5:7], nil, nil); err != nil {
		return err
	}
	if got, err := b.Events("b1"); err != nil || len(got) != 7 {
		return fmt.Errorf("%d events, want 7: %w", len(got), err)
	}
	return b.Close()
}

// Reopen does not believe a file that lost what was acknowledged.
func TestReopenMissesAnEvent(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir)
	require.NoError(t, b.Append(recorded("b1", 1, started()), nil, nil))
	require.NoError(t, b.Backup(filepath.Join(dir, "old")))
	require.NoError(t, b.Append(recorded("b1", 2, mix.CupPlaced{}), nil, nil))
	require.NoError(t, b.Reopen(), "all is there")

	for _, ending := range []string{"-wal", "-shm"} {
		require.NoError(t, os.Remove(b.Path()+ending))
	}
	require.NoError(t, os.Rename(filepath.Join(dir, "old"), b.Path()))
	err := b.Reopen()
	require.ErrorIs(t, err, ErrFrozen)
	require.ErrorIs(t, err, ErrDamaged)
	require.ErrorContains(t, err, "event 2 of batch b1 was acknowledged and is gone")
	require.ErrorIs(t, b.Append(recorded("b1", 3, mix.CupPlaced{}), nil, nil), ErrFrozen)
	require.NoError(t, b.Close())
}

// asNobody runs f with the file rights of a plain user: tests may run as root,
// whom no mode stops. The rights are those of one thread, which ends with f.
func asNobody(t *testing.T, f func()) {
	t.Helper()
	if os.Geteuid() != 0 {
		f()
		return
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		runtime.LockOSThread() // never unlocked: the thread is thrown away
		if err := syscall.Setfsuid(65534); err != nil {
			t.Error(err)
			return
		}
		f()
	}()
	<-done
}

// shut makes a path read-only for asNobody, and opens it again at the end.
func shut(t *testing.T, paths ...string) {
	t.Helper()
	for _, p := range paths {
		if os.Geteuid() == 0 {
			require.NoError(t, os.Chown(p, 65534, -1))
		}
		info, err := os.Stat(p)
		require.NoError(t, err)
		require.NoError(t, os.Chmod(p, info.Mode().Perm()&^0o222|0o055))
		t.Cleanup(func() { require.NoError(t, os.Chmod(p, 0o700)) })
	}
}

func TestReadOnlyFolder(t *testing.T) {
	top, err := os.MkdirTemp("", "book-*") // t.TempDir is below a folder for root alone
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, os.RemoveAll(top)) })
	dir := filepath.Join(top, "state")
	require.NoError(t, os.Mkdir(dir, 0o755))
	shut(t, top, dir)
	asNobody(t, func() {
		_, err := Open(dir)
		require.ErrorContains(t, err, "permission denied; let this user write to it")
		_, err = Open(filepath.Join(dir, "deeper"))
		require.ErrorContains(t, err, "permission denied; give a folder that this user may write to")
	})
}

func TestReadOnlyFile(t *testing.T) {
	top, err := os.MkdirTemp("", "book-*")
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, os.RemoveAll(top)) })
	require.NoError(t, open(t, top).Close())
	if os.Geteuid() == 0 {
		require.NoError(t, os.Chown(top, 65534, -1))
		require.NoError(t, os.Chown(filepath.Join(top, LockName), 65534, -1))
	}
	shut(t, filepath.Join(top, FileName))
	asNobody(t, func() {
		_, err := Open(top)
		require.ErrorContains(t, err, "the file or its folder is read-only: let this user write to both")
	})
}
