package ui

import (
	"net/http"
	"strings"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestStripOfACup(t *testing.T) { synctest.Test(t, stripOfACup) }

func stripOfACup(t *testing.T) {
	r := newStillRig(t, nil)
	got := get[StripAnswer](r, "/api/strip?recipe=kl-primer&ml=300&cup=85x120")
	require.Len(t, got.Components, 3)
	// 200 ml in a straight can of 85 mm: 200 000 / (π·42.5²) = 35.2 mm.
	assert.InDelta(t, 35.245, got.Components[0].MarkMM, 0.001)
	assert.InDelta(t, 52.868, got.Components[2].MarkMM, 0.001)
	// 1.5 mm at the upper and the lower mark of a column of 8.811 mm.
	assert.InDelta(t, 0.2407, got.Components[1].StickError, 0.001)
	assert.Less(t, got.Components[1].ScaleError, got.Components[1].StickError/5)
	assert.Empty(t, got.WhyNoScale)

	resp, text := r.send(http.MethodGet, "/api/strip.svg?recipe=kl-primer&ml=300&cup=70/95x120", "", nil)
	require.Equal(t, http.StatusOK, resp.StatusCode, text)
	assert.Equal(t, "image/svg+xml", resp.Header.Get("Content-Type"))
	assert.Contains(t, text, "Hardener H to here")
	resp, text = r.send(http.MethodGet, "/api/strip.pdf?recipe=kl-primer&ml=300&cup=85x120", "", nil)
	require.Equal(t, http.StatusOK, resp.StatusCode)
	assert.True(t, strings.HasPrefix(text, "%PDF-"))
}

func TestStripsThatCanNotBe(t *testing.T) { synctest.Test(t, stripsThatCanNotBe) }

func stripsThatCanNotBe(t *testing.T) {
	r := newStillRig(t, nil)
	for path, want := range map[string]string{
		"?recipe=kl-primer&ml=300&cup=85":     "write 85x120",
		"?recipe=kl-primer&ml=3000&cup=85x80": "to the brim",
		"?recipe=kl-primer&ml=x&cup=85x80":    "give a number",
		"?recipe=nobody&ml=300&cup=85x80":     "no recipe",
	} {
		for _, kind := range []string{"", ".svg", ".pdf"} {
			resp, text := r.send(http.MethodGet, "/api/strip"+kind+path, "", nil)
			assert.GreaterOrEqual(t, resp.StatusCode, 400, path)
			assert.Contains(t, text, want, path)
		}
	}
}
