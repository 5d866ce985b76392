package scaletest

import (
	"bytes"
	"math/bits"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// signFarOff moves the minus to the far end of the blanks beside it. Wherever
// it stands, the number is the same or the frame is refused.
func (c codec) signFarOff(t *testing.T) {
	want := c.reading(t, "-3.2")
	near := string(c.Encode(nil, want))
	at := strings.IndexByte(near, '-')
	if at < 0 {
		return // the sign is a bit, or stands behind the digits
	}
	first, last := at, at
	for first > 0 && near[first-1] == ' ' {
		first--
	}
	for near[last+1] == ' ' {
		last++
	}
	read := 0
	for place := first; place <= last; place++ {
		frame := []byte(strings.Replace(near, "-", " ", 1))
		frame[place] = '-'
		// The first blanks may belong to columns in front of the value, where
		// a sign is not allowed. Then the frame is refused.
		for _, got := range c.numbers(t, frame) {
			assert.Equal(t, want.Number, c.plain(got).Number, "%q", frame)
			read++
		}
	}
	assert.Positive(t, read)
	if !c.can.SignFar || near[at+1] == ' ' {
		return // it can not stand apart, or always does
	}
	require.Positive(t, last-first, "there is no room for the sign to move in %q", near)
	far := []byte(strings.Replace(near, "-", " ", 1))
	far[last-min(last-first, 3)] = '-'
	assert.Equal(t, want, c.plain(c.one(t, far)), "%q", far)
}

// truncated cuts a frame at every byte, from both sides: alone, it is no
// weight, and with whole frames behind it there is no other weight than theirs.
func (c codec) truncated(t *testing.T) {
	want := c.reading(t, "-123.4")
	frame := c.Encode(nil, want)
	whole := len(bytes.TrimRight(frame, "\r\n")) + 1 // one byte of its end is enough
	for i := range frame {
		if i < whole {
			assert.Empty(t, c.numbers(t, frame[:i]), "%q", frame[:i])
		}
		for _, fragment := range [][]byte{frame[:i], frame[i:]} {
			got := c.numbers(t, bytes.Join([][]byte{fragment, frame, frame}, nil))
			least := 2
			if !c.can.Resync && len(fragment) == i {
				least = 1 // the fragment and the frame behind it are one line
			}
			assert.GreaterOrEqual(t, len(got), least, "%q costs a whole frame", fragment)
			for _, r := range got {
				assert.Equal(t, want, c.plain(r), "%q", fragment)
			}
		}
		if i > 0 && !(c.can.FrontBlank && strings.TrimLeft(string(frame[:i]), " ") == "") {
			all := c.drain(t, bytes.NewReader(frame[i:]))
			for _, p := range all {
				assert.NotEmpty(t, p.bad, "%q", frame[i:])
			}
		}
	}
}

func (c codec) highBit(t *testing.T) {
	want := c.reading(t, "123.4")
	for i := range c.Encode(nil, want) {
		frame := c.Encode(nil, want)
		frame[i] |= 0x80
		for _, r := range c.numbers(t, frame) {
			assert.Equal(t, want, c.plain(r), "byte %d: only the end of the end may be lost", i)
		}
		frame[i] = 0
		for _, r := range c.numbers(t, frame) {
			assert.Equal(t, want, c.plain(r), "byte %d is zero", i)
		}
	}
}

// parity sends three frames as 7 bits with parity and reads them as 8 bits.
func (c codec) parity(t *testing.T) {
	for odd, name := range []string{"even", "odd"} {
		frames := bytes.Repeat(c.Encode(nil, c.reading(t, "123.4")), 3)
		for i, b := range frames {
			frames[i] = b | byte(bits.OnesCount8(b)&1^odd)<<7
		}
		all := c.drain(t, bytes.NewReader(frames))
		require.NotEmpty(t, all)
		told := 0
		for _, p := range all {
			require.NotEmpty(t, p.bad)
			if strings.Contains(p.bad, "looks like 7 data bits with parity read as 8 bits") {
				told++
			}
		}
		assert.Positive(t, told, "%s parity: %+v", name, all)
	}
}
