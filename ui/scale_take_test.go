package ui

import (
	"encoding/json"
	"errors"
	"net/http"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix/bench"
)

const strangerText = "Another scale answers on this line: it shows 1 g steps, the one before 0.1 g steps. Put the old one back, or take this one on the Scale page."

func TestTakingAnotherScaleOn(t *testing.T) { synctest.Test(t, takingAnotherScaleOn) }

func takingAnotherScaleOn(t *testing.T) {
	taken, failing := 0, error(nil)
	r := newStillRig(t, func(c *Config) {
		c.Take = func() error { taken++; return failing }
	})
	post := func(stranger string) (int, Answer) {
		body, err := json.Marshal(TakeBody{Stranger: stranger})
		require.NoError(t, err)
		resp, text := r.send(http.MethodPost, "/api/scale/take", string(body), nil)
		var a Answer
		require.NoError(t, json.Unmarshal([]byte(text), &a))
		return resp.StatusCode, a
	}
	status, a := post(strangerText)
	assert.Equal(t, http.StatusConflict, status)
	assert.Equal(t, "stale", a.Code, "no other scale answers")
	r.hub.Health(bench.Health{Scale: bench.ScaleLost, KeptOut: strangerText, Stranger: true})
	status, a = post("Another scale answers on this line: it shows 5 g steps.")
	assert.Equal(t, http.StatusConflict, status)
	assert.Equal(t, "stale", a.Code, "decided on another one")
	status, _ = post("")
	assert.Equal(t, http.StatusBadRequest, status)
	resp, _ := r.send(http.MethodPost, "/api/scale/take", `{"which":"any"}`, nil)
	assert.Equal(t, http.StatusBadRequest, resp.StatusCode)
	assert.Zero(t, taken)

	status, a = post(strangerText)
	assert.Equal(t, http.StatusOK, status)
	assert.True(t, a.OK)
	assert.Equal(t, 1, taken)
	failing = errors.New("no other scale answers on the line: there is nothing to take on")
	status, a = post(strangerText)
	assert.Equal(t, http.StatusConflict, status)
	assert.Equal(t, "No other scale answers on the line: there is nothing to take on.", a.Sentence)
}

// The act stands behind the same gates as a command: host, origin, session,
// method, kind of body.
func TestTakingIsGated(t *testing.T) { synctest.Test(t, takingIsGated) }

func takingIsGated(t *testing.T) {
	r := newStillRig(t, func(c *Config) {
		c.Take = func() error { t.Error("a gate let it through"); return nil }
	})
	r.hub.Health(bench.Health{Scale: bench.ScaleLost, KeptOut: strangerText, Stranger: true})
	body, err := json.Marshal(TakeBody{Stranger: strangerText})
	require.NoError(t, err)
	for name, c := range map[string]struct {
		method string
		change func(*http.Request)
		want   int
	}{
		"another host":   {http.MethodPost, func(q *http.Request) { q.Host = "evil.example" }, http.StatusMisdirectedRequest},
		"another origin": {http.MethodPost, func(q *http.Request) { q.Header.Set("Origin", "http://evil.example") }, http.StatusForbidden},
		"no session":     {http.MethodPost, func(q *http.Request) { q.Header.Del("Cookie") }, http.StatusForbidden},
		"a GET":          {http.MethodGet, nil, http.StatusMethodNotAllowed},
		"a form":         {http.MethodPost, func(q *http.Request) { q.Header.Set("Content-Type", "text/plain") }, http.StatusUnsupportedMediaType},
	} {
		resp, _ := r.send(c.method, "/api/scale/take", string(body), c.change)
		assert.Equal(t, c.want, resp.StatusCode, name)
	}
}

func TestHealthTellsOfAStranger(t *testing.T) {
	golden(t, "health_stranger", healthOf(bench.Health{Scale: bench.ScaleLost, Identity: "comma line, 0.1 g", Reason: strangerText, KeptOut: strangerText, Stranger: true}))
	unit := "The scale shows oz, before it showed g. Set it back to g on the scale, or keep it in oz on the Scale page."
	h := healthOf(bench.Health{Scale: bench.ScaleLost, Reason: unit, KeptOut: unit})
	assert.Equal(t, []string{unit}, h.Problems)
	assert.Empty(t, h.Stranger, "it is no other one")
	assert.Equal(t, unit, h.OtherUnit, "set back, or kept so")
	assert.Empty(t, healthOf(bench.Health{Scale: bench.ScaleFound}).Problems)
}
