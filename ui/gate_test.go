package ui

import (
	"context"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// kinds of routes: the files of the page and the probes, which anybody on this
// machine may link to; data, which only the page and programs may read; what
// changes something; the stream.
type routeKind int

const (
	kindPage routeKind = iota
	kindData
	kindPost
	kindStream
)

type route struct {
	kind   routeKind
	method string
	path   string
	body   string
}

// everyRoute is the whole surface; a new route belongs here.
var everyRoute = []route{
	{kindPage, "GET", "/", ""},
	{kindPage, "GET", "/main.js", ""},
	{kindPage, "GET", "/livez", ""},
	{kindPage, "GET", "/readyz", ""},
	{kindData, "GET", "/metrics", ""},
	{kindData, "GET", "/api/shelf", ""},
	{kindData, "GET", "/api/shelf/figure?figure=voc&text=4.7+lb/gal", ""},
	{kindData, "GET", "/api/plan?recipe=kl-primer&kind=volume&ml=600", ""},
	{kindData, "GET", "/api/settings", ""},
	{kindData, "GET", "/api/limits", ""},
	{kindData, "GET", "/api/book", ""},
	{kindData, "GET", "/api/book/trace?batch=b-0007", ""},
	{kindData, "GET", "/api/scale", ""},
	{kindData, "GET", "/api/scale/lines?after=0", ""},
	{kindData, "GET", "/api/scale/capture", ""},
	{kindPost, "POST", "/api/command", `{"key":"k","version":1,"do":"hold"}`},
	{kindPost, "POST", "/api/settings", `{"do":"shop","shop_c":28}`},
	{kindPost, "POST", "/api/demo", `{"do":"pour"}`},
	{kindStream, "GET", "/stream", ""},
}

// The matrix of what must be let in and what not: a request of this page, of
// another site, of a name that was pointed at this machine, of no page at all.
// The rows "rebound" are those that the usual origin checks let in.
func TestCrossOriginMatrix(t *testing.T) { synctest.Test(t, crossOriginMatrix) }

func crossOriginMatrix(t *testing.T) {
	r := newStillRig(t, nil)
	_, port, err := net.SplitHostPort(r.address)
	require.NoError(t, err)
	own, evil := "http://"+r.address, "http://evil.example"
	const ok, no, lost = 200, 403, 421
	for _, c := range []struct {
		name, host, origin, site string
		session                  bool
		page, data, post, stream int
	}{
		{"same origin", "", own, "same-origin", true, ok, ok, ok, 101},
		{"same origin, an old browser", "", own, "", true, ok, ok, ok, 101},
		{"same origin under localhost", "localhost:" + port, "http://localhost:" + port, "same-origin", true, ok, ok, ok, 101},
		{"same origin, no session", "", own, "same-origin", false, ok, ok, no, no},
		{"typed into the address bar", "", "", "none", true, ok, ok, ok, no},
		{"no origin, with a session", "", "", "", true, ok, ok, ok, no},
		{"no origin, no session", "", "", "", false, ok, ok, no, no},
		{"other site", "", evil, "cross-site", true, ok, no, no, no},
		{"other site, an old browser", "", evil, "", true, ok, no, no, no},
		{"other site, its image or script tag", "", "", "cross-site", false, ok, no, no, no},
		{"sister site", "", "http://shop.example", "same-site", true, ok, no, no, no},
		{"null origin", "", "null", "cross-site", true, ok, no, no, no},
		{"null origin, an old browser", "", "null", "", true, ok, no, no, no},
		{"same host, other port", "", "http://127.0.0.1:1", "same-site", true, ok, no, no, no},
		{"same host, other port, an old browser", "", "http://127.0.0.1:1", "", true, ok, no, no, no},
		{"same host, other scheme", "", "https://" + r.address, "", true, ok, no, no, no},
		{"same machine, other name", "", "http://localhost:" + port, "same-site", true, ok, no, no, no},
		{"rebound", "evil.example:" + port, evil + ":" + port, "same-origin", true, lost, lost, lost, lost},
		{"rebound, an old browser", "evil.example:" + port, evil + ":" + port, "", true, lost, lost, lost, lost},
		{"rebound, no origin", "evil.example:" + port, "", "", true, lost, lost, lost, lost},
		{"rebound to a name like ours", "localhost.evil.example:" + port, "http://localhost.evil.example:" + port, "", true, lost, lost, lost, lost},
		{"rebound with a dot", "localhost.:" + port, "http://localhost.:" + port, "", true, lost, lost, lost, lost},
		{"any address", "0.0.0.0:" + port, "http://0.0.0.0:" + port, "", true, lost, lost, lost, lost},
		{"an address that is not ours", "192.0.2.7:" + port, "http://192.0.2.7:" + port, "", true, lost, lost, lost, lost},
		{"another port in the host", "127.0.0.1:1", "http://127.0.0.1:1", "", true, lost, lost, lost, lost},
		{"no port in the host", "127.0.0.1", "http://127.0.0.1", "", true, lost, lost, lost, lost},
		{"no port in the name", "localhost", "http://localhost", "", true, lost, lost, lost, lost},
	} {
		for _, route := range everyRoute {
			want := [...]int{kindPage: c.page, kindData: c.data, kindPost: c.post, kindStream: c.stream}[route.kind]
			resp, body := r.send(route.method, route.path, route.body, func(req *http.Request) {
				req.Host = c.host
				req.Header.Del("Origin")
				if c.origin != "" {
					req.Header.Set("Origin", c.origin)
				}
				if c.site != "" {
					req.Header.Set("Sec-Fetch-Site", c.site)
				}
				if !c.session {
					req.Header.Del("Cookie")
				}
				if route.kind == kindStream {
					upgrade(req)
				}
			})
			what := c.name + ": " + route.method + " " + route.path
			assert.Equal(t, want, resp.StatusCode, "%s: %s", what, body)
			if resp.StatusCode != http.StatusSwitchingProtocols {
				assertHeaders(t, what, resp)
			}
			if want >= 400 {
				assertRefusal(t, what, route.path, resp, body)
			}
		}
	}
}

func upgrade(req *http.Request) {
	for name, value := range map[string]string{"Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13", "Sec-WebSocket-Key": "AAAAAAAAAAAAAAAAAAAAAA=="} {
		req.Header.Set(name, value)
	}
}

func assertHeaders(t *testing.T, what string, resp *http.Response) {
	t.Helper()
	for name, want := range map[string]string{
		"Content-Security-Policy":      "default-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
		"X-Content-Type-Options":       "nosniff",
		"Cross-Origin-Opener-Policy":   "same-origin",
		"Cross-Origin-Resource-Policy": "same-origin",
		"Referrer-Policy":              "same-origin",
	} {
		assert.Equal(t, want, resp.Header.Get(name), "%s: %s", what, name)
	}
	assert.Empty(t, resp.Header.Get("Access-Control-Allow-Origin"), what)
}

// A refusal says why: as an answer under /api, as a sentence elsewhere.
func assertRefusal(t *testing.T, what, path string, resp *http.Response, body string) {
	t.Helper()
	if strings.HasPrefix(path, "/api/") {
		assert.Equal(t, "application/json", resp.Header.Get("Content-Type"), what)
		assert.Regexp(t, `^\{"ok":false,"code":"[a-z-]+","sentence":"[-+A-Z0-9].*\."\}$`, body, what)
		return
	}
	assert.Equal(t, "text/plain; charset=utf-8", resp.Header.Get("Content-Type"), what)
	assert.Regexp(t, `^[A-Z].*\.\n$`, body, what)
}

func TestTwoOriginsAreNone(t *testing.T) { synctest.Test(t, twoOriginsAreNone) }

func twoOriginsAreNone(t *testing.T) {
	r := newStillRig(t, nil)
	resp, _ := r.send("POST", "/api/command", everyRoute[9].body, func(req *http.Request) {
		req.Header.Add("Origin", "http://evil.example")
	})
	assert.Equal(t, http.StatusForbidden, resp.StatusCode)
}

// Another site may look at the files of the page, but send nothing, wherever.
func TestForeignPostsEndAtTheOrigin(t *testing.T) { synctest.Test(t, foreignPostsEndAtTheOrigin) }

func foreignPostsEndAtTheOrigin(t *testing.T) {
	r := newStillRig(t, nil)
	for _, path := range []string{"/", "/main.js", "/livez", "/nothing"} {
		resp, _ := r.send("POST", path, "", func(req *http.Request) { req.Header.Set("Origin", "http://evil.example") })
		assert.Equal(t, http.StatusForbidden, resp.StatusCode, path)
	}
}

func TestHostsUnderWhichTheBenchIsCalled(t *testing.T) {
	names := hostNames([]string{"Bench.lan", "door.lan:80", ""})
	hostname, err := os.Hostname()
	require.NoError(t, err)
	label, _, _ := strings.Cut(strings.ToLower(hostname), ".")
	local := &net.TCPAddr{IP: net.ParseIP("::ffff:192.0.2.10"), Port: 8080}
	for host, want := range map[string]bool{
		"localhost:8080": true, "LOCALHOST:8080": true, "127.0.0.1:8080": true, "127.0.0.2:8080": true, "[::1]:8080": true,
		"192.0.2.10:8080": true, "bench.lan:8080": true, "BENCH.LAN:8080": true, label + ".local:8080": true,
		"door.lan": true, "door.lan:80": true, "door.lan:8080": false, "bench.lan": false,
		"192.0.2.11:8080": false, "[2001:db8::1]:8080": false, "[::]:8080": false, "0.0.0.0:8080": false,
		"": false, ":8080": false, "localhost:": false, "localhost:08080": false, "localhost:8080:8080": false,
		"user@localhost:8080": false, "localhost:8080/": false, "127.1:8080": false, "0x7f.0.0.1:8080": false,
		"2130706433:8080": false, "evil.example:8080": false, "[::1%25lo]:8080": false,
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.Host = host
		r = r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, net.Addr(local)))
		assert.Equal(t, want, hostAllowed(names, r), "host %q", host)
	}
	r := httptest.NewRequest("GET", "/", nil)
	r.Host = "localhost"
	assert.False(t, hostAllowed(names, r), "where the connection came in is not known")
}

func TestSessionCookie(t *testing.T) { synctest.Test(t, sessionCookie) }

func sessionCookie(t *testing.T) {
	r := newStillRig(t, nil)
	_, port, _ := net.SplitHostPort(r.address)
	assert.Equal(t, "gramcup_session_"+port, r.cookie.Name, "a browser does not tell ports apart")
	assert.True(t, r.cookie.HttpOnly)
	assert.Equal(t, http.SameSiteStrictMode, r.cookie.SameSite)
	assert.Equal(t, "/", r.cookie.Path)
	assert.GreaterOrEqual(t, len(r.cookie.Value), 26, "128 bits in base 32")

	resp, _ := r.send("GET", "/", "", nil)
	assert.Empty(t, resp.Cookies(), "who has one keeps it")
	resp, _ = r.send("GET", "/", "", func(req *http.Request) { req.Header.Set("Cookie", r.cookie.Name+"=guessed") })
	assert.Len(t, resp.Cookies(), 1)
	resp, _ = r.send("GET", "/main.js", "", func(req *http.Request) { req.Header.Del("Cookie") })
	assert.Empty(t, resp.Cookies(), "only the page itself opens one")
	resp, _ = r.send("GET", "/", "", func(req *http.Request) {
		req.Header.Del("Cookie")
		req.Header.Set("Sec-Fetch-Site", "cross-site")
		req.Header.Set("Sec-Fetch-Dest", "image")
	})
	assert.Empty(t, resp.Cookies(), "another site can not fill the store")
	resp, _ = r.send("GET", "/", "", func(req *http.Request) {
		req.Header.Del("Cookie")
		req.Header.Set("Sec-Fetch-Site", "cross-site")
		req.Header.Set("Sec-Fetch-Dest", "document")
	})
	assert.Len(t, resp.Cookies(), 1, "a link leads to the bench")
}

func TestSessionsAreBounded(t *testing.T) {
	s, now := newSessions(), time.Now()
	first, second := s.open(now), s.open(now)
	for range maxSessions - 2 {
		s.open(now)
	}
	require.True(t, s.known(first), "use keeps it")
	s.open(now)
	assert.Len(t, s.byToken, maxSessions)
	assert.Equal(t, maxSessions, s.used.Len())
	assert.True(t, s.known(first))
	assert.False(t, s.known(second), "the one that was not used for longest makes room")
}

func TestCommandsAreRated(t *testing.T) {
	s, now := newSessions(), time.Now()
	token := s.open(now)
	other := s.open(now)
	for range commandsBurst {
		require.True(t, s.spend(token, now))
	}
	assert.False(t, s.spend(token, now))
	assert.True(t, s.spend(other, now), "one page does not spend for another")
	now = now.Add(time.Second)
	for range commandsPerS {
		require.True(t, s.spend(token, now))
	}
	assert.False(t, s.spend(token, now))
	assert.False(t, s.spend("unknown", now))
}
