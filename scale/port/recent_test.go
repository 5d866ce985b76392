package port

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/scale"
)

func TestRecentGivesWhatCame(t *testing.T) {
	began := time.Now()
	r := newRecent(began, "shape: csv")
	got, next := r.Since(0)
	assert.Empty(t, got)
	assert.Zero(t, next)
	r.opened()
	r.add(time.Second, []byte("ST,GS"))
	r.add(2*time.Second, nil)
	r.add(2*time.Second, []byte(",+"))
	got, next = r.Since(0)
	assert.Equal(t, []Chunk{
		{N: 0, At: began.Add(time.Second), Fresh: true, Data: []byte("ST,GS")},
		{N: 1, At: began.Add(2 * time.Second), Data: []byte(",+")},
	}, got)
	assert.EqualValues(t, 2, next)
	got[0].Data[0] = 'x' // a copy: whoever has it may write in it
	again, _ := r.Since(0)
	assert.Equal(t, "ST,GS", string(again[0].Data))
	tail, next := r.Since(1)
	assert.Equal(t, got[1:], tail)
	assert.EqualValues(t, 2, next)
	for _, n := range []uint64{2, 3, math.MaxUint64} {
		none, next := r.Since(n)
		assert.Empty(t, none)
		assert.EqualValues(t, 2, next)
	}
}

func TestRecentForgetsWhatIsOld(t *testing.T) {
	r := newRecent(time.Now())
	r.add(0, []byte("a"))
	r.add(time.Second, []byte("b"))
	r.add(recentSpan, []byte("c"))
	got, _ := r.Since(0)
	require.Len(t, got, 3, "ten minutes are kept in full")
	r.add(recentSpan+time.Millisecond, []byte("d"))
	got, next := r.Since(0)
	require.Len(t, got, 3)
	assert.EqualValues(t, 1, got[0].N)
	assert.EqualValues(t, 4, next)
	r.add(time.Hour, []byte("e"))
	got, _ = r.Since(0)
	require.Len(t, got, 1)
	assert.Equal(t, "e", string(got[0].Data))
}

// A plain list with the same rules is what the rings are held against.
func TestRecentIsAList(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		began := time.Now()
		r := newRecent(began)
		var list []Chunk
		at := time.Duration(0)
		n := rapid.IntRange(0, 3000).Draw(t, "chunks")
		size := rapid.SampledFrom([]int{1, 20, 2048}).Draw(t, "size")
		for i := range n {
			at += time.Duration(i%7) * 50 * time.Millisecond
			data := bytes.Repeat([]byte{byte(i), byte(i >> 8)}, 1+i%size)
			r.add(at, data)
			list = append(list, Chunk{N: uint64(i), At: began.Add(at), Data: data})
		}
		total := 0
		first := len(list)
		for first > 0 && at-list[first-1].At.Sub(began) <= recentSpan && total+len(list[first-1].Data) <= recentBytes {
			first--
			total += len(list[first].Data)
		}
		list = list[first:]
		ask := uint64(rapid.IntRange(0, n+2).Draw(t, "ask"))
		for len(list) > 0 && list[0].N < ask {
			list = list[1:]
		}
		got, next := r.Since(ask)
		require.EqualValues(t, n, next)
		require.Equal(t, len(list), len(got))
		for i := range got {
			require.Equal(t, list[i], got[i])
		}
	})
}

func TestRecentIsBounded(t *testing.T) {
	r := newRecent(time.Now())
	for i := range recentChunks + 10 {
		r.add(time.Duration(i), []byte{byte(i)})
	}
	got, next := r.Since(0)
	assert.Len(t, got, recentChunks)
	assert.EqualValues(t, recentChunks+10, next)
	assert.EqualValues(t, 10, got[0].N)
	big := bytes.Repeat([]byte("x"), recentBytes)
	r.add(time.Second, append([]byte("y"), big...))
	got, _ = r.Since(0)
	require.Len(t, got, 1)
	assert.Equal(t, big, got[0].Data)
	assert.LessOrEqual(t, len(r.data), recentBytes)
	assert.LessOrEqual(t, len(r.marks), recentChunks)
}

func TestRecentCostsNothingOnceItHasGrown(t *testing.T) {
	r := newRecent(time.Now())
	frame := []byte("ST,GS,+  412.6 g\r\n")
	at := time.Duration(0)
	add := func() {
		at += 20 * time.Millisecond
		r.add(at, frame)
	}
	for range 40_000 { // thirteen minutes
		add()
	}
	assert.Zero(t, testing.AllocsPerRun(1000, add))
}

func TestRecentCaptureIsReadBack(t *testing.T) {
	began := time.Date(2026, 3, 1, 7, 0, 0, 0, time.UTC)
	r := newRecent(began, "shape: csv", "port: /dev/ttyUSB0")
	r.add(time.Hour, []byte("ST,GS,+  412.6 g\r\n"))
	r.add(time.Hour+100*time.Millisecond, []byte{0, 0xff, ' '})
	var file strings.Builder
	require.NoError(t, r.Capture(&file, "what: the cable was touched"))
	c, err := scale.ReadCapture(strings.NewReader(file.String()))
	require.NoError(t, err)
	assert.Equal(t, []string{"shape: csv", "port: /dev/ttyUSB0", "began: 2026-03-01T08:00:00Z", "what: the cable was touched"}, c.Header)
	assert.Equal(t, []scale.Chunk{
		{At: 0, Data: []byte("ST,GS,+  412.6 g\r\n")},
		{At: 100 * time.Millisecond, Data: []byte{0, 0xff, ' '}},
	}, c.Chunks)
	file.Reset()
	require.NoError(t, newRecent(began).Capture(&file))
	assert.Empty(t, file.String())
	assert.ErrorIs(t, r.Capture(failing{}), errFull)
}

var errFull = errors.New("no room")

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errFull }

// Askers and the reader together: what each asker gets is without gaps.
func TestRecentIsSafe(t *testing.T) {
	r := newRecent(time.Now())
	const chunks = 20_000
	var all sync.WaitGroup
	all.Go(func() {
		for i := range chunks {
			r.add(time.Duration(i), fmt.Appendf(nil, "%d", i))
		}
	})
	for range 3 {
		all.Go(func() {
			n := uint64(0)
			for n < chunks {
				got, next := r.Since(n)
				for i, c := range got {
					assert.Equal(t, n+uint64(i), c.N)
					assert.Equal(t, fmt.Sprint(c.N), string(c.Data))
				}
				assert.Equal(t, n+uint64(len(got)), next)
				n = next
			}
			assert.NoError(t, r.Capture(io.Discard))
		})
	}
	all.Wait()
}

func TestAPortKeepsWhatCame(t *testing.T) {
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), talks: true, tenths: 4126}
		d := newDiary(t)
		p, stop := start(t, Config{Open: b.pipes(), Identity: "bench", Codec: smaCodec()}, d)
		time.Sleep(ms(1050))
		b.set(func(b *benchScale) { b.mute = true })
		time.Sleep(ms(3500))
		b.set(func(b *benchScale) { b.mute = false })
		time.Sleep(ms(1000))
		stop()
		got, _ := p.Recent().Since(0)
		require.Greater(t, len(got), 15)
		assert.Equal(t, b.frame(), got[0].Data)
		fresh := 0
		for _, c := range got {
			if c.Fresh {
				fresh++
			}
		}
		assert.True(t, got[0].Fresh)
		assert.Equal(t, 2, fresh, "the wire was opened again after the silence")
		var file strings.Builder
		require.NoError(t, p.Recent().Capture(&file))
		assert.Contains(t, file.String(), "# shape: sma\n# port: bench\n")
	})
}
