package simulator

import (
	"context"
	"errors"
	"io"
	"sync"
	"time"
)

const (
	runEvery = 10 * time.Millisecond
	// A process that was held up, or a machine that slept, holds the bench up with it:
	// else a stream would pour on that nobody could see, and no hand could stop.
	mostPerTick = 100 * time.Millisecond
)

// Run moves the bench in the time of the world until ctx ends; then the
// host's end reads io.EOF. It is the only part that looks at a clock.
func (b *Bench) Run(ctx context.Context) {
	ticker := time.NewTicker(runEvery)
	defer ticker.Stop()
	defer b.stopped()
	last := time.Now()
	for {
		select {
		case <-ctx.Done():
			return
		case now := <-ticker.C:
			b.Tick(min(now.Sub(last), mostPerTick))
			last = now
		}
	}
}

// Serve carries the line over conn (a pseudo-terminal, a socket, a pipe) until
// ctx ends (nil), the line is unplugged (ErrUnplugged), the bench stops
// (io.EOF) or conn fails. It closes conn and leaves no goroutine. It does not
// move the bench: Run does. Each piece is one Write.
func (b *Bench) Serve(ctx context.Context, conn io.ReadWriteCloser) error {
	wire, err := b.dial()
	if err != nil {
		return errors.Join(err, conn.Close())
	}
	stop := context.AfterFunc(ctx, func() { _ = wire.Close() })
	defer stop()
	var ends sync.WaitGroup
	ends.Go(func() {
		<-wire.gone
		_ = conn.Close() // its error tells nothing new: the first failure is returned
	})
	var received error
	ends.Go(func() {
		received = carry(wire, conn)
		_ = wire.Close()
	})
	sent := carry(conn, wire)
	_ = wire.Close()
	ends.Wait()
	switch {
	case ctx.Err() != nil:
		return nil
	case wire.err != ErrClosed:
		return wire.err
	case errors.Is(sent, ErrClosed):
		return received
	}
	return sent
}

// carry moves pieces until one side fails. Unlike io.Copy it keeps them apart.
func carry(to io.Writer, from io.Reader) error {
	var buf [maxRequest]byte
	for {
		n, err := from.Read(buf[:])
		if n > 0 {
			if _, werr := to.Write(buf[:n]); werr != nil {
				return werr
			}
		}
		if err != nil {
			return err
		}
	}
}
