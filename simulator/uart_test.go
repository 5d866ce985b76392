package simulator

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func set(baud, data int, parity byte, stop int) UARTSetting {
	return UARTSetting{Baud: baud, DataBits: data, Parity: parity, StopBits: stop}
}

var uartText = []byte("ST,GS,+  412.6 g\r\n")

// TestUARTSameSettingHearsEveryByte: whatever both ends agree on comes through,
// with clocks that differ by the two per cent that ten bits bear.
func TestUARTSameSettingHearsEveryByte(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := UARTSetting{
			Baud:     rapid.SampledFrom([]int{300, 1200, 2400, 9600, 19200, 38400, 115200}).Draw(t, "baud"),
			DataBits: rapid.IntRange(7, 8).Draw(t, "data"),
			Parity:   rapid.SampledFrom([]byte("neo")).Draw(t, "parity"),
			StopBits: rapid.IntRange(1, 2).Draw(t, "stop"),
		}
		sender := s
		sender.SkewPPM = rapid.IntRange(-20_000, 20_000).Draw(t, "skew")
		p := rapid.SliceOfN(rapid.Byte(), 1, 60).Draw(t, "bytes")
		for i := range p {
			p[i] &= s.dataMask()
		}
		checked := HearUART(p, sender, UARTReceiver{Setting: s, Checking: true})
		require.Equal(t, p, checked)
		require.Equal(t, p, HearUART(p, sender, UARTReceiver{Setting: s, Eager: true}))
	})
}

// TestUARTBitsByHand draws the levels of one byte on paper: 'S' is 53h, lowest
// bit first 1100101, with even parity 0.
func TestUARTBitsByHand(t *testing.T) {
	var g signal
	s := uartSender{setting: set(1000, 7, 'e', 1)} // a bit is a millisecond
	s.send(&g, 0, []byte{'S'})
	levels := ""
	ear := uartReceiver{UARTReceiver: UARTReceiver{Setting: s.setting}}
	for ms := range 11 {
		levels += string('0' + rune(ear.advance(&g, time.Duration(ms)*time.Millisecond+500*time.Microsecond)))
	}
	assert.Equal(t, "0"+"1100101"+"0"+"1"+"1", levels, "start, data, parity, stop, rest")
	assert.Equal(t, 10*time.Millisecond, s.free)
}

// TestUARTSevenBitsHeardAsEight: the parity becomes bit 7, as long as nothing
// checks it. Ten bits each, so that no byte is lost.
func TestUARTSevenBitsHeardAsEight(t *testing.T) {
	for _, parity := range []byte("eo") {
		sender := set(9600, 7, parity, 1)
		want := []byte{}
		for _, c := range uartText {
			p, _ := sender.parityBit(c)
			want = append(want, c|p<<7)
		}
		assert.Equal(t, want, HearUART(uartText, sender, UARTReceiver{Setting: set(9600, 8, 'n', 1)}))
	}
	marked := HearUART(uartText, set(9600, 7, 'n', 2), UARTReceiver{Setting: set(9600, 8, 'n', 1)})
	for i, c := range marked {
		assert.Equal(t, uartText[i]|0x80, c, "the first of two stop bits is bit 7")
	}
}

// TestUARTWrongParityIsDeliveredAsZero is what POSIX describes for INPCK without
// IGNPAR and PARMRK, and what the kernel was seen to do.
func TestUARTWrongParityIsDeliveredAsZero(t *testing.T) {
	even, odd := set(9600, 7, 'e', 1), set(9600, 7, 'o', 1)
	heard := HearUART(uartText, even, UARTReceiver{Setting: odd, Checking: true})
	assert.Equal(t, make([]byte, len(uartText)), heard)
	assert.Equal(t, uartText, HearUART(uartText, even, UARTReceiver{Setting: odd}), "and as sampled where nothing checks")

	heard = HearUART(uartText, set(9600, 8, 'n', 1), UARTReceiver{Setting: set(9600, 8, 'e', 1), Checking: true})
	zeros := bytes.Count(heard, []byte{0})
	assert.Greater(t, zeros, 3, "the stop bit stands where the parity should be")
	assert.Less(t, zeros, len(uartText))
}

// TestUARTSlowerSenderLeavesItsRhythm: every bit of a sender at a quarter of the
// speed is four bits of the receiver, so only few bytes can come. Counted by
// hand: the start and three zeros, then four equal bits, then one of the next.
func TestUARTSlowerSenderLeavesItsRhythm(t *testing.T) {
	heard := HearUART(bytes.Repeat(uartText, 20), set(2400, 7, 'e', 1), UARTReceiver{Setting: set(9600, 8, 'n', 1)})
	require.NotEmpty(t, heard)
	for _, c := range heard {
		assert.Contains(t, []byte{0x00, 0x80, 0x78, 0xF8}, c)
	}
	assert.NotContains(t, string(heard), "412")
}

// TestUARTFasterSenderIsGarbage: two bytes and more fall into one.
func TestUARTFasterSenderIsGarbage(t *testing.T) {
	for _, baud := range []int{19200, 38400, 115200} {
		heard := HearUART(bytes.Repeat(uartText, 20), set(baud, 8, 'n', 1), UARTReceiver{Setting: set(9600, 8, 'n', 1)})
		assert.Less(t, len(heard), 20*len(uartText)*2/3)
		assert.NotContains(t, string(heard), "412.6")
	}
}

// TestUARTLosesSynchronisation: nine bits a byte heard as ten, without a pause.
func TestUARTLosesSynchronisation(t *testing.T) {
	sender, ear := set(9600, 7, 'n', 1), UARTReceiver{Setting: set(9600, 8, 'n', 1)}
	heard := HearUART(uartText, sender, ear)
	assert.NotContains(t, string(bytes.Map(func(r rune) rune { return r & 0x7F }, heard)), "412.6")
	for _, c := range uartText { // one by one there is nothing to lose
		assert.Equal(t, []byte{c | 0x80}, HearUART([]byte{c}, sender, ear))
	}
}

// TestUARTEagerReceiver: a parity bit of zero stands where the stop bit should
// be. Who waits for a fall of the line hears every byte, who takes the low bit
// for the next start does not.
func TestUARTEagerReceiver(t *testing.T) {
	sender := set(9600, 8, 'e', 1)
	assert.Equal(t, uartText, HearUART(uartText, sender, UARTReceiver{Setting: set(9600, 8, 'n', 1)}))
	assert.NotEqual(t, uartText, HearUART(uartText, sender, UARTReceiver{Setting: set(9600, 8, 'n', 1), Eager: true}))
}

// TestUARTGlitchIsNoStart: what is over by the middle of a start bit is none, and
// a longer low is one byte of zero and not many.
func TestUARTGlitchIsNoStart(t *testing.T) {
	for width, want := range map[time.Duration]int{3 * time.Microsecond: 0, 40 * time.Microsecond: 0, 80 * time.Microsecond: 1, 5 * time.Millisecond: 1} {
		var g signal
		u, n := uartReceiver{}, 0
		u.listen(&g, 0, UARTReceiver{Setting: set(9600, 8, 'n', 1)})
		g.pulse(time.Millisecond, width)
		u.receive(&g, time.Second, func(byte, bool) { n++ })
		assert.Equal(t, want, n, "a low of %v", width)
	}
}
