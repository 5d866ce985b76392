package main

import (
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/simulator"
	"gramcup/ui"
)

// TestUnpluggedOnARealLine pulls the plug for ten seconds in mid-pour: the
// program as a process, the serial library, a pseudo-terminal that goes away
// and comes back as another one under the same link.
func TestUnpluggedOnARealLine(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	link := filepath.Join(folder, "scale")
	sim := simulated(16)
	ctx, cancel := context.WithCancel(context.Background())
	var parts sync.WaitGroup
	parts.Go(func() { sim.Run(ctx) })
	defer func() { cancel(); parts.Wait() }()
	pull := plugged(t, sim, link)
	p := startProgram(t, "serve", "--scale", link, "--data", filepath.Join(folder, "book"), "--listen", "127.0.0.1:0")
	w := dialPage(t, p.address)
	waitWeight(t, w)
	a := w.post(t, ui.CommandBody{Do: string(mix.VerbStart), Start: &ui.StartBody{RecipeID: firstRecipe(t, w), Kind: "volume", ML: 60}})
	require.True(t, a.OK, a.Sentence)

	var puller sync.WaitGroup
	var inCup float64
	var again func()
	puller.Go(func() {
		for ctx.Err() == nil && sim.True()[0] < 25 {
			time.Sleep(20 * time.Millisecond)
		}
		pull()
		inCup = sim.True()[0]
		time.Sleep(10 * time.Second)
		again = plugged(t, sim, link)
	})
	reasons := map[string]bool{}
	hand := make(chan struct{})
	watching := dialPage(t, p.address)
	go func() {
		defer close(hand)
		for {
			if _, _, err := watching.read(); err != nil && !watching.comesBack(ctx) {
				return
			}
			reasons[watching.view.Hold] = true
			if mix.State(watching.view.State).Ended() && watching.view.Batch == a.View.Batch {
				return
			}
		}
	}()
	readsPage(ctx, t, sim, w)
	puller.Wait()
	defer again()
	<-hand
	require.Equal(t, "complete", w.view.State)
	require.True(t, w.view.OnTheLine, "%+v", w.view.Components)
	require.True(t, reasons[string(mix.HoldScaleLost)], "both pages were told: %v", reasons)
	// On a machine that was away for longer than a scale may be silent there are more.
	_, counted, _ := strings.Cut(metricsText(t, w), "\ngramcup_scale_reconnects_total ")
	require.Regexp(t, `^[1-9]`, counted)
	t.Logf("unplugged with %.1f g in the cup", inCup)
	require.Greater(t, inCup, 20.0)
	require.Less(t, inCup, a.View.Components[0].TargetG, "it was in mid-pour")
	require.NoError(t, p.cmd.Process.Signal(os.Interrupt))
	require.NoError(t, p.cmd.Wait())

	b, err := book.Open(filepath.Join(folder, "book"))
	require.NoError(t, err)
	defer func() { require.NoError(t, b.Close()) }()
	batch := mix.Fold(must(b.Events(a.View.Batch)))
	for i, l := range batch.Layers[:batch.N()] {
		require.InDelta(t, sim.True()[i], l.Poured.Grams(), lateTipG, "nothing was lost: layer %d", i+1)
	}
}

func metricsText(t *testing.T, w *page) string {
	t.Helper()
	r, err := w.client.Get(w.address + "/metrics")
	require.NoError(t, err)
	defer func() { _ = r.Body.Close() }()
	require.Equal(t, http.StatusOK, r.StatusCode)
	text, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	return string(text)
}

// TestRecordAndReplayAsAProgram records what a scale sends on a real line, good
// frames, every byte there is and a torn frame, and plays the file back through
// the whole program into a second recording: the same bytes, in no
// less time than they took.
func TestRecordAndReplayAsAProgram(t *testing.T) {
	t.Parallel()
	var folder, first, sent string
	undisturbed(t, 2*time.Second, func() { // a scale that is away for three is lost, and what it sends just then too
		folder = t.TempDir()
		first = filepath.Join(folder, "first.cap")
		sent = recordedLine(t, filepath.Join(folder, "one"), first)
	})
	second := filepath.Join(folder, "second.cap")
	one := captured(t, first)
	require.True(t, strings.HasSuffix(string(one.Bytes()), sent), "what was sent stands in the file, byte by byte: %q", one.Bytes())
	require.Equal(t, "sma", one.Field("shape"))

	began := time.Now()
	p := startProgram(t, "serve", "--scale", "replay:"+first, "--data", filepath.Join(folder, "two"), "--listen", "127.0.0.1:0", "--record", second)
	require.Eventually(t, func() bool { return len(captured(t, second).Bytes()) >= len(one.Bytes()) }, patience, 20*time.Millisecond)
	took := time.Since(began)
	require.NoError(t, p.cmd.Process.Signal(os.Interrupt))
	require.NoError(t, p.cmd.Wait())
	two := captured(t, second)
	require.Equal(t, string(one.Bytes()), string(two.Bytes()), "replayed byte by byte")
	long := one.Chunks[len(one.Chunks)-1].At
	require.Greater(t, long, 3*time.Second)
	require.GreaterOrEqual(t, took, long, "with its times, not as fast as it can")
	t.Logf("%d bytes in %d chunks over %v, replayed in %d chunks over %v", len(one.Bytes()), len(one.Chunks), long, len(two.Chunks), two.Chunks[len(two.Chunks)-1].At)

	// A capture is never written over, and what was recorded can be decoded.
	status, _, errs := gramcup(t, "", "serve", "--scale", "replay:"+first, "--record", second, "--data", folder)
	require.NotZero(t, status)
	require.Contains(t, errs, "never overwrites")
	status, out, errs := gramcup(t, "", "decode", "--line", "sma", first)
	require.Zero(t, status, errs)
	require.Contains(t, out, "two numbers")
}

// recordedLine is a program that records a line. It gives what was sent at the end,
// in chunks half a second apart. Each is written only when the one before stands in
// the file, or a line that nobody reads in time would throw it away; and a good
// frame comes often enough for the scale not to be taken for silent.
func recordedLine(t *testing.T, data, file string) (sent string) {
	t.Helper()
	pty, err := simulator.OpenPty("")
	require.NoError(t, err)
	defer func() { _ = pty.Close() }()
	go func() { _, _ = io.Copy(io.Discard, pty) }() // what the bench asks of the scale
	p := startProgram(t, "serve", "--scale", pty.Path, "--data", data, "--listen", "127.0.0.1:0", "--record", file)
	w := dialPage(t, p.address)
	stop, fed := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(fed)
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			case <-time.After(50 * time.Millisecond):
				_, _ = pty.Write(frame(i))
			}
		}
	}()
	waitWeight(t, w)
	close(stop)
	<-fed
	every := make([]byte, 256)
	for i := range every {
		every[i] = byte(i)
	}
	for _, chunk := range [][]byte{frame(7), every, frame(7), frame(8)[:11], frame(8)[11:], []byte("\n 1G    8:08.5l/o\r"), frame(9)} {
		_, err := pty.Write(chunk)
		require.NoError(t, err)
		sent += string(chunk)
		for late := time.Now().Add(20 * time.Second); !strings.HasSuffix(string(captured(t, file).Bytes()), sent) && time.Now().Before(late); {
			time.Sleep(20 * time.Millisecond) // what never comes is judged at the end
		}
		time.Sleep(500 * time.Millisecond)
	}
	require.NoError(t, p.cmd.Process.Signal(os.Interrupt))
	require.NoError(t, p.cmd.Wait())
	return sent
}

// captured reads a capture that may still be growing.
func captured(t *testing.T, path string) scale.Capture {
	t.Helper()
	text, err := os.ReadFile(path)
	if os.IsNotExist(err) {
		return scale.Capture{}
	}
	require.NoError(t, err)
	whole := text[:strings.LastIndexByte(string(text), '\n')+1]
	c, err := scale.ReadCapture(strings.NewReader(string(whole)))
	require.NoError(t, err)
	return c
}
