package scaletest

import (
	"bytes"
	"math/bits"
	"strings"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/scale"
)

// signFarOff moves the minus to the far end of the blanks beside it. Wherever
// it stands, the number is the same or the frame is refused.
func (c codec) signFarOff(t rapid.TB) {
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
	for last+1 < len(near) && near[last+1] == ' ' {
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
	if !c.can.SignFar || at+1 < len(near) && near[at+1] == ' ' {
		return // it can not stand apart, or always does
	}
	far := []byte(strings.Replace(near, "-", "- ", 1))
	if last > first {
		far = []byte(strings.Replace(near, "-", " ", 1))
		far[last-min(last-first, 3)] = '-'
	}
	assert.Equal(t, want, c.plain(c.one(t, far)), "%q", far)
}

// truncated cuts a frame at every byte, from both sides: alone, it is no
// weight, and with whole frames behind it there is no other weight than theirs.
func (c codec) truncated(t rapid.TB) {
	want := c.reading(t, "-123.4")
	frame := c.Encode(nil, want)
	whole := len(bytes.TrimRight(frame, "\r\n")) + 1 // one byte of its end is enough
	for i := range frame {
		if i < whole {
			assert.Empty(t, c.numbers(t, frame[:i]), "%q", frame[:i])
		}
		for _, fragment := range [][]byte{frame[:i], frame[i:]} {
			if c.can.Loose && i > 0 && len(fragment) == len(frame)-i {
				continue // it is a line of its own
			}
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
		if i > 0 && !c.can.Loose && !(c.can.FrontBlank && strings.TrimLeft(string(frame[:i]), " ") == "") {
			all := c.drain(t, bytes.NewReader(frame[i:]))
			for _, p := range all {
				status := p.r.Status == scale.StatusNotReady && !p.r.HasNumber // a scale that sends its status alone
				assert.True(t, p.bad != "" || status, "%q", frame[i:])
			}
		}
	}
}

// highBit sets the high bit of every byte, and every byte to zero, of the first of
// two frames.
func (c codec) highBit(t rapid.TB) {
	want := c.reading(t, "123.4")
	good := c.Encode(nil, want)
	for i := range good {
		for _, b := range []byte{good[i] | 0x80, 0} {
			frames := bytes.Repeat(good, 2)
			frames[i] = b
			for _, r := range c.numbers(t, frames) {
				assert.Equal(t, want, c.plain(r), "byte %d is %#x", i, b)
			}
		}
	}
}

// parity sends three frames as 7 bits with parity and reads them as 8 bits.
func (c codec) parity(t rapid.TB) {
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
