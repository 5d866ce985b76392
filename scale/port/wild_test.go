package port

import (
	"context"
	"io"
	"math/rand/v2"
	"net"
	"os"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.bug.st/serial"
	"go.uber.org/goleak"

	"gramcup/scale"
	"gramcup/scale/scaletest"
)

// quick is a Config whose waits do not make a test long. Silence is no loss: on a
// loaded machine the far end may be kept waiting for longer than a scale is.
func quick(open Opener) Config {
	return Config{Open: open, Codec: smaCodec(), Stream: true, SilenceReopen: -1,
		BackoffMin: time.Millisecond, BackoffMax: 5 * time.Millisecond, ResetWait: time.Millisecond}
}

func opener(t testing.TB, address string) Opener {
	t.Helper()
	o, _, err := Open(address)
	require.NoError(t, err)
	return o
}

func TestPortOnAPseudoTerminal(t *testing.T) {
	pty := newPTY(t)
	b := &benchScale{codec: smaCodec(), every: 5 * time.Millisecond, tenths: 4126}
	go b.serve(pty)
	d := newDiary(t)
	p, stop := start(t, quick(opener(t, pty.Node)), d)
	d.await("reading", 20)
	assert.Equal(t, pty.Node, d.all("found")[0].text)
	tare(t, p, d)
	n := len(d.all("reading"))
	d.await("reading", n+20) // the stream runs on after the tare
	stop()
	assert.Empty(t, d.all("lost", "bad", "answer"))
}

// tare asks for a tare until the display says zero. A command that can not leave
// within a second is given up, as it must be; where the machine was away for that
// long it is asked for again.
func tare(t *testing.T, p *Port, d *diary) {
	t.Helper()
	givenUp := func() uint64 { s := p.Stats(); return s.CommandsDropped + s.WritesAbandoned }
	before := givenUp()
	require.NoError(t, p.Ask(scale.RequestTare))
	for deadline := time.Now().Add(patience); ; time.Sleep(time.Millisecond) {
		if all := d.all("reading"); all[len(all)-1].reading.Number.Coefficient == 0 {
			return
		}
		require.True(t, time.Now().Before(deadline), "the tare never came")
		if n := givenUp(); n > before && p.Ask(scale.RequestTare) == nil {
			before = n
		}
	}
}

func TestPortOverTCP(t *testing.T) {
	server, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer server.Close()
	b := &benchScale{codec: smaCodec(), every: 5 * time.Millisecond, tenths: 4126}
	wires := make(chan net.Conn, 10)
	go func() {
		for {
			c, err := server.Accept()
			if err != nil {
				return
			}
			wires <- c
			go b.serve(c)
		}
	}()
	address := "tcp://" + server.Addr().String()
	d := newDiary(t)
	cfg := quick(opener(t, address))
	cfg.Identity = address
	p, stop := start(t, cfg, d)
	d.await("reading", 10)
	(<-wires).Close()
	d.await("lost", 1)
	d.await("found", 2)
	server.Close()
	(<-wires).Close()
	d.await("lost", 2)
	require.Eventually(t, func() bool { return strings.Contains(p.Stats().Problem, "nothing listens") }, patience, time.Millisecond)
	assert.Equal(t, address, d.all("found")[0].text)
	stop()
}

// Unplugged in the middle of a frame, plugged in again as another device.
func TestUnplugInMidFrame(t *testing.T) {
	s := newSocket(t)
	b := &benchScale{codec: smaCodec(), tenths: 4126}
	frame := b.frame()
	d := newDiary(t)
	cfg := quick(opener(t, s.path))
	cfg.Stream = false
	p, stop := start(t, cfg, d)
	require.Eventually(t, func() bool { return p.Stats().Problem != "" }, patience, time.Millisecond)
	assert.Contains(t, p.Stats().Problem, "no such port "+s.path)

	first := s.plug()
	feedUntil(t, first, frame, d, "reading", 3)
	_, err := first.Write(frame[:11])
	require.NoError(t, err)
	s.pull(first)
	d.await("lost", 1)
	assert.Equal(t, ErrGone.Error(), d.all("lost")[0].text)

	second := s.plug()
	require.Eventually(t, func() bool { return p.Stats().Opens == 2 }, patience, time.Millisecond)
	_, err = second.Write(frame[11:]) // would complete the torn frame
	require.NoError(t, err)
	feedUntil(t, second, frame, d, "found", 2)
	stop()
	assert.Len(t, d.all("lost"), 1)
	for _, e := range d.all("reading") {
		assert.Equal(t, uint64(4126), e.reading.Number.Coefficient)
	}
	assert.Empty(t, d.all("bad"), "the rear half of a frame is what one finds when one begins to listen")
	assert.Equal(t, uint64(1), p.Stats().Skipped)
}

// feedUntil sends a frame again and again until the diary has n of a kind.
func feedUntil(t *testing.T, w io.Writer, frame []byte, d *diary, what string, n int) {
	t.Helper()
	deadline := time.Now().Add(patience)
	for len(d.all(what)) < n {
		require.True(t, time.Now().Before(deadline), "no %s", what)
		_, err := w.Write(frame)
		require.NoError(t, err)
		time.Sleep(time.Millisecond)
	}
}

func TestTwoHundredReplugs(t *testing.T) {
	s := newSocket(t)
	b := &benchScale{codec: smaCodec(), every: time.Millisecond, tenths: 4126}
	d := newDiary(t)
	leaks := goleak.IgnoreCurrent()
	p, stop := start(t, quick(opener(t, s.path)), d)
	var settled int
	for i := range 200 {
		pty := s.plug()
		served := make(chan struct{})
		go func() {
			defer close(served)
			b.serve(pty)
		}()
		d.await("found", i+1)
		s.pull(pty)
		d.await("lost", i+1)
		<-served
		if i == 20 {
			settled = descriptors(t)
		}
	}
	require.Eventually(t, func() bool { return descriptors(t) <= settled }, patience, time.Millisecond, "no descriptor is left behind")
	stop()
	assert.Len(t, d.all("found"), 200)
	assert.Len(t, d.all("lost"), 200)
	// A line that keeps its closes waiting does so each time, and a close that never
	// ends leaves its goroutine behind; what is late for once is the machine.
	assert.Less(t, p.Stats().Stranded, uint64(20))
	scaletest.NoGoroutines(t, leaks)
}

// The library's own port, opened where its descriptor has a number of 1024 or
// more, panics in Read. The Port must live on and find the scale afterwards.
func TestAPanicInsideAWire(t *testing.T) {
	var mu sync.Mutex
	var pile []*os.File
	free := func() {
		mu.Lock()
		defer mu.Unlock()
		for _, f := range pile {
			f.Close()
		}
		pile = nil
	}
	defer free()
	for {
		f, err := os.Open("/dev/null")
		require.NoError(t, err)
		pile = append(pile, f)
		if f.Fd() >= 1100 {
			break
		}
	}
	pty := newPTY(t)
	b := &benchScale{codec: smaCodec(), every: 5 * time.Millisecond, tenths: 4126}
	go b.serve(pty)
	d := newDiary(t)
	p, stop := start(t, quick(func(context.Context) (io.ReadWriteCloser, error) {
		return serial.Open(pty.Node, &serial.Mode{BaudRate: 9600})
	}), d)
	require.Eventually(t, func() bool {
		return strings.Contains(p.Stats().Problem, "reading the port failed inside")
	}, patience, time.Millisecond)
	free()
	d.await("reading", 5)
	stop()
}

// A scale that streams but whose input is stuck: the readings must flow, and
// commands must fail with a reason.
func TestAScaleThatTakesNoBytes(t *testing.T) {
	pty := newPTY(t)
	frame := (&benchScale{codec: smaCodec(), tenths: 4126}).frame()
	stuffed := opener(t, pty.Node)
	d := newDiary(t)
	p, stop := start(t, quick(func(ctx context.Context) (io.ReadWriteCloser, error) {
		w, err := stuffed(ctx)
		if err == nil {
			_, err := w.Write(make([]byte, 200_000)) // fill the line to the brim
			require.ErrorIs(t, err, ErrStuck)
		}
		return w, err
	}), d)
	feedUntil(t, pty, frame, d, "reading", 10)
	begin := time.Now()
	for p.Stats().WritesAbandoned == 0 {
		require.Less(t, time.Since(begin), patience)
		_, err := pty.Write(frame)
		require.NoError(t, err)
		time.Sleep(10 * time.Millisecond)
	}
	n := len(d.all("reading"))
	feedUntil(t, pty, frame, d, "reading", n+10)
	begin = time.Now()
	stop()
	assert.Less(t, time.Since(begin), patience, "Run ends although a write hangs")
	assert.Empty(t, d.all("lost"))
}

func TestAFloodOfRubbishStaysBounded(t *testing.T) {
	near, far := net.Pipe()
	d := &counter{}
	opened := false
	p, stop := start(t, Config{Codec: smaCodec(), SilenceReopen: -1, Open: func(context.Context) (io.ReadWriteCloser, error) {
		if opened {
			return nil, io.ErrUnexpectedEOF
		}
		opened = true
		return near, nil
	}}, d)
	rubbish := make([]byte, 64<<10)
	random := rand.New(rand.NewPCG(1, 2))
	for i := range rubbish {
		rubbish[i] = byte(random.Uint32())
	}
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	for range 200 { // 13 MB
		_, err := far.Write(rubbish)
		require.NoError(t, err)
	}
	// One endless line, 13 MB long.
	for i := range rubbish {
		rubbish[i] = 'x'
	}
	for range 200 {
		_, err := far.Write(rubbish)
		require.NoError(t, err)
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	assert.Less(t, int64(after.HeapAlloc)-int64(before.HeapAlloc), int64(2<<20+recentBytes+16*recentChunks))
	assert.Greater(t, p.Stats().BadFrames, uint64(200_000), "an endless line is cut and refused piece by piece")
	assert.Zero(t, p.Stats().GoodFrames)
	_, err := far.Write(append([]byte("\r\n"), (&benchScale{codec: smaCodec(), tenths: 4126}).frame()...))
	require.NoError(t, err)
	require.Eventually(t, func() bool { return p.Stats().GoodFrames == 1 }, patience, time.Millisecond)
	far.Close()
	stop()
}

// counter is a Sink for floods.
type counter struct{ mass scale.Mass }

func (c *counter) Reading(_ time.Time, r scale.Reading) { c.mass, _ = r.Weight() }
func (c *counter) Answer(time.Time, scale.Reading)      {}
func (c *counter) BadFrame(time.Time, error)            {}
func (c *counter) Found(time.Time, string)              {}
func (c *counter) Lost(time.Time, string)               {}
