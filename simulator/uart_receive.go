package simulator

import "time"

// oversampling is how often a receiver looks at the line in one bit. Sixteen
// times, with the bit taken in its middle, is common practice.
const (
	oversampling = 16
	middle       = oversampling / 2
)

// UARTReceiver is the receiving end of a line.
type UARTReceiver struct {
	Setting UARTSetting
	// Checking delivers a byte with a wrong parity or stop bit as 00h, as POSIX
	// describes INPCK without IGNPAR and PARMRK. Without it such a byte comes as
	// it was sampled.
	Checking bool
	// Eager takes a missing stop bit for the next start bit, as a widespread
	// chip does (from memory). Else the line has to rise and fall again.
	Eager bool
}

// uartReceiver samples a wire.
type uartReceiver struct {
	UARTReceiver
	epoch time.Duration // tick 0 of its clock, never behind what it still has to see
	seen  int           // turns of the signal before epoch
	inBit bool          // the epoch is the middle of a start bit (Eager)
}

// tick is the time of a tick of the sampling clock.
func (u *uartReceiver) tick(k int64) time.Duration {
	return u.epoch + u.Setting.span(k, oversampling)
}

// listen starts to listen at a time with whatever the line does then.
func (u *uartReceiver) listen(g *signal, at time.Duration, r UARTReceiver) {
	*u = uartReceiver{UARTReceiver: r, epoch: at}
	u.advance(g, at)
}

// advance counts the turns up to a time and tells the level then.
func (u *uartReceiver) advance(g *signal, at time.Duration) (level byte) {
	for u.seen < len(g.turns) && g.turns[u.seen] <= at {
		u.seen++
	}
	return byte(u.seen&1) ^ 1
}

// receive gives every byte whose stop bit was sampled until a time, and whether
// its parity or its stop bit was wrong.
func (u *uartReceiver) receive(g *signal, until time.Duration, give func(c byte, bad bool)) {
	for u.start(g, until) {
		kept := *u
		frame, n := uint(0), u.Setting.DataBits+1
		if u.Setting.Parity == 'e' || u.Setting.Parity == 'o' {
			n++
		}
		if u.tick(int64(n)*oversampling) > until {
			return
		}
		for i := range n {
			frame |= uint(u.advance(g, u.tick(int64(i+1)*oversampling))) << i
		}
		data := byte(frame) & u.Setting.dataMask()
		stop := frame >> (n - 1) & 1
		bad := stop == 0
		if p, ok := u.Setting.parityBit(data); ok && uint(p) != frame>>u.Setting.DataBits&1 {
			bad = true
		}
		u.epoch = kept.tick(int64(n) * oversampling)
		u.inBit = u.Eager && stop == 0 && frame != 0
		give(data, bad)
	}
}

// start goes on to the middle of the next start bit, and makes it the epoch. It
// is false, and the receiver is where it was, if none is whole until then.
func (u *uartReceiver) start(g *signal, until time.Duration) bool {
	for !u.inBit {
		i := u.seen
		if i&1 == 1 {
			i++ // low now: it has to rise first
		}
		if i >= len(g.turns) || g.turns[i] > until {
			return false
		}
		k := int64(float64(g.turns[i]-u.epoch)*oversampling/u.Setting.bitNS()) - 1
		for k = max(k, 0); u.tick(k) < g.turns[i]; k++ {
		}
		first, mid := u.tick(k), u.tick(k+middle)
		if mid > until {
			return false
		}
		// Shorter than a tick, or gone by the middle: no start, look on.
		if u.seen = i; u.advance(g, first) != 0 {
			u.epoch = first
			continue
		}
		u.epoch = mid
		if u.advance(g, mid) == 0 {
			u.inBit = true
		}
	}
	return true
}

// result is what the program behind the receiver gets.
func (r UARTReceiver) result(dst []byte, c byte, bad bool) []byte {
	if bad && r.Checking {
		c = 0
	}
	return append(dst, c)
}

// HearUART is what a receiver makes of bytes that are sent back to back on a
// quiet line.
func HearUART(p []byte, sender UARTSetting, r UARTReceiver) []byte {
	var g signal
	var out []byte
	u := uartReceiver{}
	u.listen(&g, 0, r)
	s := uartSender{setting: sender}
	s.send(&g, time.Millisecond, p)
	u.receive(&g, s.free+time.Second, func(c byte, bad bool) { out = r.result(out, c, bad) })
	return out
}
