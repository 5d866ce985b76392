package main

import (
	"encoding/json"
	"io"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"gramcup/ui"
)

// Before any batch is started /readyz and the page say that there is no room for
// the book, and take it back when there is. The kernel lets no file of the running
// program grow meanwhile.
func TestReadyzKnowsThatThereIsNoRoom(t *testing.T) {
	t.Parallel() // it waits for the next look most of the time
	p := startProgram(t, "demo", "--listen", "127.0.0.1:0")
	w := dialPage(t, p.address)
	waitWeight(t, w)
	problems := func(want string) {
		for {
			typ, body := w.next(t)
			var h ui.Health
			if typ != "health" {
				continue
			}
			require.NoError(t, json.Unmarshal(body, &h))
			if strings.Join(h.Problems, " ") == want {
				return
			}
		}
	}
	ready := func() (int, string) {
		r, err := http.Get(p.address + "readyz")
		require.NoError(t, err)
		defer func() { require.NoError(t, r.Body.Close()) }()
		body, err := io.ReadAll(r.Body)
		require.NoError(t, err)
		return r.StatusCode, string(body)
	}
	status, text := ready()
	require.Equal(t, http.StatusOK, status, text)

	var limit unix.Rlimit
	pid := p.cmd.Process.Pid
	require.NoError(t, unix.Prlimit(pid, unix.RLIMIT_FSIZE, nil, &limit))
	tight := limit
	tight.Cur = 4096
	require.NoError(t, unix.Prlimit(pid, unix.RLIMIT_FSIZE, &tight, nil))
	began := time.Now()
	const sentence = "The book may not take its next entry: the disk is full, free some space"
	problems(sentence)
	t.Logf("the page said so after %v", time.Since(began).Round(100*time.Millisecond))
	status, text = ready()
	require.Equal(t, http.StatusServiceUnavailable, status)
	require.Equal(t, sentence+"\n", text)

	require.NoError(t, unix.Prlimit(pid, unix.RLIMIT_FSIZE, &limit, nil))
	problems("")
	status, text = ready()
	require.Equal(t, http.StatusOK, status, text)
	require.NoError(t, p.cmd.Process.Signal(os.Interrupt))
	require.NoError(t, p.cmd.Wait())
}
