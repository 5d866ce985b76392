package ui

import (
	"errors"
	"io/fs"
	"os"
	"testing"
	"testing/synctest"
	"time"

	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// emptyFS is a page without files.
type emptyFS struct{}

func (emptyFS) Open(name string) (fs.File, error) {
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// Nobody may take an old number for a live one: when the scale is silent, its
// last weight comes again four times a second, each time older.
func TestWeightAgesWhileTheScaleIsSilent(t *testing.T) {
	bubble(t, func(t *testing.T, h *Hub, conn *websocket.Conn) {
		h.Live(reading(1))
		first := until(t, conn, func(w Weight) bool { return w.Valid })
		assert.Zero(t, first.AgeMS)
		for i := range 8 {
			before := time.Now()
			w := read(t, conn).(Weight)
			assert.Equal(t, int64(i+1)*250, w.AgeMS)
			assert.Equal(t, 1.0, w.ShownG)
			assert.Equal(t, 250*time.Millisecond, time.Since(before))
		}
		h.Live(reading(2))
		next := read(t, conn).(Weight)
		assert.Equal(t, 2.0, next.ShownG)
		assert.Zero(t, next.AgeMS, "a new reading is young")
	})
}

// Ten readings a second leave no room for a repetition.
func TestNoBeatWhileTheScaleSpeaks(t *testing.T) {
	bubble(t, func(t *testing.T, h *Hub, conn *websocket.Conn) {
		h.Live(reading(1))
		until(t, conn, func(w Weight) bool { return w.Valid })
		for n := 2; n < 40; n++ {
			time.Sleep(100 * time.Millisecond)
			h.Live(reading(n))
			w := read(t, conn).(Weight)
			require.Equal(t, float64(n), w.ShownG)
			require.Zero(t, w.AgeMS)
		}
	})
}

// A command or a timer shows the same reading in a new light; that does not
// make it younger. Neither does the word that the scale is lost.
func TestTheSameReadingStaysOld(t *testing.T) {
	bubble(t, func(t *testing.T, h *Hub, conn *websocket.Conn) {
		h.Live(reading(1))
		until(t, conn, func(w Weight) bool { return w.Valid })
		time.Sleep(100 * time.Millisecond)
		again := reading(1)
		again.Cue = mix.CueStop
		h.Live(again)
		w := read(t, conn).(Weight)
		assert.Equal(t, "stop", w.Cue)
		assert.Equal(t, int64(100), w.AgeMS)
		time.Sleep(100 * time.Millisecond)
		h.Live(mix.Live{At: stamp(900), Trouble: mix.TroubleLost})
		w = read(t, conn).(Weight)
		assert.Equal(t, "lost", w.Trouble)
		assert.Equal(t, int64(200), w.AgeMS)
		w = read(t, conn).(Weight)
		assert.Equal(t, int64(450), w.AgeMS)
	})
}

// A page that answers no ping is dropped after 25 seconds; the reading side of
// the page is what answers, so one that only ever takes is dropped as well.
func TestSilentPageIsDropped(t *testing.T) {
	bubble(t, func(t *testing.T, h *Hub, conn *websocket.Conn) {
		began := time.Now()
		conn.SetPingHandler(func(string) error { return nil }) // never answers
		for {
			if _, _, err := conn.ReadMessage(); err != nil {
				break
			}
		}
		assert.InDelta(t, pongWait.Seconds(), time.Since(began).Seconds(), 1)
		synctest.Wait()
		assert.Zero(t, h.Clients())
	})
}

func TestLivingPageStays(t *testing.T) {
	bubble(t, func(t *testing.T, h *Hub, conn *websocket.Conn) {
		began := time.Now()
		for time.Since(began) < 5*time.Minute {
			read(t, conn)
		}
		assert.Equal(t, 1, h.Clients())
	})
}

// A page that stops reading blocks its own pump for two seconds and is then
// dropped; the bench, which publishes, is never held up.
func TestStuckPageIsDroppedAfterTheDeadline(t *testing.T) {
	bubble(t, func(t *testing.T, h *Hub, conn *websocket.Conn) {
		// Nothing is read from here on.
		began := time.Now()
		for n := range 1000 {
			h.Live(reading(n + 1))
		}
		assert.Zero(t, time.Since(began), "publishing does not wait")
		time.Sleep(writeWait - time.Millisecond)
		synctest.Wait()
		assert.Equal(t, 1, h.Clients())
		time.Sleep(2 * time.Millisecond)
		synctest.Wait()
		assert.Zero(t, h.Clients())
	})
}

// What a page missed is not sent later: after any number of readings while it
// was busy it gets the newest.
func TestNewestWins(t *testing.T) {
	bubble(t, func(t *testing.T, h *Hub, conn *websocket.Conn) {
		h.Live(reading(1))
		until(t, conn, func(w Weight) bool { return w.Valid })
		h.Live(reading(2))
		synctest.Wait() // the pump is now inside the write of 2
		for n := 3; n <= 500; n++ {
			h.Live(reading(n))
		}
		assert.Equal(t, 2.0, read(t, conn).(Weight).ShownG)
		assert.Equal(t, 500.0, read(t, conn).(Weight).ShownG)
	})
}

func TestCloseDoesNotWaitForAPageThatIsStuck(t *testing.T) {
	bubble(t, func(t *testing.T, h *Hub, conn *websocket.Conn) {
		h.Live(reading(1)) // and nobody reads it
		synctest.Wait()
		began := time.Now()
		h.Close()
		assert.LessOrEqual(t, time.Since(began), writeWait+2*goodbyeWait)
		assert.Zero(t, h.Clients())
	})
}

func TestWebIsBuiltIn(t *testing.T) {
	_, err := fs.Stat(Web(), "robots.txt")
	assert.NoError(t, err)
	_, err = fs.Stat(Web(), "web")
	assert.True(t, errors.Is(err, os.ErrNotExist))
}
