//go:build linux

package simulator_test

import (
	"bufio"
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.bug.st/serial"

	"gramcup/scale"
	"gramcup/simulator"
)

// openPty is a bench behind a real pseudo-terminal, in real time.
func openPty(t *testing.T, b *simulator.Bench, link string) *simulator.Pty {
	t.Helper()
	pty, err := simulator.OpenPty(link)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 2)
	go func() { b.Run(ctx); done <- nil }()
	go func() { done <- b.Serve(ctx, pty) }()
	t.Cleanup(func() {
		cancel()
		for range 2 {
			assert.NoError(t, <-done)
		}
		assert.NoError(t, pty.Close())
	})
	return pty
}

func TestSerialProgramReadsWholeFrames(t *testing.T) {
	codec, err := scale.CodecByName("sma")
	require.NoError(t, err)
	b := simulator.New(simulator.Options{Codec: codec})
	b.PlaceCup(180)
	link := filepath.Join(t.TempDir(), "bench-scale")
	pty := openPty(t, b, link)
	to, err := os.Readlink(link)
	require.NoError(t, err)
	assert.Equal(t, pty.Path, to)

	port, err := serial.Open(link, &serial.Mode{BaudRate: 9600})
	require.NoError(t, err)
	defer func() { assert.NoError(t, port.Close()) }()
	s := bufio.NewScanner(port)
	s.Split(codec.Split)
	good, tared, net := 0, false, false
	// A reader that comes late misses what waited for more than a second, and may
	// see the tare soon: the frames after it count as well.
	for good <= 10 || !net && good < 60 {
		require.True(t, s.Scan(), "%v", s.Err())
		r, err := codec.Decode(s.Bytes())
		require.NoError(t, err, "%q", s.Bytes())
		good++
		if r.Motion == scale.MotionStill && r.Mode == scale.ModeGross && r.Status == scale.StatusOK && !tared {
			tared = true
			_, err = port.Write([]byte("\nT\r"))
			require.NoError(t, err)
		}
		net = net || r.Mode == scale.ModeNet
	}
	assert.True(t, net)
	assert.Equal(t, scale.ModeNet, b.Reading().Mode, "the tare went through the line")
}

// Nobody reads: Write must not wait, and whoever opens the line later must
// come to the present.
func TestPtyWithoutAReader(t *testing.T) {
	pty, err := simulator.OpenPty("")
	require.NoError(t, err)
	defer func() { assert.NoError(t, pty.Close()) }()
	for range 20_000 { // far more than the kernel has room for
		n, err := pty.Write([]byte("0123456789abcdef"))
		require.NoError(t, err)
		require.Equal(t, 16, n)
	}
	port, err := serial.Open(pty.Path, &serial.Mode{BaudRate: 9600})
	require.NoError(t, err)
	defer func() { assert.NoError(t, port.Close()) }()
	require.NoError(t, port.SetReadTimeout(50*time.Millisecond))
	var got []byte
	buf := make([]byte, 4096)
	for begin := time.Now(); !bytes.Contains(got, []byte("now")); {
		require.Less(t, time.Since(begin), 4*time.Minute, "it hangs")
		_, err = pty.Write([]byte("now"))
		require.NoError(t, err)
		n, err := port.Read(buf)
		require.NoError(t, err)
		got = append(got, buf[:n]...)
	}
	assert.Less(t, len(got), 100_000, "of 320 000 bytes")
}

func TestPtyLink(t *testing.T) {
	dir := t.TempDir()
	inTheWay := filepath.Join(dir, "file")
	require.NoError(t, os.WriteFile(inTheWay, nil, 0o600))
	_, err := simulator.OpenPty(inTheWay)
	assert.ErrorContains(t, err, "in the way")

	link := filepath.Join(dir, "scale")
	require.NoError(t, os.Symlink("/nowhere", link))
	first, err := simulator.OpenPty(link)
	require.NoError(t, err)
	second, err := simulator.OpenPty(link)
	require.NoError(t, err)
	require.NoError(t, first.Close())
	to, err := os.Readlink(link)
	require.NoError(t, err, "the link belongs to the second now")
	assert.Equal(t, second.Path, to)
	require.NoError(t, second.Close())
	_, err = os.Lstat(link)
	assert.ErrorIs(t, err, os.ErrNotExist)
	assert.NoError(t, second.Close(), "twice is no error")
}
