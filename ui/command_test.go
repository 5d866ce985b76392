package ui

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

const start = `{"key":"k1","version":3,"do":"start","start":{"recipe_id":"kl-primer","kind":"volume","ml":600}}`

// A start is handed over with the recipe of the shelf, a fresh name and the
// division of the scale; the bench stamps it.
func TestCommandReachesTheBench(t *testing.T) { synctest.Test(t, commandReachesTheBench) }

func commandReachesTheBench(t *testing.T) {
	var got mix.Command
	r := newStillRig(t, func(c *Config) {
		c.Desk = deskFunc(func(_ context.Context, cmd mix.Command) (mix.Batch, error) {
			got = cmd
			return pouring().b, nil
		})
	})
	resp, body := r.send("POST", "/api/command", start, nil)
	require.Equal(t, http.StatusOK, resp.StatusCode, body)
	assert.Equal(t, mix.Command{Key: "k1", Version: 3, Do: mix.VerbStart, Order: &mix.Order{
		ID: "b-0008", Recipe: primer(), Amount: mix.Amount{Kind: mix.AmountVolume, ML: 600}, Division: scale.Gram / 10,
	}}, got)
	answer := into[Answer](t, []byte(body))
	assert.True(t, answer.OK)
	require.NotNil(t, answer.View)
	assert.Equal(t, viewOf(pouring().b), *answer.View)
	assert.Equal(t, "no-store", resp.Header.Get("Cache-Control"))

	resp, body = r.send("POST", "/api/command", `{"key":"k2","batch":"b-0007","version":4,"do":"level-up"}`, func(req *http.Request) {
		req.Header.Set("Content-Type", "application/json; charset=UTF-8")
	})
	require.Equal(t, http.StatusOK, resp.StatusCode, body)
	assert.Equal(t, mix.Command{Key: "k2", Batch: "b-0007", Version: 4, Do: mix.VerbLevelUp}, got)
}

func TestRefusalsOfTheBench(t *testing.T) { synctest.Test(t, refusalsOfTheBench) }

func refusalsOfTheBench(t *testing.T) {
	var refusal error
	r := newStillRig(t, func(c *Config) {
		c.Desk = deskFunc(func(context.Context, mix.Command) (mix.Batch, error) { return mix.Batch{}, refusal })
	})
	for _, c := range []struct {
		err    error
		status int
		code   string
	}{
		{&mix.Refusal{Code: mix.RefusedStale, Sentence: "the batch has moved on"}, 409, "stale"},
		{&mix.Refusal{Code: mix.RefusedNotNow, Sentence: "not now"}, 409, "not-now"},
		{&mix.Refusal{Code: mix.RefusedMoving, Sentence: "it moves"}, 409, "moving"},
		{&mix.Refusal{Code: mix.RefusedNoScale, Sentence: "no scale"}, 409, "no-scale"},
		{&mix.Refusal{Code: mix.RefusedOrder, Sentence: "no such amount"}, 422, "bad-order"},
		{&mix.Refusal{Code: mix.RefusedFrozen, Sentence: "the disk is full"}, 503, "frozen"},
		{fmt.Errorf("do: %w", &mix.Refusal{Code: mix.RefusedStale, Sentence: "wrapped"}), 409, "stale"},
		{errors.New("the bench is busy"), 503, "no-answer"},
		{context.DeadlineExceeded, 503, "no-answer"},
	} {
		refusal = c.err
		resp, body := r.send("POST", "/api/command", `{"key":"k","version":1,"do":"hold"}`, nil)
		assert.Equal(t, c.status, resp.StatusCode, "%v", c.err)
		assert.Equal(t, c.code, into[Answer](t, []byte(body)).Code, "%v", c.err)
		assertRefusal(t, c.code, "/api/command", resp, body)
	}
}

// The bench is never asked for what is refused at the gate.
func TestRefusalsAtTheGate(t *testing.T) { synctest.Test(t, refusalsAtTheGate) }

func refusalsAtTheGate(t *testing.T) {
	r := newStillRig(t, func(c *Config) {
		c.Desk = deskFunc(func(_ context.Context, cmd mix.Command) (mix.Batch, error) {
			t.Errorf("the bench was asked for %+v", cmd)
			return mix.Batch{}, nil
		})
		c.Hub = NewHub(HubConfig{})
	})
	for _, c := range []struct {
		name, body, kind string
		status           int
		code             string
	}{
		{"no body", "", "", 400, "bad-request"},
		{"no object", "null", "", 400, "bad-request"},
		{"no JSON", "do=hold", "", 400, "bad-request"},
		{"unknown field", `{"key":"k","version":1,"do":"hold","role":"owner"}`, "", 400, "bad-request"},
		{"unknown field in the start", `{"key":"k","do":"start","start":{"recipe_id":"a","kind":"mass","g":5,"tolerance":1}}`, "", 400, "bad-request"},
		{"unknown verb", `{"key":"k","version":1,"do":"format"}`, "", 400, "bad-request"},
		{"no key", `{"version":1,"do":"hold"}`, "", 400, "bad-request"},
		{"long key", `{"key":"` + strings.Repeat("k", 65) + `","do":"hold"}`, "", 400, "bad-request"},
		{"key with a line break", `{"key":"a\nb","do":"hold"}`, "", 400, "bad-request"},
		{"negative version", `{"key":"k","version":-1,"do":"hold"}`, "", 400, "bad-request"},
		{"start of nothing", `{"key":"k","do":"start"}`, "", 400, "bad-request"},
		{"start without a recipe", `{"key":"k","do":"start","start":{"kind":"mass","g":5}}`, "", 400, "bad-request"},
		{"recipe for a hold", `{"key":"k","do":"hold","start":{"recipe_id":"a"}}`, "", 400, "bad-request"},
		{"two commands", `{"key":"k","do":"hold"}{"key":"l","do":"abort"}`, "", 400, "bad-request"},
		{"a tail", `{"key":"k","do":"hold"}x`, "", 400, "bad-request"},
		{"huge", `{"key":"` + strings.Repeat("k", 5000) + `"}`, "", 413, "too-large"},
		{"huge tail", `{"key":"k","do":"hold"}` + strings.Repeat(" ", 5000), "", 413, "too-large"},
		{"a recipe that is not there", `{"key":"k","do":"start","start":{"recipe_id":"gone","kind":"mass","g":5}}`, "", 422, "bad-order"},
		{"a form", `{"key":"k","do":"hold"}`, "text/plain", 415, "not-json"},
		{"another charset", `{"key":"k","do":"hold"}`, "application/json; charset=utf-16", 415, "not-json"},
		{"no kind", `{"key":"k","do":"hold"}`, "-", 415, "not-json"},
	} {
		resp, body := r.send("POST", "/api/command", c.body, func(req *http.Request) {
			switch c.kind {
			case "":
			case "-":
				req.Header.Del("Content-Type")
			default:
				req.Header.Set("Content-Type", c.kind)
			}
		})
		assert.Equal(t, c.status, resp.StatusCode, "%s: %s", c.name, body)
		assert.Equal(t, c.code, into[Answer](t, []byte(body)).Code, c.name)
		assertRefusal(t, c.name, "/api/command", resp, body)
	}
	for _, c := range []struct{ method, path, allow string }{
		{"GET", "/api/command", "POST"}, {"PUT", "/api/command", "POST"}, {"POST", "/api/shelf", "GET, HEAD"},
		{"DELETE", "/", "GET, HEAD"}, {"POST", "/stream", "GET, HEAD"},
	} {
		resp, body := r.send(c.method, c.path, "", nil)
		assert.Equal(t, http.StatusMethodNotAllowed, resp.StatusCode, "%s %s", c.method, c.path)
		assert.Equal(t, c.allow, resp.Header.Get("Allow"))
		assertRefusal(t, c.path, c.path, resp, body)
	}
}

func TestShelfFailureIsSaid(t *testing.T) { synctest.Test(t, shelfFailureIsSaid) }

func shelfFailureIsSaid(t *testing.T) {
	r := newStillRig(t, func(c *Config) {
		c.Shelf = shelfOf{err: errors.New("read the shelf: the disk is gone")}
	})
	for _, path := range []string{"/api/shelf", "/api/plan?recipe=kl-primer&kind=volume&ml=5"} {
		resp, body := r.send("GET", path, "", nil)
		assert.Equal(t, http.StatusServiceUnavailable, resp.StatusCode)
		assert.Contains(t, body, "the disk is gone")
	}
	resp, _ := r.send("POST", "/api/command", start, nil)
	assert.Equal(t, http.StatusServiceUnavailable, resp.StatusCode)
}

func TestTooManyCommands(t *testing.T) { synctest.Test(t, tooManyCommands) }

func tooManyCommands(t *testing.T) {
	r := newStillRig(t, nil)
	press := func() *http.Response {
		resp, _ := r.send("POST", "/api/command", `{"key":"k","version":1,"do":"hold"}`, nil)
		return resp
	}
	for range commandsBurst {
		require.Equal(t, http.StatusOK, press().StatusCode)
	}
	resp := press()
	assert.Equal(t, http.StatusTooManyRequests, resp.StatusCode)
	assert.Equal(t, "1", resp.Header.Get("Retry-After"))
	time.Sleep(time.Second)
	for range commandsPerS {
		require.Equal(t, http.StatusOK, press().StatusCode, "it waited as it was told")
	}
	assert.Equal(t, http.StatusTooManyRequests, press().StatusCode)
}

// Whatever arrives is either refused with a sentence or is a command that can
// be written and read again without a change.
func FuzzCommandBody(f *testing.F) {
	f.Add(start)
	f.Add(`{"key":"k","version":1,"do":"hold"}`)
	f.Add(`{"key":"k","version":18446744073709551615,"do":"abort"} `)
	f.Add(`{"key":"k","do":"start","start":{"recipe_id":"a","kind":"mass","g":1e999}}`)
	f.Add(`{"key":"\ud800","do":"hold"}`)
	f.Add(`[]`)
	f.Fuzz(func(t *testing.T, body string) {
		c, err := decodeCommand(strings.NewReader(body))
		if err != nil {
			assert.Equal(t, CommandBody{}, c)
			assert.NotEmpty(t, err.Error())
			return
		}
		assert.NotEmpty(t, c.Key)
		assert.LessOrEqual(t, len(c.Key), maxKeyBytes)
		assert.Contains(t, mix.Verbs(), mix.Verb(c.Do))
		assert.Equal(t, c.Do == "start", c.Start != nil)
		written, err := json.Marshal(c)
		require.NoError(t, err)
		again, err := decodeCommand(strings.NewReader(string(written)))
		require.NoError(t, err)
		assert.Equal(t, c, again)
	})
}

// Who wrote the request reads what belongs there, not what the program calls it.
func TestWrongKindOfValueIsSaid(t *testing.T) {
	for body, want := range map[string]string{
		`{"key":"k","do":"start","start":{"recipe_id":"a","ml":"600"}}`: "start.ml is a string where a number of usual size belongs",
		`{"key":"k","do":"start","start":{"recipe_id":"a","ml":1e999}}`: "start.ml is a number 1e999 where a number of usual size belongs",
		`{"key":"k","do":"hold","version":1.5}`:                         "version is a number 1.5 where a whole number from 0 belongs",
		`{"key":7,"do":"hold"}`:                                         "key is a number where a text belongs",
		`{"key":"k","do":"start","start":[]}`:                           "start is an array where an object belongs",
	} {
		_, err := decodeCommand(strings.NewReader(body))
		require.ErrorContains(t, err, want)
		require.NotContains(t, err.Error(), "Go ")
	}
}

// What is wrong with a body is said in words for who wrote the request, and not
// in those of the program.
func TestAnUnreadableBodyIsSaid(t *testing.T) { synctest.Test(t, anUnreadableBodyIsSaid) }

func anUnreadableBodyIsSaid(t *testing.T) {
	r := newStillRig(t, nil)
	for body, says := range map[string]string{
		"":            "The body is empty: send a JSON object.",
		"{":           "The body ends in the middle of its JSON.",
		"[]":          "The body is an array where an object belongs.",
		`"x"`:         "The body is a string where an object belongs.",
		`{"extra":1}`: `The body could not be read: unknown field "extra".`,
	} {
		resp, got := r.send("POST", "/api/command", body, nil)
		assert.Equal(t, http.StatusBadRequest, resp.StatusCode, body)
		assert.Equal(t, says, into[Answer](t, []byte(got)).Sentence)
	}
}
