package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"gramcup/scale"
	"gramcup/scale/find"
	"gramcup/scale/port"
	"gramcup/simulator"
)

// These tests run the search as a program on real pseudo-terminals. Speed and
// parity have no effect there: what is tried is which shape is found, and what
// is said and left behind; how settings are told apart is tested in scale/find.

// keepsUp is for how long the scale may keep the search waiting: it gives an answer
// more than half a second before it goes on without it.
const keepsUp = 500 * time.Millisecond

// foundOn is findOn where this process, which plays the scale, keeps up with it.
func foundOn(t *testing.T, bears time.Duration, args ...string) (status int, out, errs string) {
	t.Helper()
	undisturbed(t, bears, func() { status, out, errs = findOn(t, args...) })
	return status, out, errs
}

// findOn runs gramcup scale find as a process of its own.
func findOn(t *testing.T, args ...string) (status int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	cmd := exec.Command(os.Args[0], append([]string{"scale", "find"}, args...)...)
	cmd.Env = append(os.Environ(), asProgram+"=1")
	cmd.Stdout, cmd.Stderr = &o, &e
	err := cmd.Run()
	var ended *exec.ExitError
	if !errors.As(err, &ended) {
		require.NoError(t, err)
	}
	return cmd.ProcessState.ExitCode(), o.String(), e.String()
}

// scaleOnLine is a simulated scale of a shape on a pseudo-terminal, with
// somebody pouring or at rest, for the length of a test.
func scaleOnLine(t *testing.T, o simulator.Options, pours bool) (link string) {
	t.Helper()
	link = filepath.Join(t.TempDir(), "scale")
	sim := simulator.New(o)
	ctx, cancel := context.WithCancel(context.Background())
	var parts sync.WaitGroup
	parts.Go(func() { sim.Run(ctx) })
	if pours {
		parts.Go(func() { pourScenes(ctx, sim) })
	}
	pull := plugged(t, sim, link)
	t.Cleanup(func() { pull(); cancel(); parts.Wait() })
	return link
}

func TestScaleFindAsAProgram(t *testing.T) {
	t.Parallel()
	// Two shapes leave the unit out while the weight moves. What is found of them
	// depends on when the program begins to listen, so they stand still.
	for _, c := range []struct {
		line         string
		asked, still bool
	}{{line: "sma"}, {line: "sma", asked: true}, {line: "csv"}, {line: "csv-c"}, {line: "letters", asked: true}, {line: "signed-label", still: true},
		{line: "status-bytes-checksum"}, {line: "polled", asked: true}, {line: "framed", still: true}} {
		t.Run(fmt.Sprintf("%s, asked %v", c.line, c.asked), func(t *testing.T) {
			t.Parallel()
			codec, err := scale.CodecByName(c.line)
			require.NoError(t, err)
			link := scaleOnLine(t, simulator.Options{Seed: 3, Codec: codec, Preset: simulator.DecentBench(), OnRequest: c.asked}, !c.still)
			file := filepath.Join(t.TempDir(), "config.toml")
			var status int
			var out, errs string
			undisturbed(t, keepsUp, func() {
				require.NoError(t, os.WriteFile(file, []byte("# the bench\n[serve]\nwait = true # it is often off\n"), 0o600))
				status, out, errs = findOn(t, link, "--save="+file)
			})
			require.Zero(t, status, "%s\n%s", out, errs)
			assert.Contains(t, out, "  found: "+c.line+", 9600 8N1, in steps of 0.1 g, unit g, ")
			assert.Contains(t, errs, link+": listening at 9600 8N1 …\n")
			assert.Equal(t, c.asked, strings.Contains(out, "answers when it is asked"), out)
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			assert.Equal(t, "# the bench\n[serve]\nscale = \"serial:"+link+"?baud=9600&format=8n1\"\nline = \""+c.line+"\"\ndivision = \"0.1g\"\nwait = true # it is often off\n", string(text))
			_, err = readConfig(file)
			require.NoError(t, err)
		})
	}
}

// What it says to put into the file is what the bench then runs with.
func TestScaleFindThenServe(t *testing.T) {
	t.Parallel()
	link := scaleOnLine(t, simulator.Options{Seed: 4, Codec: scale.CSV{}, Preset: simulator.DecentBench()}, true)
	file := filepath.Join(t.TempDir(), "gramcup.toml")
	status, out, errs := foundOn(t, keepsUp, link, "--save="+file)
	require.Zero(t, status, "%s\n%s", out, errs)
	assert.Contains(t, errs, "gramcup serve --config "+file)
	p := startProgram(t, "serve", "--config", file, "--data", t.TempDir(), "--listen", "127.0.0.1:0")
	waitWeight(t, dialPage(t, p.address))
	require.NoError(t, p.cmd.Process.Signal(os.Interrupt))
	require.NoError(t, p.cmd.Wait())
}

// lineOfBytes is a pseudo-terminal that sends the same again and again, and
// keeps what it is sent.
func lineOfBytes(t *testing.T, send string) (path string, asked func() string) {
	t.Helper()
	pty, err := simulator.OpenPty("")
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	var parts sync.WaitGroup
	var mu sync.Mutex
	var got bytes.Buffer
	parts.Go(func() {
		buf := make([]byte, 256)
		for {
			n, err := pty.Read(buf)
			if err != nil {
				return
			}
			mu.Lock()
			got.Write(buf[:n])
			mu.Unlock()
		}
	})
	parts.Go(func() {
		for ctx.Err() == nil && send != "" {
			_, _ = io.WriteString(pty, send)
			pause(ctx, 100*time.Millisecond)
		}
	})
	t.Cleanup(func() { cancel(); _ = pty.Close(); parts.Wait() })
	return pty.Path, func() string { mu.Lock(); defer mu.Unlock(); return got.String() }
}

// Each trouble is told in words, with what to do, and a status that is not 0.
func TestScaleFindTroubles(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, send string
		says       []string
	}{
		{"silent", "", []string{"no scale found: it is silent", "no ask was answered", "set it to continuous"}},
		{"binary", "\xff\x10\x00\x41\x26\x00\xff\x10\x00\x41\x26\x00", []string{"it sends a binary format", "Set the output of the scale to text"}},
		{"text of another kind", "hello from the coffee machine\r\n", []string{"text that no shape reads", "gramcup scale listen \"serial:", "gramcup scale try --help"}},
		// 7 bits with even parity, read as 8: "HELLO SPRAY BOOTH" with the parity in the eighth bit.
		{"parity", withParity("HELLO SPRAY BOOTH 123\r\n"), []string{"7 bits with parity", "7E1"}},
		{"noise", "\x00\xf1\x80\x9c\xfe\x00\xc3\xa7\x81", []string{"make no sense", "speed, data bits and parity", "format=7e1"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			path, _ := lineOfBytes(t, c.send)
			status, out, errs := foundOn(t, 2*keepsUp, path, "--for", "6s")
			assert.Equal(t, 1, status)
			for _, s := range c.says {
				assert.Contains(t, out, s)
			}
			assert.NotContains(t, out, "[serve]")
			assert.NotContains(t, out, "serial:?", "a hint names the port")
			assert.Contains(t, errs, "gramcup scale find: no scale was found for certain")
		})
	}
}

func withParity(s string) string {
	b := []byte(s)
	for i, c := range b {
		for x := c; x != 0; x &= x - 1 {
			b[i] ^= 0x80
		}
	}
	return string(b)
}

// With --quiet not a byte is sent; without it, nothing but questions.
func TestScaleFindQuiet(t *testing.T) {
	t.Parallel()
	path, asked := lineOfBytes(t, "")
	status, _, _ := findOn(t, path, "--quiet", "--for", "3s")
	assert.Equal(t, 1, status)
	assert.Empty(t, asked())
	_, _, errs := findOn(t, path, "--for", "3s")
	assert.Contains(t, errs, "asking at 9600 8N1")
	require.Eventually(t, func() bool { return asked() != "" }, patience, 10*time.Millisecond)
	assert.Empty(t, strings.Trim(asked(), "WQSIP\x05\x11\x1b\r\n"), "only what asks for a weight")
}

func TestScaleFindSaysThatAPortIsInUse(t *testing.T) {
	t.Parallel()
	path, _ := lineOfBytes(t, "")
	other, err := port.OpenProbe(t.Context(), path)
	require.NoError(t, err)
	defer func() { require.NoError(t, other.Close()) }()
	status, out, errs := findOn(t, path, "/dev/ttyNOWHERE")
	assert.Equal(t, 1, status)
	assert.Contains(t, out, path+"\n  not found out: "+path+" is in use by another program")
	assert.Contains(t, out, "no such port /dev/ttyNOWHERE")
	assert.Contains(t, errs, "no scale was found for certain")
}

// Ctrl-C ends it at once, with the line as it was before.
func TestScaleFindIsStopped(t *testing.T) {
	t.Parallel()
	path, asked := lineOfBytes(t, "")
	setting := func() unix.Termios {
		fd, err := unix.Open(path, unix.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
		require.NoError(t, err)
		defer func() { require.NoError(t, unix.Close(fd)) }()
		s, err := unix.IoctlGetTermios(fd, unix.TCGETS2)
		require.NoError(t, err)
		return *s
	}
	before := setting()
	var out, errs bytes.Buffer
	cmd := exec.Command(os.Args[0], "scale", "find", path, "--for", "10m")
	cmd.Env = append(os.Environ(), asProgram+"=1")
	cmd.Stdout, cmd.Stderr = &out, &errs
	require.NoError(t, cmd.Start())
	require.Eventually(t, func() bool { return asked() != "" }, patience, 10*time.Millisecond)
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	_ = cmd.Wait()
	assert.Equal(t, 1, cmd.ProcessState.ExitCode())
	assert.Empty(t, out.String())
	assert.Contains(t, errs.String(), "stopped before the search was over")
	assert.Equal(t, before, setting())
}

// Behind a serial server there is a shape to find, and no setting.
func TestScaleFindOverTCP(t *testing.T) {
	t.Parallel()
	for name, parity := range map[string]bool{"as it should be": false, "with the parity bit passed on": true} {
		t.Run(name, func(t *testing.T) {
			server, err := net.Listen("tcp", "127.0.0.1:0")
			require.NoError(t, err)
			text := "ST,GS,+  412.6 g\r\n"
			if parity {
				text = withParity(text)
			}
			go func() {
				for {
					c, err := server.Accept()
					if err != nil {
						return
					}
					for err == nil {
						time.Sleep(50 * time.Millisecond)
						_, err = io.WriteString(c, text)
					}
					_ = c.Close()
				}
			}()
			defer func() { _ = server.Close() }()
			address := "tcp://" + server.Addr().String()
			status, out, errs := foundOn(t, keepsUp, address, "--for", "5s")
			if parity {
				assert.Equal(t, 1, status)
				assert.Contains(t, out, "passes them on with a parity bit: set it to 7e1")
				return
			}
			require.Zero(t, status, out)
			assert.Contains(t, out, "found: csv, set at the serial server, ")
			assert.Contains(t, out, "scale = \""+address+"\"\nline = \"csv\"\n")
			assert.NotContains(t, out, "9600")
			assert.NotContains(t, errs, "9600")
		})
	}
}

func TestScaleFindJSON(t *testing.T) {
	t.Parallel()
	link := scaleOnLine(t, simulator.Options{Seed: 5, Codec: scale.CSV{}, Preset: simulator.DecentBench()}, true)
	status, out, errs := foundOn(t, keepsUp, "--json", link, "/dev/null")
	require.Zero(t, status, errs)
	var list []foundJSON
	require.NoError(t, json.Unmarshal([]byte(out), &list))
	require.Len(t, list, 2)
	assert.Equal(t, find.Sure, list[0].Sure)
	assert.Equal(t, map[string]string{"scale": "serial:" + link + "?baud=9600&format=8n1", "line": "csv", "division": "0.1g"}, list[0].Config)
	assert.InDelta(t, 0.1, list[0].DivisionG, 1e-12)
	assert.False(t, list[1].Found)
	assert.Contains(t, list[1].Problem, "not a serial port")
}
