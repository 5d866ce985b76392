// Package scaletest holds conformance suites that every part of its kind has
// to pass: Source for wires that lines come from.
package scaletest

import (
	"context"
	"io"
	"os"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"gramcup/scale"
)

// patience ends a hang and nothing else: what is waited for happens at once on an
// idle machine.
const patience = 2 * time.Minute

// Source checks that a wire behaves as a reader of scale lines relies on,
// whatever it is made of. open is called many times and must each time give a
// fresh wire on which lines of the codec come, again and again, without being
// asked for. The far end may or may not listen.
func Source(t *testing.T, codec scale.Codec, open func(ctx context.Context) (io.ReadWriteCloser, error)) {
	t.Helper()
	s := source{codec: codec, open: open}
	t.Run("lines arrive whole and decode", s.lines)
	t.Run("single bytes make the same lines", s.singleBytes)
	t.Run("only what was read is touched", s.onlyWhatWasRead)
	t.Run("close wakes a waiting reader", s.closeWakes)
	t.Run("nothing works after close", s.afterClose)
	t.Run("close may be called by many", s.closeByMany)
	t.Run("a write ends", s.writeEnds)
	t.Run("opening again gives lines again", s.reopen)
	t.Run("nothing is left behind", s.leavesNothing)
}

type source struct {
	codec scale.Codec
	open  func(ctx context.Context) (io.ReadWriteCloser, error)
}

func (s source) wire(t *testing.T) io.ReadWriteCloser {
	t.Helper()
	w, err := s.open(t.Context())
	require.NoError(t, err)
	t.Cleanup(func() { _ = w.Close() })
	return w
}

// decode reads until n lines were good, and fails when any but the first piece
// is not. It reads at most size bytes at a time.
func (s source) decode(t *testing.T, w io.Reader, n, size int) {
	t.Helper()
	watch := time.AfterFunc(patience, func() { panic("no lines come from the source") })
	defer watch.Stop()
	var held []byte
	buf := make([]byte, size)
	first := true
	for n > 0 {
		got, err := w.Read(buf)
		require.NoError(t, err)
		held = append(held, buf[:got]...)
		for {
			advance, piece, err := s.codec.Split(held, false)
			require.NoError(t, err)
			if advance == 0 {
				break
			}
			if piece != nil {
				_, err := s.codec.Decode(piece)
				if !first {
					require.NoError(t, err)
				}
				if err == nil {
					n--
				}
				first = false
			}
			held = held[advance:]
		}
	}
}

func (s source) lines(t *testing.T) { s.decode(t, s.wire(t), 20, 4096) }

func (s source) singleBytes(t *testing.T) { s.decode(t, s.wire(t), 5, 1) }

func (s source) onlyWhatWasRead(t *testing.T) {
	w := s.wire(t)
	for range 20 {
		buf := make([]byte, 64)
		for i := range buf {
			buf[i] = 0xAA
		}
		n, err := w.Read(buf[8:40])
		require.NoError(t, err)
		require.True(t, 0 <= n && n <= 32, "n is %d", n)
		for i, c := range buf {
			if i < 8 || i >= 40 {
				require.Equal(t, byte(0xAA), c, "byte %d outside the given slice was written", i)
			}
		}
	}
}

func (s source) closeWakes(t *testing.T) {
	w := s.wire(t)
	ended := make(chan error, 1)
	go func() {
		for {
			if _, err := w.Read(make([]byte, 64)); err != nil {
				ended <- err
				return
			}
		}
	}()
	time.Sleep(20 * time.Millisecond)
	require.NoError(t, w.Close())
	select {
	case err := <-ended:
		assert.Error(t, err)
	case <-time.After(patience):
		t.Fatal("Read goes on after Close")
	}
}

func (s source) afterClose(t *testing.T) {
	w := s.wire(t)
	require.NoError(t, w.Close())
	n, err := w.Read(make([]byte, 64))
	assert.Zero(t, n)
	assert.Error(t, err)
	n, err = w.Write([]byte{0x1b})
	assert.Zero(t, n)
	assert.Error(t, err)
}

func (s source) closeByMany(t *testing.T) {
	w := s.wire(t)
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() { _ = w.Close() })
	}
	all.Wait()
	_, err := w.Read(make([]byte, 1))
	assert.Error(t, err)
}

func (s source) writeEnds(t *testing.T) {
	w := s.wire(t)
	ended := make(chan struct{})
	go func() {
		// An error is fine: a recording or a printer's output does not listen.
		_, _ = w.Write([]byte{0x1b})
		close(ended)
	}()
	select {
	case <-ended:
	case <-time.After(patience):
		t.Fatal("a write of one byte hangs")
	}
	s.decode(t, w, 2, 4096)
}

func (s source) reopen(t *testing.T) {
	for range 5 {
		w := s.wire(t)
		s.decode(t, w, 2, 4096)
		require.NoError(t, w.Close())
	}
}

// leavesNothing counts goroutines, and descriptors where the system lists
// them. The far end may need a moment to notice, so both may settle.
func (s source) leavesNothing(t *testing.T) {
	before := descriptors()
	leaks := goleak.IgnoreCurrent()
	for range 10 {
		w, err := s.open(t.Context())
		require.NoError(t, err)
		s.decode(t, w, 1, 4096)
		require.NoError(t, w.Close())
	}
	NoGoroutines(t, leaks)
	for deadline := time.Now().Add(patience); descriptors() > before; time.Sleep(time.Millisecond) {
		require.True(t, time.Now().Before(deadline), "%d descriptors are left open", descriptors()-before)
	}
}

// descriptors is 0 where the system does not list them.
func descriptors() int {
	entries, _ := os.ReadDir("/proc/self/fd")
	return len(entries)
}
