package main

import (
	"context"
	"encoding/json"
	"net"
	"net/http"
	"net/http/cookiejar"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/require"

	"gramcup/ui"
)

// page is a websocket client with its session, as a browser would be.
type page struct {
	conn    *websocket.Conn
	dialer  websocket.Dialer
	client  *http.Client
	address string
	view    ui.View
}

func dialPage(b testing.TB, address string) *page { return dialPageOver(b, address, nil) }

// dialPageOver uses another network than the machine's, if one is given.
func dialPageOver(b testing.TB, address string, dial func(ctx context.Context, network, address string) (net.Conn, error)) *page {
	jar, err := cookiejar.New(nil)
	require.NoError(b, err)
	p := &page{client: &http.Client{Jar: jar, Transport: &http.Transport{DialContext: dial}}, address: strings.TrimSuffix(address, "/")}
	r, err := p.client.Get(address)
	require.NoError(b, err)
	require.NoError(b, r.Body.Close())
	p.dialer = websocket.Dialer{Jar: jar, NetDialContext: dial}
	p.conn, err = p.connect(b.Context())
	require.NoError(b, err)
	b.Cleanup(func() {
		_ = p.conn.Close()
		p.client.CloseIdleConnections()
	})
	return p
}

func (p *page) connect(ctx context.Context) (*websocket.Conn, error) {
	conn, _, err := p.dialer.DialContext(ctx, "ws"+strings.TrimPrefix(p.address, "http")+"/stream", http.Header{"Origin": {p.address}})
	return conn, err
}

// comesBack connects a page anew whose connection was lost, as a browser does until
// it is closed: a page that takes nothing for two seconds is dropped, and a test
// may be kept waiting for that long. It reports whether it is back before ctx ends.
func (p *page) comesBack(ctx context.Context) bool {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	for ; ctx.Err() == nil; time.Sleep(20 * time.Millisecond) {
		conn, err := p.connect(ctx)
		if err == nil {
			_ = p.conn.Close()
			p.conn = conn
			return true
		}
	}
	return false
}

// next reads one message and keeps the view.
func (p *page) next(b testing.TB) (typ string, body []byte) {
	for {
		typ, body, err := p.read()
		if err == nil {
			return typ, body
		}
		require.True(b, p.comesBack(b.Context()), "the page lost its connection for good: %v", err)
	}
}

func (p *page) read() (typ string, body []byte, err error) {
	if _, body, err = p.conn.ReadMessage(); err != nil {
		return "", nil, err
	}
	var head struct{ Type string }
	if err := json.Unmarshal(body, &head); err != nil {
		return "", nil, err
	}
	if head.Type == "view" {
		p.view = ui.View{}
		err = json.Unmarshal(body, &p.view)
	}
	return head.Type, body, err
}

// post sends a command on the view that is shown.
func (p *page) post(b testing.TB, c ui.CommandBody) ui.Answer {
	c.Batch, c.Version = p.view.Batch, p.view.Seq
	if c.Key == "" {
		c.Key = newID("key")
	}
	body, err := json.Marshal(c)
	require.NoError(b, err)
	r, err := p.client.Post(p.address+"/api/command", "application/json", strings.NewReader(string(body)))
	require.NoError(b, err)
	defer r.Body.Close()
	var a ui.Answer
	require.NoError(b, json.NewDecoder(r.Body).Decode(&a))
	return a
}

func firstRecipe(b testing.TB, p *page) string {
	r, err := p.client.Get(p.address + "/api/shelf")
	require.NoError(b, err)
	defer r.Body.Close()
	var shelf ui.ShelfAnswer
	require.NoError(b, json.NewDecoder(r.Body).Decode(&shelf))
	return shelf.Recipes[0].ID
}
