package port

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// smaCodec is the line family of the open standard: it has every request.
func smaCodec() scale.Codec { return scale.SMA{} }

func ms(n int) time.Duration { return time.Duration(n) * time.Millisecond }

// bubble runs a test in simulated time.
func bubble(t *testing.T, f func(t *testing.T)) {
	t.Helper()
	synctest.Test(t, f)
}

func TestAsksForTheStream(t *testing.T) {
	bubble(t, func(t *testing.T) {
		begin := time.Now()
		b := &benchScale{codec: smaCodec(), tenths: 4126, every: ms(70)} // never in the instant of a request
		d := newDiary(t)
		p, stop := start(t, Config{Open: b.pipes(), Identity: "bench", Codec: smaCodec(), Stream: true}, d)
		time.Sleep(ms(2050))
		stop()
		require.Equal(t, []scale.Request{scale.RequestReset, scale.RequestStream}, b.requests())
		assert.Equal(t, begin, b.heard[0].at)
		assert.Equal(t, ms(300), b.heard[1].at.Sub(begin), "the wait after a reset")
		events := d.all()
		assert.Equal(t, event{what: "found", at: begin.Add(ms(350)), text: "bench"}, events[0])
		require.Len(t, events, 26)
		for i, e := range events[1:] {
			w, ok := e.reading.Weight()
			assert.True(t, ok)
			assert.Equal(t, 4126*scale.Gram/10, w)
			assert.Equal(t, ms(350+70*i), e.at.Sub(begin))
		}
		st := p.Stats()
		assert.Equal(t, uint64(25), st.GoodFrames)
		assert.Equal(t, begin.Add(ms(2030)), st.LastFrame.Round(0))
		assert.Zero(t, st.BadFrames+st.Skipped+st.WritesAbandoned+st.Stranded+st.CommandsDropped)
	})
}

func TestWhatComesAfterAResetIsThrownAway(t *testing.T) {
	bubble(t, func(t *testing.T) {
		begin := time.Now()
		b := &benchScale{codec: smaCodec(), talks: true, tenths: 4126}
		d := newDiary(t)
		_, stop := start(t, Config{Open: b.pipes(), Codec: smaCodec(), Stream: true, ResetWait: 2 * time.Second}, d)
		time.Sleep(ms(2550))
		stop()
		events := d.all()
		require.Equal(t, "found", events[0].what)
		assert.GreaterOrEqual(t, events[0].at.Sub(begin), 2*time.Second)
		assert.Empty(t, d.all("bad"))
	})
}

func TestPollsAScaleThatDoesNotStream(t *testing.T) {
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), noStream: true, tenths: 10}
		d := newDiary(t)
		p, stop := start(t, Config{Open: b.pipes(), Codec: smaCodec(), Stream: true}, d)
		time.Sleep(ms(10_300))
		assert.True(t, p.Stats().Polling)
		require.NoError(t, p.Ask(scale.RequestTare))
		time.Sleep(ms(1000))
		stop()
		readings := len(d.all("reading"))
		assert.InDelta(t, 11*6.67, readings, 5, "5 to 10 a second is the advice; 150 ms is 6.7")
		assert.Empty(t, d.all("answer"), "the answer to a question that nobody else asked")
		heard := b.requests()
		assert.Equal(t, []scale.Request{scale.RequestReset, scale.RequestStream, scale.RequestWeight}, heard[:3])
		assert.Contains(t, heard, scale.RequestTare)
		assert.Equal(t, scale.RequestWeight, heard[len(heard)-1], "polling goes on after a command")
	})
}

func TestAskResumesTheStream(t *testing.T) {
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), tenths: 4126}
		d := newDiary(t)
		p, stop := start(t, Config{Open: b.pipes(), Codec: smaCodec(), Stream: true}, d)
		time.Sleep(ms(1010))
		asked := time.Now()
		require.NoError(t, p.Ask(scale.RequestTare))
		require.NoError(t, p.Ask(scale.RequestZero))
		time.Sleep(ms(2000))
		stop()
		require.Equal(t, []scale.Request{scale.RequestReset, scale.RequestStream, scale.RequestTare, scale.RequestZero, scale.RequestStream}, b.requests())
		assert.Equal(t, asked, b.heard[2].at, "a command goes at once")
		assert.Equal(t, commandGap, b.heard[3].at.Sub(asked), "the next one not before the scale can have answered")
		assert.Equal(t, 2*commandGap, b.heard[4].at.Sub(asked))
		last := d.all("reading")
		assert.Less(t, time.Since(last[len(last)-1].at), ms(150), "the stream runs again")
		assert.Len(t, d.all("found"), 1)
		assert.Empty(t, d.all("lost"))
	})
}

func TestAnUnknownCommandIsAnswered(t *testing.T) {
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), tenths: 4126}
		d := newDiary(t)
		p, stop := start(t, Config{Open: b.pipes(), Codec: smaCodec(), Stream: true}, d)
		time.Sleep(ms(1010))
		require.NoError(t, p.Ask(scale.RequestClearTare))
		time.Sleep(ms(1000))
		stop()
		answers := d.all("answer")
		require.Len(t, answers, 1)
		assert.Equal(t, scale.StatusUnknownCommand, answers[0].reading.Status)
		assert.False(t, p.Stats().Polling)
	})
}

func TestSilence(t *testing.T) {
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), tenths: 4126}
		d := newDiary(t)
		p, stop := start(t, Config{Open: b.pipes(), Codec: smaCodec(), Stream: true}, d)
		time.Sleep(ms(1010)) // the last frame came at 1.0 s
		silent := time.Now().Add(-ms(10))
		b.set(func(b *benchScale) { b.mute = true; b.heard = nil })
		time.Sleep(ms(3100))
		assert.Equal(t, []scale.Request{scale.RequestStream, scale.RequestStream}, b.requests(), "asked again after 1 and 2 s")
		lost := d.all("lost")
		require.Len(t, lost, 1)
		assert.Equal(t, 3*time.Second, lost[0].at.Sub(silent))
		assert.Contains(t, lost[0].text, "nothing readable comes from the scale for 3s")
		assert.ErrorIs(t, p.Ask(scale.RequestTare), ErrLost)
		assert.Contains(t, p.Stats().Problem, "nothing readable")
		time.Sleep(20 * time.Second)
		assert.Len(t, d.all("lost"), 1, "lost once, however long it stays away")
		assert.GreaterOrEqual(t, p.Stats().Opens, uint64(7), "a silent wire is reopened without growing waits")
		b.set(func(b *benchScale) { b.mute = false })
		time.Sleep(4 * time.Second)
		assert.Len(t, d.all("found"), 2)
		assert.Empty(t, p.Stats().Problem)
		stop()
		assert.Len(t, d.all("lost"), 1, "the end is not a loss")
	})
}

// A machine that was away for longer than a scale may be silent, as one whose
// processor was given to others, has not heard what waits for it: that is no loss
// before it had the time to read.
func TestAMachineThatWasAwayIsNoSilence(t *testing.T) {
	p := New(Config{Codec: smaCodec()}, newDiary(t))
	s := newSession(p, nil)
	begin := time.Duration(s.alive.Load())
	due, err := s.step(begin)
	require.NoError(t, err)
	require.Equal(t, begin+3*time.Second, due)

	s.lookAt = due
	late := due + 2*time.Second
	due, err = s.step(late)
	require.NoError(t, err, "it looked two seconds too late")
	require.Equal(t, late+backAgain, due)

	s.lookAt = due
	heard := due - time.Millisecond
	s.alive.Store(int64(heard))
	due, err = s.step(due)
	require.NoError(t, err, "what had waited was read")
	require.Equal(t, heard+3*time.Second, due)

	s.lookAt = due
	late = due + 2*time.Second
	due, err = s.step(late)
	require.NoError(t, err)
	s.lookAt = due
	_, err = s.step(due)
	require.ErrorIs(t, err, errSilent, "and with nothing to read it is silent")
}

func TestBackoff(t *testing.T) {
	bubble(t, func(t *testing.T) {
		for _, c := range []struct {
			err  error
			want []int // ms between attempts
		}{
			{errors.New("no connection"), []int{250, 500, 1000, 2000, 4000, 5000, 5000}},
			{fmt.Errorf("no such port: %w", fs.ErrNotExist), []int{250, 500, 500, 500, 500}},
		} {
			var tries []time.Time
			p, stop := start(t, Config{Codec: smaCodec(), Open: func(context.Context) (io.ReadWriteCloser, error) {
				tries = append(tries, time.Now())
				return nil, c.err
			}}, newDiary(t))
			time.Sleep(30 * time.Second)
			assert.Equal(t, c.err.Error(), p.Stats().Problem)
			assert.ErrorContains(t, p.Ask(scale.RequestTare), c.err.Error())
			stop()
			for i, want := range c.want {
				assert.Equal(t, ms(want), tries[i+1].Sub(tries[i]), "%v, wait %d", c.err, i)
			}
		}
	})
}

// A server that takes the connection and hangs up is waited for longer and
// longer; one good frame begins the count again.
func TestBackoffBeginsAgainAfterAGoodFrame(t *testing.T) {
	bubble(t, func(t *testing.T) {
		var tries []time.Time
		good := smaCodec().Encode(nil, scale.Reading{HasNumber: true, Unit: scale.UnitGram, Number: scale.Decimal{Coefficient: 1, Places: 1, Lead: 1}})
		_, stop := start(t, Config{Codec: smaCodec(), Open: func(context.Context) (io.ReadWriteCloser, error) {
			tries = append(tries, time.Now())
			near, far := net.Pipe()
			talk := len(tries) == 4
			go func() {
				if talk {
					_, _ = far.Write(good)
				}
				far.Close()
			}()
			return near, nil
		}}, newDiary(t))
		time.Sleep(10 * time.Second)
		stop()
		for i, want := range []int{250, 500, 1000, 250, 500} {
			assert.Equal(t, ms(want), tries[i+1].Sub(tries[i]), "wait %d", i)
		}
	})
}

func TestAskErrors(t *testing.T) {
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), tenths: 4126}
		p, _ := start(t, Config{Open: b.pipes(), Codec: smaCodec(), Stream: true}, newDiary(t))
		assert.ErrorIs(t, p.Ask(scale.RequestTare), ErrLost, "before anything was found")
		assert.ErrorIs(t, p.Ask(scale.RequestUnknown), ErrNotSupported)
		time.Sleep(time.Second)
		var err error
		n := 0
		for err == nil && n < 100 {
			err = p.Ask(scale.RequestZero)
			n++
		}
		assert.ErrorIs(t, err, ErrBusy)
		assert.LessOrEqual(t, n, askQueue+3, "the queue is bounded")
		time.Sleep(3 * time.Second)
		zeros := strings.Count(fmt.Sprint(b.requests()), fmt.Sprint(scale.RequestZero))
		assert.Equal(t, uint64(n-1), uint64(zeros)+p.Stats().CommandsDropped, "each was sent or counted")
	})
}

// Somebody presses the unit key. One line may be damaged; from the second on the
// scale is kept out, with the way back, and it is let in when it shows grams.
func TestUnitChange(t *testing.T) {
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), tenths: 4126}
		d := gateDiary{newDiary(t)}
		_, stop := start(t, Config{Open: b.pipes(), Codec: smaCodec(), Stream: true}, d)
		time.Sleep(ms(1010))
		before := len(d.all("reading"))
		b.set(func(b *benchScale) { b.unit = scale.UnitOunce })
		time.Sleep(10 * time.Second)
		bad := d.all("bad")
		require.Len(t, bad, 2)
		var fe *scale.FrameError
		require.ErrorAs(t, bad[0].err, &fe)
		assert.Equal(t, `the scale changed its unit from "g" to "oz": set it back on the scale`, fe.Reason)
		assert.Contains(t, string(fe.Piece), "oz")
		assert.Len(t, d.all("reading"), before)
		const why = "The scale shows oz, before it showed g. Set it back to g on the scale, or keep it in oz on the Scale page."
		for _, what := range []string{"lost", "unit"} {
			require.Len(t, d.all(what), 1, "its last weight is not true any more, and people are told why")
			assert.Equal(t, why, d.all(what)[0].text)
		}
		assert.Empty(t, d.all("stranger"))
		b.set(func(b *benchScale) { b.unit = scale.UnitGram })
		time.Sleep(time.Second)
		assert.Len(t, d.all("found"), 2)
		assert.Len(t, d.all("reading"), before+10)

		b.set(func(b *benchScale) { b.unit = scale.UnitOunce })
		time.Sleep(ms(100)) // a single line
		b.set(func(b *benchScale) { b.unit = scale.UnitGram })
		time.Sleep(time.Second)
		assert.Len(t, d.all("lost"), 1, "that was a damaged one")
		stop()
	})
}
