package port

import (
	"bytes"
	"context"
	"errors"
	"io"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
	"gramcup/scale/scaletest"
)

// tape writes a recording of n frames, one every 100 ms, of 0.0, 0.1, 0.2 g …
func tape(t testing.TB, n int) string {
	t.Helper()
	times := make([]int, n)
	for i := range times {
		times[i] = i * 100
	}
	return tapeOf(t, times, func(i int) uint64 { return uint64(i) })
}

// tapeOf writes a recording with a frame at each of the times, in ms.
func tapeOf(t testing.TB, times []int, tenths func(i int) uint64) string {
	t.Helper()
	capture := scale.Capture{Header: []string{"shape: sma", "made: by a test"}}
	for i, at := range times {
		b := &benchScale{codec: smaCodec(), tenths: tenths(i)}
		capture.Chunks = append(capture.Chunks, scale.Chunk{At: ms(at), Data: b.frame()})
	}
	var out bytes.Buffer
	require.NoError(t, capture.Write(&out))
	path := filepath.Join(t.TempDir(), "pour.cap")
	require.NoError(t, os.WriteFile(path, out.Bytes(), 0o644))
	return path
}

func TestReplayIsASource(t *testing.T) {
	scaletest.Source(t, smaCodec(), opener(t, "replay:"+tape(t, 50)+"?loop=1&speed=50"))
}

func TestReplayAsFastAsItCanIsASource(t *testing.T) {
	scaletest.Source(t, smaCodec(), opener(t, "replay:"+tape(t, 50)+"?loop=1&speed=max"))
}

func TestReplayKeepsTheTimes(t *testing.T) {
	path := tape(t, 30)
	for speed, every := range map[string]time.Duration{"1": ms(100), "10": ms(10), "0.5": ms(200), "max": 0} {
		bubble(t, func(t *testing.T) {
			open := opener(t, "replay:"+path+"?speed="+speed)
			trial, err := open(t.Context())
			require.NoError(t, err)
			require.NoError(t, trial.Close())
			time.Sleep(time.Second)
			begin := time.Now()
			d := newDiary(t)
			p, stop := start(t, Config{Open: open, Codec: smaCodec(), Stream: true}, d)
			time.Sleep(10 * time.Second)
			assert.ErrorIs(t, p.Ask(scale.RequestTare), ErrLost)
			stop()
			readings := d.all("reading")
			require.Len(t, readings, 30, "no frame is lost to a reset that nobody hears")
			for i, e := range readings {
				assert.Equal(t, uint64(i), e.reading.Number.Coefficient)
				assert.Equal(t, time.Duration(i)*every, e.at.Sub(begin), "speed %s, frame %d", speed, i)
			}
			require.Len(t, d.all("lost"), 1)
			assert.Equal(t, ErrOver.Error(), d.all("lost")[0].text)
			assert.Contains(t, p.Stats().Problem, "the recording is over: "+path)
		})
	}
}

func TestReplayAgainAndAgain(t *testing.T) {
	path := tape(t, 10)
	bubble(t, func(t *testing.T) {
		d := newDiary(t)
		p, stop := start(t, Config{Open: opener(t, "replay:"+path+"?loop=1"), Codec: smaCodec(), Stream: true}, d)
		time.Sleep(ms(99_950))
		assert.ErrorIs(t, p.Ask(scale.RequestTare), ErrNotSupported)
		stop()
		readings := d.all("reading")
		assert.Len(t, readings, 1000)
		for i, e := range readings {
			require.Equal(t, uint64(i%10), e.reading.Number.Coefficient)
		}
		assert.Empty(t, d.all("lost"))
	})
}

// A long silence in a recording is a loss like any other, and what comes after
// it is played.
func TestReplayOfASilence(t *testing.T) {
	times := []int{0, 100, 200, 10_000, 10_100, 10_200}
	path := tapeOf(t, times, func(i int) uint64 { return uint64(times[i]) })
	bubble(t, func(t *testing.T) {
		d := newDiary(t)
		_, stop := start(t, Config{Open: opener(t, "replay:"+path), Codec: smaCodec()}, d)
		time.Sleep(15 * time.Second)
		stop()
		assert.Len(t, d.all("lost"), 2, "by silence, and at the end")
		assert.Len(t, d.all("found"), 2)
		var got []uint64
		for _, e := range d.all("reading") {
			got = append(got, e.reading.Number.Coefficient)
		}
		assert.Equal(t, []uint64{0, 100, 200, 10_000, 10_100, 10_200}, got)
	})
}

func TestReplayErrors(t *testing.T) {
	dir := t.TempDir()
	empty, rubbish := filepath.Join(dir, "empty.cap"), filepath.Join(dir, "rubbish.cap")
	require.NoError(t, os.WriteFile(empty, nil, 0o644))
	require.NoError(t, os.WriteFile(rubbish, []byte("\x00\x01 this is no recording\n"), 0o644))
	for path, says := range map[string]string{
		filepath.Join(dir, "none.cap"): "no such recording",
		dir:                            "is no recording",
		empty:                          "holds nothing",
		rubbish:                        "is no recording",
	} {
		_, err := tryOpen("replay:" + path)
		assert.ErrorContains(t, err, says)
		assert.ErrorContains(t, err, path)
	}
}

// What the recorder writes can be played, and gives the same readings.
func TestRecordAndReplay(t *testing.T) {
	var out bytes.Buffer
	var live, again []event
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), tenths: 4126}
		d := newDiary(t)
		p, stop := start(t, Config{Open: b.pipes(), Codec: smaCodec(), Stream: true, Recorder: &out}, d)
		for range 30 {
			time.Sleep(ms(100))
			b.set(func(b *benchScale) { b.tenths += 7 })
		}
		time.Sleep(ms(50)) // not in the instant of a frame
		stop()
		live = d.all("reading")
		assert.Zero(t, p.Stats().Unrecorded)
	})
	path := filepath.Join(t.TempDir(), "live.cap")
	require.NoError(t, os.WriteFile(path, out.Bytes(), 0o644))
	capture, err := scale.ReadCapture(&out)
	require.NoError(t, err)
	assert.Equal(t, "sma", capture.Field("shape"))
	bubble(t, func(t *testing.T) {
		d := newDiary(t)
		_, stop := start(t, Config{Open: opener(t, "replay:"+path), Codec: smaCodec()}, d)
		time.Sleep(6 * time.Second)
		stop()
		again = d.all("reading")
	})
	require.Greater(t, len(live), 20)
	require.Len(t, again, len(live))
	for i := range live {
		assert.Equal(t, live[i].reading, again[i].reading)
		assert.InDelta(t, live[i].at.Sub(live[0].at).Seconds(), again[i].at.Sub(again[0].at).Seconds(), 0.001)
	}
}

// disk is a Writer that stalls until it is let go, then fails.
type disk struct {
	letGo chan struct{}
	mu    sync.Mutex
	tries int
}

func (d *disk) Write([]byte) (int, error) {
	<-d.letGo
	d.mu.Lock()
	defer d.mu.Unlock()
	d.tries++
	return 0, errors.New("the disk is full")
}

// A disk that stalls delays no weight, and what it could not take is counted.
func TestAStallingRecorder(t *testing.T) {
	bubble(t, func(t *testing.T) {
		near, far := net.Pipe()
		slow := &disk{letGo: make(chan struct{})}
		d := newDiary(t)
		var log bytes.Buffer
		p, stop := start(t, Config{Codec: smaCodec(), Recorder: slow, Log: slog.New(slog.NewTextHandler(&log, nil)), Open: func(context.Context) (io.ReadWriteCloser, error) {
			return near, nil
		}}, d)
		frame := (&benchScale{codec: smaCodec(), tenths: 4126}).frame()
		for range 40 {
			sendFor(t, far, frame, time.Second)
		}
		readings := d.all("reading")
		require.Len(t, readings, 400)
		assert.Equal(t, 39900*time.Millisecond, readings[399].at.Sub(readings[0].at))
		assert.InDelta(t, 400-recordQueue, p.Stats().Unrecorded, 2)
		close(slow.letGo)
		time.Sleep(time.Second)
		assert.Equal(t, uint64(400), p.Stats().Unrecorded)
		stop()
		assert.Equal(t, 1, strings.Count(log.String(), "the recording has a hole"), "told once: %s", log.String())
		assert.Contains(t, log.String(), "the disk is full")
	})
}
