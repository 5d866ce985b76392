package ui

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/scale"
)

// notebook is a book in memory.
type notebook struct {
	mu     sync.Mutex
	events []mix.Recorded
}

func (n *notebook) Append(e []mix.Recorded, _ []byte, _ *mix.Summary) error {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.events = append(n.events, e...)
	return nil
}

// Recall is never asked for here: nothing fails.
func (n *notebook) Recall(string) ([]mix.Recorded, error) { return n.events, nil }

// deaf is a scale that takes no requests.
type deaf struct{}

func (deaf) Ask(scale.Request) error { return nil }

// From a tap on the page through the real bench and back to every page: the
// start is answered with the batch, both pages see it, the same press again
// does nothing, and a press on what is no longer there is refused.
func TestPressToPageThroughTheBench(t *testing.T) { synctest.Test(t, pressToPageThroughTheBench) }

func pressToPageThroughTheBench(t *testing.T) {
	hub := NewHub(HubConfig{Station: "Bench 1"})
	book := new(notebook)
	b := bench.New(bench.Config{
		Journal: book, Audience: Audiences{hub}, Asker: deaf{}, Log: slog.New(slog.DiscardHandler),
		Boot: "boot", Began: time.Now(), Division: scale.Gram / 10,
	}, nil)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- b.Run(ctx) }()
	defer func() {
		cancel()
		require.NoError(t, <-ended)
	}()
	r := newStillRig(t, func(c *Config) { c.Hub, c.Desk = hub, b })
	left, right := r.page(), r.page()

	press := func(key string, version uint64, do string) (int, Answer) {
		body := fmt.Sprintf(`{"key":%q,"batch":"b-0008","version":%d,"do":%q}`, key, version, do)
		if do == "start" {
			body = fmt.Sprintf(`{"key":%q,"batch":"","version":%d,"do":"start","start":{"recipe_id":"kl-primer","kind":"volume","ml":600}}`, key, version)
		}
		resp, text := r.send("POST", "/api/command", body, nil)
		return resp.StatusCode, into[Answer](t, []byte(text))
	}
	status, answer := press("one", 0, "start")
	require.Equal(t, http.StatusOK, status, answer.Sentence)
	require.Equal(t, "b-0008", answer.View.Batch)
	started := func(v View) bool { return v.Batch == "b-0008" }
	assert.Equal(t, *answer.View, until(t, left, started))
	assert.Equal(t, *answer.View, until(t, right, started))

	status, again := press("one", 0, "start")
	assert.Equal(t, http.StatusOK, status)
	assert.Equal(t, answer.View, again.View, "the same press again changes nothing")
	status, answer = press("two", 0, "abort")
	assert.Equal(t, http.StatusConflict, status)
	assert.Equal(t, "stale", answer.Code)

	b.Offer(time.Now(), scale.Reading{Number: scale.Decimal{Coefficient: 314, Places: 1}, HasNumber: true, Unit: scale.UnitGram, Motion: scale.MotionMoving})
	isCup := func(w Weight) bool { return w.ShownG == 31.4 }
	assert.Equal(t, uint64(1), until(t, left, isCup).Seq)
	assert.True(t, until(t, right, isCup).Valid)

	status, answer = press("three", 1, "abort")
	require.Equal(t, http.StatusOK, status, answer.Sentence)
	assert.Equal(t, "aborted", answer.View.State)
	assert.Equal(t, "aborted", until(t, right, func(v View) bool { return v.State != "running" }).State)
	book.mu.Lock()
	defer book.mu.Unlock()
	assert.Len(t, book.events, 2)
}
