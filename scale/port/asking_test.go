package port

import (
	"context"
	"io"
	"net"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// script is a scale that a test speaks for: what it hears goes to heard, byte
// for byte with the time, and the test writes what it likes.
type script struct {
	mu    sync.Mutex
	far   net.Conn
	heard []string
	at    []time.Duration
}

// said is what was heard so far, and when.
func (sc *script) said() ([]string, []time.Duration) {
	sc.mu.Lock()
	defer sc.mu.Unlock()
	return slices.Clone(sc.heard), slices.Clone(sc.at)
}

// write sends to the Port.
func (sc *script) write(t *testing.T, b []byte) {
	t.Helper()
	sc.mu.Lock()
	far := sc.far
	sc.mu.Unlock()
	_, err := far.Write(b)
	require.NoError(t, err)
}

// open is an Opener that gives the near end, again and again; answer is called
// with what was heard and returns what to write, after a time.
func (sc *script) open(answer func(heard string) (string, time.Duration)) Opener {
	began := time.Now()
	return func(context.Context) (io.ReadWriteCloser, error) {
		near, far := net.Pipe()
		sc.mu.Lock()
		sc.far = far
		sc.mu.Unlock()
		go func() {
			buf := make([]byte, 64)
			for {
				n, err := far.Read(buf)
				if err != nil {
					return
				}
				sc.mu.Lock()
				sc.heard, sc.at = append(sc.heard, string(buf[:n])), append(sc.at, time.Since(began))
				sc.mu.Unlock()
				if text, after := answer(string(buf[:n])); text != "" {
					go func() {
						time.Sleep(after)
						_, _ = far.Write([]byte(text))
					}()
				}
			}
		}()
		return near, nil
	}
}

// The control characters of the dialogue are those of the protocol page that
// the codec names: ENQ 05h, ACK 06h, DC1 11h.
func TestADialogueIsKeptUp(t *testing.T) {
	bubble(t, func(t *testing.T) {
		codec := scale.Handshake{}
		frame := string((&benchScale{codec: codec, tenths: 4126}).frame())
		sc := &script{}
		d := newDiary(t)
		_, stop := start(t, Config{Codec: codec, Stream: true, Open: sc.open(func(heard string) (string, time.Duration) {
			if heard == "\x05" {
				return "\x06", ms(20)
			}
			return frame, ms(20)
		})}, d)
		time.Sleep(ms(2000))
		stop()
		heard, at := sc.said()
		require.Greater(t, len(heard), 12)
		for i, h := range heard {
			assert.Equal(t, []string{"\x05", "\x11"}[i%2], h)
			if i%2 == 1 {
				assert.Equal(t, ms(20), at[i]-at[i-1], "at once")
			}
		}
		assert.InDelta(t, 1700/150, len(d.all("reading")), 2)
		assert.Empty(t, d.all("bad", "answer", "lost"))
	})
}

func TestALostStepBeginsTheDialogueAnew(t *testing.T) {
	bubble(t, func(t *testing.T) {
		codec := scale.Handshake{}
		frame := string((&benchScale{codec: codec, tenths: 4126}).frame())
		sc := &script{}
		deaf := 0
		d := newDiary(t)
		_, stop := start(t, Config{Codec: codec, Stream: true, Open: sc.open(func(heard string) (string, time.Duration) {
			switch {
			case heard == "\x05":
				return "\x06", ms(10)
			case deaf < 2: // the step got lost on its way
				deaf++
				return "", 0
			}
			return frame, ms(10)
		})}, d)
		time.Sleep(ms(3000))
		stop()
		heard, at := sc.said()
		assert.Equal(t, []string{"\x05", "\x11", "\x05", "\x11", "\x05", "\x11", "\x05"}, heard[:7])
		assert.Equal(t, replyLimit, at[2]-at[0])
		assert.NotEmpty(t, d.all("reading"))
		assert.Empty(t, d.all("lost"))
	})
}

// Whoever set --ask=false has another program on the line, or knows why: not
// even a step of a dialogue is answered, unless this side has begun it.
func TestWhoIsNotToAskStaysSilent(t *testing.T) {
	for _, codec := range everyShape() {
		bubble(t, func(t *testing.T) {
			frame := line(codec, 4126, false)
			sc := &script{}
			d := newDiary(t)
			_, stop := start(t, Config{Codec: codec, SilenceReopen: -1, Open: sc.open(func(string) (string, time.Duration) { return "", 0 })}, d)
			time.Sleep(ms(10))
			for i := range 100 {
				said := frame
				if i%2 == 1 {
					said = []byte{6}
				}
				sc.write(t, said)
				time.Sleep(ms(50))
			}
			time.Sleep(ms(2000))
			stop()
			heard, _ := sc.said()
			assert.Empty(t, heard, codec.Name())
		})
	}
}

// askable are the shapes with a command for one weight and none for a stream.
func askable() (list []scale.Codec) {
	for _, c := range everyShape() {
		_, weight := c.Request(nil, scale.RequestWeight)
		if _, stream := c.Request(nil, scale.RequestStream); weight && !stream {
			list = append(list, c)
		}
	}
	return list
}

func TestWhatStreamsIsNotAsked(t *testing.T) {
	require.NotEmpty(t, askable())
	for _, codec := range askable() {
		for _, every := range []int{100, 200, 500} {
			bubble(t, func(t *testing.T) {
				b := &benchScale{codec: codec, talks: true, every: ms(every), tenths: 4126}
				d := newDiary(t)
				p, stop := start(t, Config{Codec: codec, Open: b.pipes(), Stream: true}, d)
				time.Sleep(10 * time.Second)
				asked := len(b.requests())
				// Two frames a second are seen late, after a second or two of asking.
				most := 1
				if every == 500 {
					most = 25
				}
				assert.LessOrEqual(t, asked, most, "%s every %d ms", codec.Name(), every)
				assert.False(t, p.Stats().Polling, "%s every %d ms", codec.Name(), every)
				// It is set to send nothing by itself any more.
				b.set(func(b *benchScale) { b.talks = false })
				time.Sleep(5 * time.Second)
				assert.True(t, p.Stats().Polling)
				assert.Greater(t, len(b.requests()), 20, "%s: then it is asked", codec.Name())
				all := d.all("reading")
				assert.Less(t, time.Since(all[len(all)-1].at), ms(300))
				// And now again it sends.
				b.set(func(b *benchScale) { b.talks = true })
				time.Sleep(30 * time.Second)
				asked = len(b.requests())
				time.Sleep(5 * time.Second)
				if every < 500 { // two frames a second are no clear surplus
					assert.Equal(t, asked, len(b.requests()), "%s every %d ms: it is left alone", codec.Name(), every)
				}
				stop()
				assert.Empty(t, d.all("lost"))
			})
		}
	}
}

func TestWhatDoesNotStreamIsAskedSoon(t *testing.T) {
	for _, codec := range askable() {
		bubble(t, func(t *testing.T) {
			b := &benchScale{codec: codec, tenths: 4126}
			begin := time.Now()
			d := newDiary(t)
			_, stop := start(t, Config{Codec: codec, Open: b.dialogues(), Stream: true}, d)
			time.Sleep(10 * time.Second)
			stop()
			require.NotEmpty(t, d.all("reading"), codec.Name())
			assert.LessOrEqual(t, d.all("reading")[0].at.Sub(begin), ms(500), codec.Name())
			assert.Greater(t, len(d.all("reading")), 50, codec.Name())
			assert.Empty(t, d.all("bad", "lost"), codec.Name())
		})
	}
}

// dialogues is pipes for a scale that may have a dialogue: it answers the
// question with its prompt.
func (b *benchScale) dialogues() Opener {
	host, ok := b.codec.(scale.Replier)
	if !ok {
		return b.pipes()
	}
	prompt := b.codec.Encode(nil, scale.Reading{Status: scale.StatusInfo})
	next := string(host.Reply(prompt))
	return (&script{}).open(func(heard string) (string, time.Duration) {
		if heard == next {
			return string(b.frame()), ms(1)
		}
		return string(prompt), ms(1)
	})
}

// A scale that answers only when it stands still and is not zero.
func TestSilenceWhileItMovesIsNoLoss(t *testing.T) {
	bubble(t, func(t *testing.T) {
		codec := scale.Polled{}
		b := &benchScale{codec: codec, tenths: 4126}
		d := newDiary(t)
		p, stop := start(t, Config{Codec: codec, Open: b.pipes(), Stream: true}, d)
		time.Sleep(2 * time.Second)
		b.set(func(b *benchScale) { b.mute = true })
		time.Sleep(8 * time.Second)
		b.set(func(b *benchScale) { b.mute = false; b.tenths = 5000 })
		time.Sleep(2 * time.Second)
		assert.Empty(t, d.all("lost"))
		assert.EqualValues(t, 1, p.Stats().Opens)
		b.set(func(b *benchScale) { b.mute = true })
		time.Sleep(15 * time.Second)
		stop()
		require.Len(t, d.all("lost"), 1)
		assert.Contains(t, d.all("lost")[0].text, "waits for a weight that stands still")
	})
}

func TestAScaleThatSwitchedItselfOff(t *testing.T) {
	bubble(t, func(t *testing.T) {
		codec := scale.CSV{}
		b := &benchScale{codec: codec, talks: true, tenths: 4126}
		d := newDiary(t)
		p, stop := start(t, Config{Codec: codec, Open: b.pipes(), Stream: true}, d)
		time.Sleep(3*time.Minute + ms(50))
		b.set(func(b *benchScale) { b.mute = true })
		time.Sleep(20 * time.Minute)
		require.Len(t, d.all("lost"), 1)
		const why = "it fell silent after 2 min of standing still, so the scale may have switched itself off: press its key"
		assert.Contains(t, d.all("lost")[0].text, why)
		assert.Contains(t, p.Stats().Problem, why, "and it is said for as long as it is away")
		b.set(func(b *benchScale) { b.mute = false })
		back := time.Now()
		time.Sleep(ms(1500))
		require.Len(t, d.all("found"), 2)
		assert.LessOrEqual(t, d.all("found")[1].at.Sub(back), ms(600), "at once")
		assert.Empty(t, p.Stats().Problem)
		// A silence in the middle of work is another matter.
		b.set(func(b *benchScale) { b.tenths = 5000 })
		time.Sleep(5 * time.Second)
		b.set(func(b *benchScale) { b.mute = true })
		time.Sleep(5 * time.Second)
		require.Len(t, d.all("lost"), 2)
		assert.NotContains(t, d.all("lost")[1].text, "press its key")
		stop()
	})
}
