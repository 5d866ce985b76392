package ui

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"net"
	"net/http"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"github.com/gorilla/websocket"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"gramcup/mix"
	"gramcup/scale"
	"gramcup/scale/scaletest"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(scaletest.Patient{M: m}) }

// deskFunc answers commands.
type deskFunc func(context.Context, mix.Command) (mix.Batch, error)

func (f deskFunc) Do(ctx context.Context, c mix.Command) (mix.Batch, error) { return f(ctx, c) }

// shelfOf is a shelf with these recipes; err makes it fail.
type shelfOf struct {
	recipes []mix.Recipe
	err     error
}

func (s shelfOf) Recipes() ([]mix.Recipe, error) { return s.recipes, s.err }

func (s shelfOf) Recipe(id string) (mix.Recipe, bool, error) {
	for _, r := range s.recipes {
		if r.ID == id {
			return r, true, s.err
		}
	}
	return mix.Recipe{}, false, s.err
}

// pages is a book of ended batches.
type pages struct {
	rows  []mix.Summary
	trace []byte
	err   error
	asked *[2]int64
}

func (p pages) Summaries(limit int, before int64) ([]mix.Summary, error) {
	if p.asked != nil {
		*p.asked = [2]int64{int64(limit), before}
	}
	return p.rows[:min(limit, len(p.rows))], p.err
}

func (p pages) Trace(string) ([]byte, error) { return p.trace, p.err }

// shop keeps settings in memory, and recipes on the shelf that it stands by.
type shop struct {
	mu   sync.Mutex
	s    mix.Settings
	put  []mix.Recipe
	jobs map[string]mix.UsedJob
	fail error
}

func (s *shop) Settings() (mix.Settings, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.s, s.fail
}

func (s *shop) PutSettings(now mix.Settings, _ time.Time) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.s = now
	return s.fail
}

func (s *shop) PutJob(id string, j mix.Job, at time.Time) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.jobs == nil {
		s.jobs = map[string]mix.UsedJob{}
	}
	s.jobs[id] = mix.UsedJob{Job: j, SinceMS: at.UnixMilli()}
	return s.fail
}

func (s *shop) Jobs() (map[string]mix.UsedJob, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return maps.Clone(s.jobs), s.fail
}

func (s *shop) PutRecipe(r mix.Recipe) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.put = append(s.put, r)
	return s.fail
}

// painter notes what the page asked of the simulated one.
type painter struct {
	mu    sync.Mutex
	asked []string
}

func (p *painter) Pour(on bool) { p.note(map[bool]string{true: "pour", false: "pause"}[on]) }

func (p *painter) Fault(name string) error {
	if name != "unplug" {
		return errors.New(`there is no fault of that name: use "unplug"`)
	}
	p.note(name)
	return nil
}

func (p *painter) Hand(do string, flowGS float64) error {
	if do == "tip" && flowGS == 0 {
		return errors.New("nothing runs at 0 g a second")
	}
	p.note(fmt.Sprint(do, flowGS))
	return nil
}

func (p *painter) note(s string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.asked = append(p.asked, s)
}

// dialFunc opens a connection to the server.
type dialFunc func(ctx context.Context, network, address string) (net.Conn, error)

// hangs is how long a test waits for what must come before it calls that a hang.
const hangs = 4 * time.Minute

// rig is a server with a page that is open.
type rig struct {
	t       testing.TB
	server  *Server
	hub     *Hub
	client  *http.Client
	address string // host:port
	dials   dialFunc
	cookie  *http.Cookie
	stop    func() error
}

// newRig is a server on a real listener, in the time of the world, for what needs
// a kernel between page and server. All else belongs into a bubble, on newStillRig:
// a machine that stands still for five seconds ends a request whose head was not
// read yet, and one for two seconds drops a page that is being written to.
func newRig(t testing.TB, change func(*Config)) *rig {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	return newRigOn(t, listener, new(net.Dialer).DialContext, change)
}

// newStillRig is a server over pipes, for a bubble: its time stands still while
// anything is under way, and goes on only by a sleep or by a timer that is all
// that is left to wait for.
func newStillRig(t testing.TB, change func(*Config)) *rig {
	t.Helper()
	p := newPipes()
	return newRigOn(t, p, p.dial, change)
}

func newRigOn(t testing.TB, listener net.Listener, dials dialFunc, change func(*Config)) *rig {
	t.Helper()
	c := Config{
		Desk:       deskFunc(func(context.Context, mix.Command) (mix.Batch, error) { return pouring().b, nil }),
		Shelf:      shelfOf{recipes: []mix.Recipe{primer()}},
		History:    pages{},
		Gatherer:   prometheus.NewRegistry(),
		NewBatchID: func() string { return "b-0008" },
		Division:   func() scale.Mass { return scale.Gram / 10 },
		Demo:       new(painter),
		Settings:   new(shop),
		Scale:      &fedDesk{codec: scale.SMA{}},
		WebFS:      fstest.MapFS{"index.html": {Data: []byte("<!doctype html><title>bench</title>")}, "main.js": {Data: []byte("export {}\n")}},
		Hub:        NewHub(HubConfig{Station: "Bench 1", Version: "0.1.0"}),
	}
	if change != nil {
		change(&c)
	}
	r := &rig{
		t: t, server: New(c), hub: c.Hub, address: listener.Addr().String(), dials: dials,
		client: &http.Client{Transport: &http.Transport{DialContext: dials}},
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- r.server.Serve(ctx, listener) }()
	var once sync.Once
	var result error
	r.stop = func() error {
		once.Do(func() {
			cancel()
			result = <-done
		})
		return result
	}
	t.Cleanup(func() {
		r.client.CloseIdleConnections()
		require.NoError(t, r.stop())
	})
	r.open()
	return r
}

// open gets the page, as a browser does, and keeps its cookie.
func (r *rig) open() {
	r.t.Helper()
	resp, err := r.client.Get("http://" + r.address + "/")
	require.NoError(r.t, err)
	defer resp.Body.Close()
	require.Equal(r.t, http.StatusOK, resp.StatusCode)
	require.Len(r.t, resp.Cookies(), 1)
	r.cookie = resp.Cookies()[0]
}

// send sends a request with the session of the page; change may spoil it.
func (r *rig) send(method, path, body string, change func(*http.Request)) (*http.Response, string) {
	r.t.Helper()
	req, err := http.NewRequest(method, "http://"+r.address+path, strings.NewReader(body))
	require.NoError(r.t, err)
	req.AddCookie(r.cookie)
	if method == http.MethodPost {
		req.Header.Set("Content-Type", "application/json")
		req.Header.Set("Origin", "http://"+r.address)
	}
	if change != nil {
		change(req)
	}
	resp, err := r.client.Do(req)
	require.NoError(r.t, err)
	defer resp.Body.Close()
	if resp.StatusCode == http.StatusSwitchingProtocols {
		return resp, ""
	}
	text, err := io.ReadAll(resp.Body)
	require.NoError(r.t, err)
	return resp, string(text)
}

// dial opens the stream as the page does.
func (r *rig) dial() (*websocket.Conn, error) {
	dialer := websocket.Dialer{HandshakeTimeout: hangs, NetDialContext: r.dials}
	conn, resp, err := dialer.Dial("ws://"+r.address+"/stream", http.Header{
		"Origin": {"http://" + r.address}, "Cookie": {r.cookie.String()},
	})
	if resp != nil {
		_ = resp.Body.Close()
	}
	return conn, err
}

func (r *rig) page() *websocket.Conn {
	r.t.Helper()
	conn, err := r.dial()
	require.NoError(r.t, err)
	r.t.Cleanup(func() { _ = conn.Close() })
	return conn
}
