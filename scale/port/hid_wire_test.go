package port

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"gramcup/scale"
	"gramcup/scale/scaletest"
)

// hidPair is a device and the wire to it. The socket keeps the reports apart
// like the real node does: one read, one report.
func hidPair(t *testing.T) (w *hidWire, device *os.File) {
	t.Helper()
	fds, err := unix.Socketpair(unix.AF_UNIX, unix.SOCK_SEQPACKET|unix.SOCK_NONBLOCK|unix.SOCK_CLOEXEC, 0)
	require.NoError(t, err)
	device = os.NewFile(uintptr(fds[0]), "device")
	w = newHIDWire("hid:1234:00ab", os.NewFile(uintptr(fds[1]), "wire"))
	t.Cleanup(func() { _ = w.Close(); _ = device.Close() })
	return w, device
}

// data is a report: its state, and tenths of a gram.
func data(state byte, tenths uint16) []byte {
	return []byte{3, state, 2, 0xFF, byte(tenths), byte(tenths >> 8)}
}

func send(t *testing.T, device io.Writer, reports ...[]byte) {
	t.Helper()
	for _, r := range reports {
		_, err := device.Write(r)
		require.NoError(t, err)
	}
}

func readReport(t *testing.T, w io.Reader) []byte {
	t.Helper()
	watch := time.AfterFunc(patience, func() { panic("no report comes") })
	defer watch.Stop()
	buf := make([]byte, 64)
	n, err := w.Read(buf)
	require.NoError(t, err)
	return buf[:n]
}

func TestHIDDropsTheStaleFirstReport(t *testing.T) {
	w, device := hidPair(t)
	w.opened = time.Now().Add(time.Hour) // however slow the machine is, this comes at once
	send(t, device, data(4, 9999), data(3, 11), data(3, 12))
	assert.Equal(t, data(3, 11), readReport(t, w))
	assert.Equal(t, data(3, 12), readReport(t, w))

	w, device = hidPair(t)
	w.slow() // it stood still for long, and the first report is of a change
	send(t, device, data(3, 11))
	assert.Equal(t, data(3, 11), readReport(t, w))
}

func TestHIDHandsOutDataReportsOnly(t *testing.T) {
	w, device := hidPair(t)
	w.slow()
	send(t, device, []byte{5, 1, 2, 3, 4, 5}, []byte{3, 4}, []byte{1}, data(3, 1), []byte{4, 3, 2, 0, 1, 0}, data(3, 2))
	assert.Equal(t, data(3, 1), readReport(t, w))
	assert.Equal(t, []byte{4, 3, 2, 0, 1, 0}, readReport(t, w))
	buf := make([]byte, 4)
	for _, want := range [][]byte{data(3, 2)[:4], data(3, 2)[4:]} {
		n, err := w.Read(buf)
		require.NoError(t, err)
		assert.Equal(t, want, buf[:n], "a small buffer loses nothing")
	}
}

// A device that reports changes only is at rest while it says nothing; one that
// sends the same again is not there while it says nothing; and a weight that
// was moving is not made up.
func TestHIDSilence(t *testing.T) {
	w, device := hidPair(t)
	w.slow()
	send(t, device, data(3, 10), data(4, 11))
	assert.Equal(t, data(3, 10), readReport(t, w))
	for range 3 {
		assert.Equal(t, data(4, 11), readReport(t, w))
	}
	silent := func(w *hidWire) {
		t.Helper()
		got := make(chan []byte, 1)
		go func() {
			buf := make([]byte, 64)
			n, _ := w.Read(buf)
			got <- buf[:n]
		}()
		select {
		case r := <-got:
			t.Fatalf("it made up % x", r)
		case <-time.After(3 * hidRepeat):
		}
		require.NoError(t, w.Close())
		assert.Empty(t, <-got)
	}
	w, device = hidPair(t)
	w.slow()
	send(t, device, data(4, 11), data(4, 11))
	readReport(t, w)
	readReport(t, w)
	silent(w)

	w, device = hidPair(t)
	w.slow()
	send(t, device, data(4, 11), data(3, 12))
	readReport(t, w)
	readReport(t, w)
	silent(w)
}

func TestHIDWritesAReport(t *testing.T) {
	w, device := hidPair(t)
	zero, ok := scale.HID{}.Request(nil, scale.RequestZero)
	require.True(t, ok)
	n, err := w.Write(zero)
	require.NoError(t, err)
	assert.Equal(t, 2, n)
	assert.Equal(t, []byte{2, 2}, readReport(t, device))
	require.NoError(t, w.Close())
	_, err = w.Write(zero)
	require.Error(t, err)
}

// A device that takes nothing can not hold the writer for longer than its
// limit.
func TestHIDWriteGivesUp(t *testing.T) {
	w, _ := hidPair(t)
	var err error
	for i := 0; err == nil && i < 100_000; i++ {
		_, err = w.Write([]byte{2, 2})
	}
	require.ErrorIs(t, err, ErrStuck)
}

func TestHIDUnplugged(t *testing.T) {
	w, device := hidPair(t)
	w.slow()
	send(t, device, data(4, 11))
	readReport(t, w)
	require.NoError(t, device.Close())
	require.Eventually(t, func() bool { _, err := w.Read(make([]byte, 64)); return err == ErrGone }, patience, time.Millisecond)
	_, err := w.Write([]byte{2, 2})
	require.ErrorIs(t, err, ErrGone)
}

// feedFIFO is a device that sends again and again. It keeps its reports apart as
// the real node does (pipe(2), O_DIRECT): a reader that was kept waiting would get
// the end of one with the beginning of another.
func feedFIFO(t *testing.T, path string) (stop func()) {
	t.Helper()
	file, err := os.OpenFile(path, os.O_RDWR|unix.O_NONBLOCK, 0)
	require.NoError(t, err)
	raw, err := file.SyscallConn()
	require.NoError(t, err)
	require.NoError(t, raw.Control(func(fd uintptr) {
		_, err = unix.FcntlInt(fd, unix.F_SETFL, unix.O_NONBLOCK|unix.O_DIRECT)
	}))
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() {
		defer close(done)
		defer file.Close()
		for ctx.Err() == nil {
			_, _ = file.Write(data(4, 4126)) // a full FIFO loses it, like a device that nobody reads
			time.Sleep(2 * time.Millisecond)
		}
	}()
	return func() { cancel(); <-done }
}

func TestHIDIsASource(t *testing.T) {
	b := newBus(t)
	b.plugHID("hidraw0", "1-1", "1234:00ab", "", scaleDescriptor)
	stop := feedFIFO(t, filepath.Join(b.dev, "hidraw0"))
	defer stop()
	o := b.hid("hid:" + filepath.Join(b.dev, "hidraw0"))
	scaletest.Source(t, scale.HID{}, func(ctx context.Context) (io.ReadWriteCloser, error) {
		w, err := o.open(ctx)
		if err != nil {
			return nil, err
		}
		return deaf{w}, nil
	})
}

// deaf keeps what is written away from a FIFO, which would give it back.
type deaf struct{ io.ReadWriteCloser }

func (d deaf) Write(p []byte) (int, error) {
	if _, err := d.ReadWriteCloser.Write(nil); err != nil {
		return 0, err
	}
	return len(p), nil
}

// The whole way: a device in sysfs, its node, the codec, and the plug pulled.
func TestHIDThroughAPort(t *testing.T) {
	b := newBus(t)
	b.plugHID("hidraw0", "1-1", "1234:00ab", "77", scaleDescriptor)
	node := filepath.Join(b.dev, "hidraw0")
	stop := feedFIFO(t, node)
	o := b.hid("hid:" + node)
	d := newDiary(t)
	// A FIFO does not hang up, so only its silence ends it: longer than a loaded
	// machine keeps the one that feeds it waiting.
	p, end := start(t, Config{Open: o.open, Identity: o.identity(), Codec: scale.HID{}, Stream: true, BackoffMin: 10 * time.Millisecond, SilenceReopen: 5 * time.Second}, d)
	require.Eventually(t, func() bool { return p.Stats().GoodFrames > 5 }, patience, time.Millisecond)
	stop()
	b.pullHID("hidraw0")
	require.Eventually(t, func() bool { return !p.Stats().Connected }, patience, time.Millisecond)
	b.plugHID("hidraw3", "1-9", "1234:00ab", "77", scaleDescriptor)
	stop = feedFIFO(t, filepath.Join(b.dev, "hidraw3"))
	defer stop()
	require.Eventually(t, func() bool { return p.Stats().Found == 2 }, patience, time.Millisecond)
	require.ErrorIs(t, p.Ask(scale.RequestTare), ErrNotSupported)
	end()
	assert.Zero(t, p.Stats().BadFrames)
	for _, e := range d.all("found") {
		assert.Equal(t, "hid:1234:00ab?serial=77", e.text)
	}
	assert.Len(t, d.all("lost"), 1)
}
