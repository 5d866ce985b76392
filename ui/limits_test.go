package ui

import (
	"bufio"
	"context"
	"io"
	"net/http"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whoever talks too much in the head of a request is not listened to, on every
// route.
func TestHugeHeadersAreRefused(t *testing.T) { synctest.Test(t, hugeHeadersAreRefused) }

func hugeHeadersAreRefused(t *testing.T) {
	r := newStillRig(t, nil)
	for _, route := range everyRoute {
		resp, _ := r.send(route.method, route.path, route.body, func(req *http.Request) {
			req.Header.Set("X-Long", strings.Repeat("x", maxHeaderBytes+8192)) // the library allows itself 4 kB more
		})
		assert.Equal(t, http.StatusRequestHeaderFieldsTooLarge, resp.StatusCode, route.path)
	}
}

// slowly opens a connection in simulated time, sends the bytes and says how
// long the bench waited for more before it hung up, and what it said.
func slowly(t *testing.T, sent string) (waited time.Duration, said string) {
	synctest.Test(t, func(t *testing.T) {
		server := New(Config{Hub: NewHub(HubConfig{}), WebFS: emptyFS{}})
		p := newPipes()
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan error, 1)
		go func() { done <- server.Serve(ctx, p) }()
		sent = strings.ReplaceAll(sent, "SESSION", server.sessions.open(time.Now()))
		conn, err := p.dial(ctx, "", "")
		require.NoError(t, err)
		began := time.Now()
		go func() { _, _ = io.WriteString(conn, sent) }()
		all, _ := io.ReadAll(bufio.NewReader(conn))
		waited, said = time.Since(began), string(all)
		require.NoError(t, conn.Close())
		cancel()
		require.NoError(t, <-done)
	})
	return waited, said
}

// A request that never ends does not keep its place for ever: neither in its
// head nor in its body, nor a connection that asks for nothing any more.
func TestSlowRequestsAreGivenUp(t *testing.T) {
	waited, _ := slowly(t, "GET / HTTP/1.1\r\nHost: 127.0.0.1:8080\r\nX-Slow: ")
	assert.Equal(t, headerWait, waited, "the head")
	post := "POST /api/command HTTP/1.1\r\nHost: 127.0.0.1:8080\r\nOrigin: http://127.0.0.1:8080\r\n" +
		"Cookie: gramcup_session_8080=SESSION\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{\"key\":"
	waited, said := slowly(t, post)
	assert.GreaterOrEqual(t, waited, requestWait, "the body")
	assert.LessOrEqual(t, waited, requestWait+time.Second)
	assert.NotContains(t, said, `"ok":true`)
	assert.Contains(t, said, "400 Bad Request")
	waited, said = slowly(t, "GET /livez HTTP/1.1\r\nHost: 127.0.0.1:8080\r\n\r\n")
	assert.Contains(t, said, "alive")
	assert.Equal(t, idleWait, waited, "an idle connection")
}
