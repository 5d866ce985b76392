package simulator

import (
	"math"
	"math/rand/v2"
	"time"
)

// Speaker is what stands at the far end of a UARTLink: a *Bench, or something
// that is no scale.
type Speaker interface {
	Tick(dt time.Duration)   // lets time pass
	Drain(dst []byte) []byte // appends what it wants to send now
	Send(p []byte)           // gives it what it was sent
}

var _ Speaker = (*Bench)(nil)

// UARTOptions describe the far end of a line and the wire.
type UARTOptions struct {
	Far        UARTSetting // how the speaker's end is set
	Eager      bool        // of the receiver at the near end
	Seed       uint64
	PulsesPerS float64 // interference on the way to the near end
	Buffer     int     // bytes that wait at the far end; 0 is 128, what does not fit is lost
}

const defaultUARTBuffer = 128

// UARTLink is a line at the level of its bits, with a speaker at the far end and
// the caller at the near one. Time passes only inside Listen. It is for one
// goroutine.
type UARTLink struct {
	speaker Speaker
	options UARTOptions
	rng     *rand.Rand
	now     time.Duration

	up, down  signal // towards the near end, towards the far end
	far, near uartSender
	ear       uartReceiver // at the near end
	farEar    uartReceiver
	got, sent []byte
}

// NewUARTLink connects a speaker. The near end is set to 9600 8n1 until Set.
func NewUARTLink(s Speaker, o UARTOptions) *UARTLink {
	if o.Buffer <= 0 {
		o.Buffer = defaultUARTBuffer
	}
	l := &UARTLink{speaker: s, options: o, rng: rand.New(rand.NewPCG(o.Seed, 4))}
	l.far.setting = o.Far
	l.farEar.listen(&l.down, 0, UARTReceiver{Setting: o.Far})
	l.Set(UARTSetting{Baud: 9600, DataBits: 8, Parity: 'n', StopBits: 1})
	return l
}

// Set sets the near end; what was not fetched is dropped, and a byte on its way
// is heard from its middle on. Parity is checked where it is set.
func (l *UARTLink) Set(s UARTSetting) {
	l.near.setting = s
	l.got = l.got[:0]
	l.ear.listen(&l.up, l.now, UARTReceiver{Setting: s, Checking: s.Parity != 'n', Eager: l.options.Eager})
}

// Write sends bytes to the far end, from now on. It takes no time: the bytes are
// on their way while Listen waits.
func (l *UARTLink) Write(p []byte) { l.near.send(&l.down, l.now, p) }

// Listen lets d pass and gives the bytes that came.
func (l *UARTLink) Listen(d time.Duration) []byte {
	end := l.now + d
	for l.now < end {
		dt := min(Step-l.now%Step, end-l.now)
		l.now += dt
		l.farHears()
		l.speaker.Tick(dt)
		l.farSpeaks()
		l.interfere(dt)
	}
	l.ear.receive(&l.up, l.now, func(c byte, bad bool) { l.got = l.ear.result(l.got, c, bad) })
	l.forget()
	out := l.got
	l.got = nil
	return out
}

// Now is how long Listen has waited in all.
func (l *UARTLink) Now() time.Duration { return l.now }

// Sent is everything that the far end has put on the line.
func (l *UARTLink) Sent() []byte { return l.sent }

// farHears gives the speaker what came to it. A byte with a fault is dropped, as
// the firmware of scales does (common practice, no source).
func (l *UARTLink) farHears() {
	l.farEar.receive(&l.down, l.now, func(c byte, bad bool) {
		if !bad {
			l.speaker.Send([]byte{c})
		}
	})
}

// farSpeaks takes what the speaker says. Its buffer is short: what does not fit
// is lost as a whole.
func (l *UARTLink) farSpeaks() {
	p := l.speaker.Drain(nil)
	waiting := max(0, l.far.free-l.now)
	room := time.Duration(l.options.Buffer) * l.options.Far.span(10, 1)
	if len(p) == 0 || waiting > 0 && waiting+time.Duration(len(p))*l.options.Far.span(10, 1) > room {
		return
	}
	l.sent = append(l.sent, p...)
	l.far.send(&l.up, l.now, p)
}

// interfere puts pulses of 5 µs to 2 ms on the wire, at any time of a step.
func (l *UARTLink) interfere(dt time.Duration) {
	const shortest, longest = 5e-6, 2e-3
	if l.rng.Float64() >= l.options.PulsesPerS*dt.Seconds() {
		return
	}
	width := shortest * math.Pow(longest/shortest, l.rng.Float64())
	at := l.now + time.Duration(l.rng.Float64()*float64(dt))
	l.up.pulse(at, time.Duration(width*float64(time.Second)))
}

// forget keeps the memory of the wires short.
func (l *UARTLink) forget() {
	const many = 4096
	for _, w := range []struct {
		wire *signal
		ear  *uartReceiver
	}{{&l.up, &l.ear}, {&l.down, &l.farEar}} {
		if n := w.ear.seen &^ 1; n > many {
			w.wire.forget(n)
			w.ear.seen -= n
		}
	}
}
