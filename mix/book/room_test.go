//go:build linux

package book

import (
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A disk with room has room, and nothing is left of the look.
func TestRoom(t *testing.T) {
	dir := t.TempDir()
	b := open(t, dir)
	before := folderOf(t, dir)
	require.NoError(t, b.Room())
	require.Equal(t, before, folderOf(t, dir))
	require.NoError(t, b.Close())
	require.ErrorIs(t, b.Room(), ErrClosed)
	require.ErrorIs(t, look(t, dir).Room(), ErrLooking)

	free, known, err := freeBytes(dir)
	require.NoError(t, err)
	require.True(t, known)
	require.Greater(t, free, uint64(LeastFreeBytes), "these tests need more than that")
	_, _, err = freeBytes(filepath.Join(dir, "gone"))
	require.ErrorIs(t, err, os.ErrNotExist)
}

// The kernel refuses to let a file grow, as it does on a full disk or beyond a
// quota; a process of its own, because the limit holds for all of its files.
func TestNoRoom(t *testing.T) {
	said, err := childCommand("room", t.TempDir()).CombinedOutput()
	require.NoError(t, err, string(said))
}

func noRoom(dir string) error {
	signal.Ignore(syscall.SIGXFSZ)
	b, err := Open(dir)
	if err != nil {
		return err
	}
	if err := b.Room(); err != nil {
		return fmt.Errorf("there is room, and the book said: %w", err)
	}
	var limit syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	tight := limit
	tight.Cur = probeBytes / 2
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &tight); err != nil {
		return err
	}
	err = b.Room()
	if !errors.Is(err, syscall.EFBIG) || Short(err) != "the disk is full, free some space" {
		return fmt.Errorf("there is no room, and the book said %q: %w", Short(err), err)
	}
	if _, err := os.Stat(filepath.Join(dir, ProbeName)); !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("half a file was left: %w", err)
	}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	if err := b.Room(); err != nil {
		return fmt.Errorf("there is room again, and the book said: %w", err)
	}
	return errors.Join(b.Append(recorded("b1", 1, started()), nil, nil), b.Close())
}

// A folder that became read-only, as a card does that begins to fail.
func TestNoRoomInAReadOnlyFolder(t *testing.T) {
	top, err := os.MkdirTemp("", "book-*") // t.TempDir is below a folder for root alone
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, os.RemoveAll(top)) })
	b := open(t, top)
	shut(t, top)
	asNobody(t, func() {
		err := b.Room()
		require.ErrorIs(t, err, os.ErrPermission)
		require.ErrorContains(t, err, "beside the book can not be written")
		require.Equal(t, "its folder can not be written", Short(err))
	})
}

// What a page says of each trouble.
func TestShortOfTheDisk(t *testing.T) {
	for short, err := range map[string]error{
		"the disk is nearly full, free some space": ErrNoRoom,
		"the disk is full, free some space":        &os.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC},
		"its folder can not be written":            &os.PathError{Op: "open", Path: "x", Err: syscall.EROFS},
		"its disk failed, have it checked":         &os.PathError{Op: "sync", Path: "x", Err: syscall.EIO},
		"":                                         errors.New("something else"),
	} {
		require.Equal(t, short, Short(fmt.Errorf("look: %w", err)))
	}
}
