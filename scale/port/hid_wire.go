package port

import (
	"bytes"
	"errors"
	"io"
	"os"
	"sync"
	"syscall"
	"time"
)

const (
	// hidReport is longer than any report of a weighing device; one read of
	// the device gives one report and drops what does not fit.
	hidReport = 64
	// hidStale is how soon after opening a first report was made before it.
	// The device keeps one ready and gives it at once; one that comes later
	// tells of now.
	hidStale = 250 * time.Millisecond
	// hidRepeat is how long after the last report a device that reports only
	// changes is taken to show the same still.
	hidRepeat = 500 * time.Millisecond
)

// hidWire is one open weighing device. It hands out data reports (numbers 3 and
// 4) and nothing else that the device may say.
//
// A device may send its report again and again, or, at an idle rate of 0, only
// when it changes (Device Class Definition for HID 1.11, section 7.2.4). From
// one that was never seen to send the same report twice in a row, silence means
// that nothing changed, and what it last said is handed out again; the system
// tells when it is unplugged. That is done for a weight at rest only: one that
// was moving can not have stayed as it was.
type hidWire struct {
	name string
	file *os.File

	read    sync.Mutex // guards what follows, for readers that overlap
	opened  time.Time
	began   bool         // the first report was seen
	repeats bool         // it sends the same report again
	last    [6]byte      // the last data report
	has     bool         // last is one, at rest
	left    bytes.Buffer // of a report, for a reader with a small buffer
	report  [hidReport]byte

	closeOnce sync.Once
	closeErr  error
}

func newHIDWire(name string, file *os.File) *hidWire {
	return &hidWire{name: name, file: file, opened: time.Now()}
}

// Identity is the address under which the device is found again.
func (w *hidWire) Identity() string { return w.name }

// Read returns a data report. It waits until there is one, the wire is closed,
// or the device is gone (ErrGone).
func (w *hidWire) Read(p []byte) (int, error) {
	w.read.Lock()
	defer w.read.Unlock()
	for w.left.Len() == 0 {
		limit := time.Time{}
		if w.has && !w.repeats {
			limit = time.Now().Add(hidRepeat)
		}
		if err := w.file.SetReadDeadline(limit); err != nil {
			return 0, explainGoneHID(err)
		}
		n, err := w.file.Read(w.report[:])
		switch {
		case errors.Is(err, os.ErrDeadlineExceeded):
			w.left.Write(w.last[:])
		case err != nil:
			return 0, explainGoneHID(err)
		default:
			w.take(w.report[:n])
		}
	}
	return w.left.Read(p)
}

// take looks at one report and keeps it for the reader if it is of now and a
// data report.
func (w *hidWire) take(report []byte) {
	if len(report) < len(w.last) || report[0] != 3 && report[0] != 4 {
		return
	}
	first := !w.began
	w.began = true
	if first && time.Since(w.opened) < hidStale {
		return
	}
	w.repeats = w.repeats || w.has && bytes.Equal(report[:len(w.last)], w.last[:])
	copy(w.last[:], report)
	w.has = report[1] == 2 || report[1] == 4 // stable, at zero or not
	w.left.Write(report)
}

// Write sends one report. It gives up after a second with ErrStuck where the
// system lets it, and never writes after Close.
func (w *hidWire) Write(p []byte) (int, error) {
	if err := w.file.SetWriteDeadline(time.Now().Add(writeLimit)); err != nil {
		return 0, explainGoneHID(err)
	}
	n, err := w.file.Write(p)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return n, ErrStuck
	}
	return n, explainGoneHID(err)
}

// explainGoneHID: an unplugged device reads EIO and writes ENODEV; a stand-in
// for one ends.
func explainGoneHID(err error) error {
	if errors.Is(err, syscall.ENODEV) || errors.Is(err, syscall.EPIPE) || errors.Is(err, syscall.ECONNRESET) || errors.Is(err, io.EOF) {
		return ErrGone
	}
	return explainGone(err)
}

// Close wakes Read and lets the device go, within a second. A second Close
// returns what the first did.
func (w *hidWire) Close() error {
	w.closeOnce.Do(func() { w.closeErr = within(closeLimit, w.file.Close) })
	return w.closeErr
}
