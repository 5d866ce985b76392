package main

import (
	"context"
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/ui"
)

// TestDemoAsAProgram is the first minute with it: the demo as a process of its
// own, its page, a simulated painter who pours when he is asked over HTTP, and
// an orderly end that leaves nothing behind. How soon the page answered is
// printed; a limit on that would only measure the machine.
func TestDemoAsAProgram(t *testing.T) {
	temporary := t.TempDir()
	t.Setenv("TMPDIR", temporary)
	began := time.Now()
	p := startProgram(t, "demo", "--listen", "127.0.0.1:0")
	r, err := http.Get(p.address)
	require.NoError(t, err)
	require.NoError(t, r.Body.Close())
	require.Equal(t, http.StatusOK, r.StatusCode)
	t.Logf("from the start of the process to the page: %v", time.Since(began).Round(time.Millisecond))
	folders, err := filepath.Glob(filepath.Join(temporary, "gramcup-demo-*", "*"))
	require.NoError(t, err)
	require.NotEmpty(t, folders, "the book lies in a temporary folder")

	w := dialPage(t, p.address)
	waitWeight(t, w)
	require.Empty(t, w.view.Batch, "nothing is poured before it is asked for")
	var shelf ui.ShelfAnswer
	get, err := w.client.Get(w.address + "/api/shelf")
	require.NoError(t, err)
	require.NoError(t, json.NewDecoder(get.Body).Decode(&shelf))
	require.NoError(t, get.Body.Close())
	require.GreaterOrEqual(t, len(shelf.Recipes), 6)
	for _, recipe := range shelf.Recipes {
		for _, c := range recipe.Components {
			require.Contains(t, c.Source, "invented", "%s: %s", recipe.Name, c.Name)
		}
	}
	asked, err := w.client.Post(w.address+"/api/demo", "application/json", strings.NewReader(`{"do":"pour"}`))
	require.NoError(t, err)
	require.NoError(t, asked.Body.Close())
	require.Equal(t, http.StatusOK, asked.StatusCode)
	for poured := 0.0; poured < 5; { // grams of the first component, seen on the page
		if typ, body := w.next(t); typ == "weight" && w.view.Phase == "pour" {
			var weight ui.Weight
			require.NoError(t, json.Unmarshal(body, &weight))
			poured = weight.NetG
		}
	}
	require.NoError(t, p.cmd.Process.Signal(os.Interrupt))
	require.NoError(t, p.cmd.Wait())
	left, err := os.ReadDir(temporary)
	require.NoError(t, err)
	require.Empty(t, left, "and is gone with the demo")
}

// TestOnceThatDoesNotComeToItsLine: a status of 0 means a complete batch on the
// line and nothing else.
func TestOnceThatDoesNotComeToItsLine(t *testing.T) {
	status, out, errs := gramcup(t, "", "demo", "--once", "--json", "--volume-ml", "0.5")
	require.NotZero(t, status)
	require.Empty(t, out)
	require.Contains(t, errs, "0.5 ml is not an amount for a bench")

	status, _, errs = gramcup(t, "", "demo", "--once", "--volume-ml", "20000") // more than the scale can weigh
	require.NotZero(t, status)
	require.NotEmpty(t, errs)

	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var o, e strings.Builder
	require.NotZero(t, run(ctx, []string{"demo", "--once"}, strings.NewReader(""), &o, &e), "interrupted is not complete")
	require.NotEmpty(t, e.String())
}

// TestListeningWider is refused wherever it is asked for, with what would be
// right, and before anything is opened.
func TestListeningWider(t *testing.T) {
	capture := "replay:../../testdata/captures/sma/still.cap"
	folder := t.TempDir()
	file := filepath.Join(folder, "config.toml")
	require.NoError(t, os.WriteFile(file, []byte("[serve]\nlisten = \"0.0.0.0:8484\"\n"), 0o600))
	for name, args := range map[string][]string{
		"a flag":   {"serve", "--scale", capture, "--data", filepath.Join(folder, "book"), "--listen", ":8484"},
		"the file": {"serve", "--scale", capture, "--data", filepath.Join(folder, "book"), "--config", file},
		"the demo": {"demo", "--listen", "[::]:8484"},
	} {
		status, out, errs := gramcup(t, "", args...)
		require.NotZero(t, status, name)
		require.Empty(t, out, name)
		require.Contains(t, errs, "paired yet", name)
		require.Contains(t, errs, "localhost:", name)
		require.Equal(t, 1, strings.Count(errs, "\n"), errs)
	}
	t.Setenv("GRAMCUP_LISTEN", "192.0.2.7:80")
	status, _, errs := gramcup(t, "", "serve", "--scale", capture, "--data", filepath.Join(folder, "book"))
	require.NotZero(t, status)
	require.Contains(t, errs, "192.0.2.7")
}

// TestWhereTheBookLies: the user's state folder, unless told otherwise.
func TestWhereTheBookLies(t *testing.T) {
	t.Setenv("XDG_STATE_HOME", "")
	t.Setenv("HOME", "/home/somebody")
	require.Equal(t, "/home/somebody/.local/state/gramcup", stateFolder())
	t.Setenv("XDG_STATE_HOME", "/var/lib/state")
	require.Equal(t, "/var/lib/state/gramcup", stateFolder())
	t.Setenv("XDG_STATE_HOME", "relative") // the XDG specification has it ignored
	require.Equal(t, "/home/somebody/.local/state/gramcup", stateFolder())
	status, help, _ := gramcup(t, "", "serve", "--help")
	require.Zero(t, status)
	require.Contains(t, strings.Join(strings.Fields(help), ""), "/home/somebody/.local/state/gramcup")
	require.Contains(t, help, "127.0.0.1:8484")
}
