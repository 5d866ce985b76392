package main

import (
	"bufio"
	"context"
	"io"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.bug.st/serial"

	"gramcup/scale"
	"gramcup/simulator"
)

// The scene pours what it says, again and again, whatever the seed.
func TestSimScene(t *testing.T) {
	for seed := range uint64(5) {
		b := simulator.New(simulator.Options{Seed: seed})
		s := &scene{}
		cups := 0
		var poured []float64
		for wasOn := false; cups < 3; {
			require.Less(t, b.Now(), 10*time.Minute, "seed %d: the scene hangs in act %d", seed, s.act)
			s.step(b)
			b.Tick(sceneEvery)
			if wasOn && !b.CupOn() {
				cups++
				for k, g := range poured {
					assert.InDelta(t, sceneG[k], g, 3, "seed %d, cup %d", seed, cups)
				}
			}
			wasOn, poured = b.CupOn(), b.True()
		}
	}
}

func TestSimRefusesNonsense(t *testing.T) {
	good := simCmd{Line: "sma", Preset: "decent"}
	for _, c := range []struct {
		change func(*simCmd)
		want   string
	}{
		{func(c *simCmd) { c.Line = "morse" }, "--line"},
		{func(c *simCmd) { c.Preset = "huge" }, "--preset"},
		{func(c *simCmd) { c.Fault = []string{"silent"} }, "--fault"},
		{func(c *simCmd) { c.Fault = []string{"tired@3s"} }, "--fault"},
	} {
		cmd := good
		c.change(&cmd)
		err := cmd.Run(t.Context(), io.Discard)
		assert.ErrorContains(t, err, c.want)
	}
}

// A serial program opens the link, loses the line when the plug is pulled, and
// finds the scale again under the same link.
func TestSimOnItsLine(t *testing.T) {
	link := filepath.Join(t.TempDir(), "bench-scale")
	cmd := simCmd{Line: "sma", Preset: "decent", Link: link, Pour: true, Fault: []string{"unplugged@2s+1s"}}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	said, out := io.Pipe()
	done := make(chan error, 1)
	go func() {
		done <- cmd.Run(ctx, out)
		_ = out.Close()
	}()
	lines := bufio.NewScanner(said)
	expect := func(want string) {
		require.True(t, lines.Scan(), "it ended before it said %q", want)
		assert.Contains(t, lines.Text(), want)
	}
	expect("scale on /dev/pts/")
	expect("gramcup serve --scale " + link + " --line sma")
	hears(t, link)
	expect("unplugged")
	expect("scale on /dev/pts/")
	expect(link)
	hears(t, link)
	cancel()
	go func() { _, _ = io.Copy(io.Discard, said) }()
	require.NoError(t, <-done)
}

// hears opens the line like any program and reads until a frame is good.
func hears(t *testing.T, path string) {
	t.Helper()
	codec, err := scale.CodecByName("sma")
	require.NoError(t, err)
	port, err := serial.Open(path, &serial.Mode{BaudRate: 9600})
	require.NoError(t, err)
	defer func() { _ = port.Close() }()
	s := bufio.NewScanner(port)
	s.Split(codec.Split)
	var bad []string
	for range 10 {
		require.True(t, s.Scan(), "the line ended: %v", s.Err())
		r, err := codec.Decode(s.Bytes())
		if err == nil {
			assert.Equal(t, scale.UnitGram, r.Unit)
			return
		}
		bad = append(bad, s.Text())
	}
	t.Fatalf("no good frame in %s", strings.Join(bad, " | "))
}
