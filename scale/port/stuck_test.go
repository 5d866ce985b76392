package port

import (
	"context"
	"io"
	"net"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// bare hides everything of a connection but the three methods, above all its
// deadlines.
type bare struct{ io.ReadWriteCloser }

// A write that hangs without any limit of its own is given up after a second;
// the readings flow on, and the next commands say that the scale is busy.
func TestAWriteThatNeverEnds(t *testing.T) {
	for name, wrap := range map[string]func(net.Conn) io.ReadWriteCloser{
		"without deadlines": func(c net.Conn) io.ReadWriteCloser { return bare{c} },
		"with deadlines":    func(c net.Conn) io.ReadWriteCloser { return c },
	} {
		t.Run(name, func(t *testing.T) {
			bubble(t, func(t *testing.T) {
				near, far := net.Pipe() // nobody ever reads from far
				frame := (&benchScale{codec: smaCodec(), tenths: 4126}).frame()
				d := newDiary(t)
				p, stop := start(t, Config{Codec: smaCodec(), Open: func(context.Context) (io.ReadWriteCloser, error) {
					return wrap(near), nil
				}}, d)
				sendFor(t, far, frame, time.Second)
				require.NoError(t, p.Ask(scale.RequestTare))
				sendFor(t, far, frame, 1500*time.Millisecond)
				assert.Equal(t, uint64(1), p.Stats().WritesAbandoned)
				assert.Len(t, d.all("reading"), 25, "no frame waited for the write")
				if name == "without deadlines" {
					assert.ErrorIs(t, p.Ask(scale.RequestTare), ErrBusy)
				} else {
					assert.NoError(t, p.Ask(scale.RequestTare), "the writer is free again")
				}
				stop()
				assert.Empty(t, d.all("lost"))
			})
		})
	}
}

// sendFor sends a frame every 100 ms.
func sendFor(t *testing.T, w io.Writer, frame []byte, d time.Duration) {
	t.Helper()
	for range d / (100 * time.Millisecond) {
		_, err := w.Write(frame)
		require.NoError(t, err)
		time.Sleep(100 * time.Millisecond)
	}
}

// A command that waits behind a hanging one gets too old and is dropped: a
// tare must never come late.
func TestAnOldCommandIsDropped(t *testing.T) {
	bubble(t, func(t *testing.T) {
		near, far := net.Pipe()
		frame := (&benchScale{codec: smaCodec(), tenths: 4126}).frame()
		d := newDiary(t)
		p, stop := start(t, Config{Codec: smaCodec(), Open: func(context.Context) (io.ReadWriteCloser, error) {
			return bare{near}, nil
		}}, d)
		sendFor(t, far, frame, 500*time.Millisecond)
		require.NoError(t, p.Ask(scale.RequestZero))
		require.NoError(t, p.Ask(scale.RequestTare))
		sendFor(t, far, frame, 1500*time.Millisecond)
		// Now the scale wakes up and reads.
		heard := make(chan string, 1)
		go func() {
			all, _ := io.ReadAll(far)
			heard <- string(all)
		}()
		sendFor(t, far, frame, time.Second)
		assert.Equal(t, uint64(1), p.Stats().CommandsDropped)
		stop()
		zero, _ := smaCodec().Request(nil, scale.RequestZero)
		assert.Equal(t, string(zero), <-heard)
	})
}

// sticky is a connection whose Close does not return before it is let go.
type sticky struct {
	net.Conn
	letGo chan struct{}
}

func (s sticky) Close() error {
	<-s.letGo
	return s.Conn.Close()
}

// A close that hangs, as a line that does not drain can make it, is left to
// itself; what still comes on the old wire is not heard any more.
func TestACloseThatHangs(t *testing.T) {
	bubble(t, func(t *testing.T) {
		near, far := net.Pipe()
		letGo := make(chan struct{})
		b := &benchScale{codec: smaCodec(), tenths: 4126}
		second := b.pipes()
		opens := 0
		d := newDiary(t)
		p, stop := start(t, Config{Codec: smaCodec(), Stream: true, Open: func(ctx context.Context) (io.ReadWriteCloser, error) {
			if opens++; opens == 1 {
				return sticky{near, letGo}, nil
			}
			return second(ctx)
		}}, d)
		go func() { _, _ = io.Copy(io.Discard, far) }()
		time.Sleep(350 * time.Millisecond)
		stale := (&benchScale{codec: smaCodec(), tenths: 9999}).frame()
		_, err := far.Write(stale)
		require.NoError(t, err)
		time.Sleep(3500 * time.Millisecond) // silent for 3 s: lost, and the close hangs
		require.Len(t, d.all("lost"), 1)
		n := len(d.all("reading"))
		_, err = far.Write(stale)
		require.NoError(t, err)
		time.Sleep(5 * time.Second)
		assert.Equal(t, uint64(1), p.Stats().Stranded)
		assert.Len(t, d.all("found"), 2)
		for _, e := range d.all("reading")[n:] {
			assert.Equal(t, uint64(4126), e.reading.Number.Coefficient)
		}
		stop()
		close(letGo)
	})
}

// The first piece is trusted only where a mark shows that it is whole.
func TestTheFirstPiece(t *testing.T) {
	for _, codec := range scale.Codecs() {
		t.Run(codec.Name(), func(t *testing.T) {
			frame := (&benchScale{codec: codec, tenths: 4126}).frame()
			for cut := range len(frame) {
				d := newDiary(t)
				p := New(Config{Codec: codec}, d)
				s := newSession(p, nil)
				s.feed(time.Now(), frame[cut:])
				s.feed(time.Now(), frame)
				s.feed(time.Now(), frame)
				assert.Empty(t, d.all("bad"), "cut %d", cut)
				for _, e := range d.all("reading") {
					w, _ := e.reading.Weight()
					assert.Equal(t, 4126*scale.Gram/10, w, "cut %d", cut)
				}
				want := 2
				if cut == 0 && startMarked(codec) {
					want = 3
				}
				assert.Len(t, d.all("reading"), want, "cut %d", cut)
			}
		})
	}
}
