package simulator

import (
	"bufio"
	"context"
	"io"
	"net"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"gramcup/scale"
	"gramcup/scale/scaletest"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(scaletest.Patient{M: m}) }

// scan reads whole frames from a live line.
func scan(t *testing.T, r io.Reader) func() scale.Reading {
	s := bufio.NewScanner(r)
	s.Split(smaCodec(t).Split)
	return func() scale.Reading {
		require.True(t, s.Scan(), "the line ended: %v", s.Err())
		reading, err := smaCodec(t).Decode(s.Bytes())
		require.NoError(t, err)
		return reading
	}
}

func TestDialAndRun(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := New(Options{Codec: smaCodec(t), OnRequest: true})
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() { defer close(done); b.Run(ctx) }()
		w, err := b.Dial()
		require.NoError(t, err)
		_, err = w.Write([]byte("\nR\r"))
		require.NoError(t, err)
		read := scan(t, w)
		begin := time.Now()
		for range 21 {
			read()
		}
		assert.InDelta(t, 2, time.Since(begin).Seconds(), 0.2, "ten frames a second")
		cancel()
		<-done
		buf := make([]byte, 64)
		for err == nil {
			_, err = w.Read(buf)
		}
		assert.Equal(t, io.EOF, err, "the bench has stopped")
		assert.NoError(t, w.Close())
	})
}

func TestCloseEndsARead(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := New(Options{Codec: smaCodec(t)})
		w, err := b.Dial()
		require.NoError(t, err)
		got := make(chan error)
		go func() {
			_, err := w.Read(make([]byte, 1))
			got <- err
		}()
		synctest.Wait()
		require.NoError(t, w.Close())
		assert.ErrorIs(t, <-got, ErrClosed)
		assert.NoError(t, w.Close())
	})
}

// served runs a bench over a pipe and hands over the host's end.
func served(t *testing.T, b *Bench) (host net.Conn, ended chan error, cancel context.CancelFunc) {
	ctx, cancel := context.WithCancel(t.Context())
	host, device := net.Pipe()
	ended = make(chan error, 2)
	go func() { b.Run(ctx); ended <- nil }()
	go func() { ended <- b.Serve(ctx, device) }()
	return host, ended, cancel
}

func TestServeOverAPipe(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := New(Options{Codec: smaCodec(t)})
		b.PlaceCup(180)
		host, ended, cancel := served(t, b)
		read := scan(t, host)
		for range 30 {
			read()
		}
		_, err := host.Write([]byte("\nT\r"))
		require.NoError(t, err)
		for range 5 {
			read()
		}
		assert.Equal(t, scale.ModeNet, read().Mode, "the tare was heard")
		cancel()
		assert.NoError(t, <-ended)
		assert.NoError(t, <-ended)
		_, err = io.ReadAll(host)
		assert.NoError(t, err, "closed in order")
	})
}

func TestServeEndsWhenUnplugged(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := New(Options{Codec: smaCodec(t)})
		b.Schedule(Scheduled{Fault: FaultUnplugged, At: time.Second, For: 3 * time.Second})
		host, ended, cancel := served(t, b)
		defer cancel()
		go func() { _, _ = io.Copy(io.Discard, host) }()
		assert.ErrorIs(t, <-ended, ErrUnplugged)
		_, err := b.Dial()
		assert.ErrorIs(t, err, ErrUnplugged)
		time.Sleep(3100 * time.Millisecond)
		w, err := b.Dial()
		require.NoError(t, err)
		scan(t, w)()
		assert.NoError(t, w.Close())
		cancel()
		<-ended
	})
}

// A host that never reads costs frames, not memory and not the bench.
func TestServeToADeafHost(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := New(Options{Codec: smaCodec(t)})
		host, ended, cancel := served(t, b)
		time.Sleep(time.Minute)
		assert.Greater(t, b.Dropped(), 500)
		assert.InDelta(t, 60, b.Now().Seconds(), 1, "it lives on")
		b.Inject(FaultUnplugged, time.Second)
		assert.ErrorIs(t, <-ended, ErrUnplugged, "the plug ends even a write that waits")
		cancel()
		<-ended
		assert.NoError(t, host.Close())
	})
}

func TestServeEndsWithTheHost(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := New(Options{Codec: smaCodec(t)})
		host, ended, cancel := served(t, b)
		require.NoError(t, host.Close())
		assert.Error(t, <-ended)
		w, err := b.Dial()
		require.NoError(t, err, "the line is free again")
		require.NoError(t, w.Close())
		cancel()
		<-ended
	})
}
