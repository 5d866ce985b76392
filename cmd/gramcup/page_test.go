package main

import (
	"context"
	"encoding/json"
	"net"
	"net/http"
	"net/http/cookiejar"
	"strings"
	"testing"

	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/require"

	"gramcup/ui"
)

// page is a websocket client with its session, as a browser would be.
type page struct {
	conn    *websocket.Conn
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
	d := websocket.Dialer{Jar: jar, NetDialContext: dial}
	p.conn, _, err = d.Dial("ws"+strings.TrimPrefix(p.address, "http")+"/stream", http.Header{"Origin": {p.address}})
	require.NoError(b, err)
	b.Cleanup(func() {
		_ = p.conn.Close()
		p.client.CloseIdleConnections()
	})
	return p
}

// next reads one message and keeps the view.
func (p *page) next(b testing.TB) (typ string, body []byte) {
	typ, body, err := p.read()
	require.NoError(b, err)
	return typ, body
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
