package ui

import (
	"context"
	"encoding/json"
	"errors"
	"net"
	"net/http"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/bench"
)

// read is the next message of a stream, decoded as its type says.
func read(t *testing.T, conn *websocket.Conn) any {
	t.Helper()
	_, raw, err := conn.ReadMessage()
	require.NoError(t, err)
	return decoded(t, raw)
}

func decoded(t *testing.T, raw []byte) any {
	t.Helper()
	var head struct{ Type string }
	require.NoError(t, json.Unmarshal(raw, &head))
	switch head.Type {
	case "hello":
		return into[Hello](t, raw)
	case "view":
		return into[View](t, raw)
	case "weight":
		return into[Weight](t, raw)
	case "health":
		return into[Health](t, raw)
	}
	t.Fatalf("message of an unknown type: %s", raw)
	return nil
}

func into[T any](t testing.TB, raw []byte) T {
	t.Helper()
	var v T
	require.NoError(t, json.Unmarshal(raw, &v))
	return v
}

// until reads on to the first message that fits.
func until[T any](t *testing.T, conn *websocket.Conn, fits func(T) bool) T {
	t.Helper()
	for {
		if v, ok := read(t, conn).(T); ok && fits(v) {
			return v
		}
	}
}

// stamp is the moment of the n-th reading.
func stamp(n int) mix.Stamp {
	return mix.Stamp{Boot: "boot", Mono: time.Duration(n) * time.Millisecond, WallMS: int64(n)}
}

func reading(n int) mix.Live {
	return mix.Live{At: stamp(n), Valid: true, Shown: grams(float64(n)), Net: grams(float64(n)), Cue: mix.CuePour, Line: mix.LineShort}
}

// "The first is hello; then comes one of each of view, weight and health."
func TestStreamOpensComplete(t *testing.T) {
	before := time.Now().UnixMilli()
	r := newRig(t, nil)
	conn := r.page()
	hello := read(t, conn).(Hello)
	assert.GreaterOrEqual(t, hello.NowMS, before)
	assert.LessOrEqual(t, hello.NowMS, time.Now().UnixMilli())
	hello.NowMS = 0
	assert.Equal(t, Hello{Type: "hello", Protocol: [2]int{ProtocolMajor, ProtocolMinor}, Version: "0.1.0", Station: "Bench 1", Cautions: []string{}}, hello)
	view := read(t, conn).(View)
	assert.Equal(t, "idle", view.State)
	assert.NotEmpty(t, view.Headline)
	weight := read(t, conn).(Weight)
	assert.False(t, weight.Valid)
	assert.Equal(t, "lost", weight.Trouble)
	health := read(t, conn).(Health)
	assert.Equal(t, "never", health.Scale)
	assert.Len(t, health.Problems, 1)
}

func TestTwoPagesSeeTheSame(t *testing.T) {
	r := newRig(t, nil)
	a, b := r.page(), r.page()
	r.hub.Batch(hardenerRan().b, nil)
	isBatch := func(v View) bool { return v.Batch != "" }
	assert.Equal(t, until(t, a, isBatch), until(t, b, isBatch))
	live := reading(7)
	live.Seq = 5
	r.hub.Live(live)
	isLive := func(w Weight) bool { return w.Valid }
	wa, wb := until(t, a, isLive), until(t, b, isLive)
	wa.AgeMS, wb.AgeMS = 0, 0 // each is as old as it was when it left
	assert.Equal(t, wa, wb)
	assert.Equal(t, 7.0, wa.ShownG)
}

// A weight names the view that it belongs to, and never comes before it, not
// even when both change faster than they are sent.
func TestWeightNeverOvertakesItsView(t *testing.T) {
	const last = 2000
	bubble(t, func(t *testing.T, h *Hub, conn *websocket.Conn) {
		go func() {
			for n := uint64(1); n <= last; n++ {
				b := pouring().b
				b.Seq = n
				h.Batch(b, nil)
				h.Live(mix.Live{At: stamp(int(n)), Seq: n, Valid: true})
			}
		}()
		for seen := uint64(0); ; {
			switch m := read(t, conn).(type) {
			case View:
				require.GreaterOrEqual(t, m.Seq, seen)
				seen = m.Seq
			case Weight:
				require.LessOrEqual(t, m.Seq, seen)
				if m.Seq == last {
					return
				}
			}
		}
	})
}

func TestHealthIsTold(t *testing.T) { synctest.Test(t, healthIsTold) }

func healthIsTold(t *testing.T) {
	r := newStillRig(t, nil)
	conn := r.page()
	r.hub.Health(bench.Health{Scale: bench.ScaleLost, Identity: "comma line", Reason: "the cable was unplugged.", Book: "The book can not be written: the disk is full."})
	got := until(t, conn, func(h Health) bool { return h.Scale == "lost" })
	assert.Equal(t, "comma line", got.Identity)
	assert.Equal(t, []string{"The scale can not be heard: the cable was unplugged.", "The book can not be written: the disk is full."}, got.Problems)
	r.hub.Health(bench.Health{Scale: bench.ScaleFound, Identity: "comma line"})
	assert.Empty(t, until(t, conn, func(h Health) bool { return h.Scale == "found" }).Problems)
}

func TestPlacesAreLimited(t *testing.T) {
	h := NewHub(HubConfig{})
	for range maxPerAddress {
		require.NoError(t, h.admit("192.0.2.1"))
	}
	assert.ErrorIs(t, h.admit("192.0.2.1"), errTooOften)
	for i := range maxClients - maxPerAddress {
		require.NoError(t, h.admit(string(rune('a'+i%4))))
	}
	assert.ErrorIs(t, h.admit("192.0.2.9"), errTooMany)
	h.release("192.0.2.1")
	assert.NoError(t, h.admit("192.0.2.9"))
	assert.ErrorIs(t, h.admit("192.0.2.9"), errTooMany)
}

func TestTooManyPagesFromOneAddress(t *testing.T) { synctest.Test(t, tooManyPagesFromOneAddress) }

func tooManyPagesFromOneAddress(t *testing.T) {
	r := newStillRig(t, nil)
	var open []*websocket.Conn
	for range maxPerAddress {
		open = append(open, r.page())
	}
	_, err := r.dial()
	require.ErrorIs(t, err, websocket.ErrBadHandshake)
	resp, body := r.send("GET", "/stream", "", func(req *http.Request) {
		req.Header.Set("Origin", "http://"+r.address)
		upgrade(req)
	})
	assert.Equal(t, http.StatusServiceUnavailable, resp.StatusCode)
	assert.Contains(t, body, "Too many pages are open from this device")
	require.NoError(t, open[0].Close())
	synctest.Wait()
	r.page() // a place that was left can be taken
}

// A tablet that takes nothing any more is dropped; the others never notice: each
// number that is published comes to them, before and after. No more is published
// than quick has read, so that it is never the slow one itself.
func TestSlowPageIsDropped(t *testing.T) {
	r := newRig(t, nil)
	slow, quick := r.page(), r.page()
	if tcp, ok := slow.NetConn().(*net.TCPConn); ok {
		require.NoError(t, tcp.SetReadBuffer(4096))
	}
	require.Eventually(t, func() bool { return r.hub.Clients() == 2 }, hangs, time.Millisecond)
	n := 0
	publish := func() {
		n++
		r.hub.Batch(hardenerRan().b, nil) // some kilobytes, to fill what the kernel holds
		r.hub.Live(reading(n))
		until(t, quick, func(w Weight) bool { return w.ShownG == float64(n) })
	}
	for began := time.Now(); r.hub.Clients() == 2; publish() {
		require.Less(t, time.Since(began), hangs, "slow is never dropped")
		time.Sleep(10 * time.Millisecond) // ten times the pace of a scale
	}
	for range 20 {
		publish()
	}
	assert.Equal(t, 1, r.hub.Clients())
}

// The stream takes nothing: commands are posted, behind the gates.
func TestStreamTakesNoMessages(t *testing.T) {
	r := newRig(t, nil)
	conn := r.page()
	require.NoError(t, conn.WriteMessage(websocket.TextMessage, []byte(`{"do":"start"}`)))
	assert.Equal(t, websocket.ClosePolicyViolation, closeCode(t, conn))
}

func TestStreamReadsLittle(t *testing.T) {
	r := newRig(t, nil)
	conn := r.page()
	require.Eventually(t, func() bool { return r.hub.Clients() == 1 }, hangs, time.Millisecond)
	// Writing may fail as well: the bench does not wait for the end of it.
	_ = conn.WriteMessage(websocket.TextMessage, make([]byte, 64<<20))
	for err := error(nil); err == nil; {
		_, _, err = conn.ReadMessage()
	}
	assert.Eventually(t, func() bool { return r.hub.Clients() == 0 }, hangs, time.Millisecond)
}

// closeCode reads to the end of a stream and says how it was closed.
func closeCode(t *testing.T, conn *websocket.Conn) int {
	t.Helper()
	for {
		_, _, err := conn.ReadMessage()
		var closed *websocket.CloseError
		if errors.As(err, &closed) {
			return closed.Code
		}
		require.NoError(t, err)
	}
}

func TestStopTellsThePages(t *testing.T) {
	r := newRig(t, nil)
	conn := r.page()
	read(t, conn)
	ended := make(chan error, 1)
	go func() { ended <- r.stop() }()
	assert.Equal(t, websocket.CloseGoingAway, closeCode(t, conn))
	require.NoError(t, <-ended)
	assert.Zero(t, r.hub.Clients())
	assert.ErrorIs(t, r.hub.admit("192.0.2.1"), errClosing)
	_, err := r.dial()
	assert.Error(t, err)
	r.hub.Close() // twice is once
}

// pipes is a listener whose connections are pipes, for a bubble of simulated
// time: it claims to be a port, because the gates ask where one came in.
type pipes struct {
	conns chan net.Conn
	ended chan struct{}
	once  sync.Once
}

func newPipes() *pipes { return &pipes{conns: make(chan net.Conn), ended: make(chan struct{})} }

type pipeEnd struct{ net.Conn }

var pipeAddress = &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 8080}

func (pipeEnd) LocalAddr() net.Addr  { return pipeAddress }
func (pipeEnd) RemoteAddr() net.Addr { return pipeAddress }

func (p *pipes) Accept() (net.Conn, error) {
	select {
	case c := <-p.conns:
		return c, nil
	case <-p.ended:
		return nil, net.ErrClosed
	}
}

func (p *pipes) Close() error   { p.once.Do(func() { close(p.ended) }); return nil }
func (p *pipes) Addr() net.Addr { return pipeAddress }

func (p *pipes) dial(ctx context.Context, _, _ string) (net.Conn, error) {
	here, there := net.Pipe()
	select {
	case p.conns <- pipeEnd{there}:
		return here, nil
	case <-p.ended:
		return nil, net.ErrClosed
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// bubble runs a server and one open page in simulated time.
func bubble(t *testing.T, with func(t *testing.T, h *Hub, conn *websocket.Conn)) {
	synctest.Test(t, func(t *testing.T) {
		hub := NewHub(HubConfig{})
		server := New(Config{Hub: hub, WebFS: emptyFS{}})
		p := newPipes()
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan error, 1)
		go func() { done <- server.Serve(ctx, p) }()
		token := server.sessions.open(time.Now())
		dialer := websocket.Dialer{NetDialContext: p.dial}
		conn, resp, err := dialer.Dial("ws://127.0.0.1:8080/stream", http.Header{
			"Origin": {"http://127.0.0.1:8080"}, "Cookie": {"gramcup_session_8080=" + token},
		})
		require.NoError(t, err)
		_ = resp.Body.Close()
		for range 4 {
			read(t, conn) // hello, view, weight, health
		}
		with(t, hub, conn)
		_ = conn.Close()
		cancel()
		require.NoError(t, <-done)
	})
}
