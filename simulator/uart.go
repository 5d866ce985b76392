package simulator

import (
	"fmt"
	"math/bits"
	"slices"
	"time"
)

// The rule of an asynchronous line, as any data sheet of a UART describes it
// (written down from memory): at rest the line is high. A byte is one low start
// bit, 5 to 8 data bits with the lowest first, perhaps a parity bit that makes
// the number of ones even or odd, and one or two high stop bits. No clock is
// sent: the receiver counts its own time from the fall of the start bit.

// UARTSetting is how one end of a line is set.
type UARTSetting struct {
	Baud     int
	DataBits int
	Parity   byte // 'n', 'e' or 'o'
	StopBits int
	SkewPPM  int // how much its clock runs too fast, in parts per million
}

// String is the setting as people write it: "9600 7e1".
func (s UARTSetting) String() string {
	return fmt.Sprintf("%d %d%c%d", s.Baud, s.DataBits, s.Parity, s.StopBits)
}

// span is the time of n parts of a bit; a part of 1 is a whole bit.
func (s UARTSetting) span(n, parts int64) time.Duration {
	return time.Duration(float64(n) * s.bitNS() / float64(parts))
}

// bitNS is the time of a bit in nanoseconds, not rounded.
func (s UARTSetting) bitNS() float64 {
	const million = 1e6
	return 1e9 / float64(s.Baud) / (1 + float64(s.SkewPPM)/million)
}

// dataMask are the bits of a byte that are sent.
func (s UARTSetting) dataMask() byte { return byte(1<<s.DataBits - 1) }

// parityBit is what is sent behind the data bits; ok is false for none.
func (s UARTSetting) parityBit(data byte) (bit byte, ok bool) {
	ones := byte(bits.OnesCount8(data)) & 1
	switch s.Parity {
	case 'e':
		return ones, true
	case 'o':
		return ones ^ 1, true
	}
	return 0, false
}

// signal is the level of one wire over time: it is high, and turns over at each
// of these times. So two things on one wire are simply all their times together.
type signal struct {
	turns []time.Duration // sorted
}

func (g *signal) turn(at time.Duration) {
	i := len(g.turns)
	for i > 0 && g.turns[i-1] > at {
		i--
	}
	g.turns = slices.Insert(g.turns, i, at)
}

// pulse turns the level over for a moment: interference.
func (g *signal) pulse(at, width time.Duration) {
	g.turn(at)
	g.turn(at + width)
}

// forget drops the first n turns, an even number of them, so that what is high
// stays high.
func (g *signal) forget(n int) {
	n &^= 1
	g.turns = append(g.turns[:0], g.turns[n:]...)
}

// uartSender puts bytes on a wire.
type uartSender struct {
	setting UARTSetting
	free    time.Duration // when the last stop bit is over
}

// send sends bytes back to back, from a time on or when the line is free.
func (u *uartSender) send(g *signal, at time.Duration, p []byte) {
	at = max(at, u.free)
	for _, c := range p {
		at = u.sendByte(g, at, c&u.setting.dataMask())
	}
	u.free = at
}

func (u *uartSender) sendByte(g *signal, at time.Duration, c byte) (end time.Duration) {
	frame, n := uint(c)<<1, 1+u.setting.DataBits // bit 0 is the start
	if p, ok := u.setting.parityBit(c); ok {
		frame |= uint(p) << n
		n++
	}
	frame |= 3 << n // stop bits and rest
	before := uint(1)
	for i := range n + 1 {
		if level := frame >> i & 1; level != before {
			g.turn(at + u.setting.span(int64(i), 1))
			before = level
		}
	}
	return at + u.setting.span(int64(n+u.setting.StopBits), 1)
}
