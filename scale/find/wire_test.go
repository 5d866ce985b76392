package find_test

import (
	"slices"
	"time"

	"gramcup/scale"
	"gramcup/scale/find"
	"gramcup/simulator"
)

// lineWire is a simulated line as Find sees it. It keeps what was written.
type lineWire struct {
	link    *simulator.UARTLink
	written []string
	set     []find.Setting
}

func (w *lineWire) Set(s find.Setting) error {
	w.set = append(w.set, s)
	w.link.Set(uart(s))
	return nil
}

func (w *lineWire) Write(p []byte) error {
	if !slices.Contains(w.written, string(p)) {
		w.written = append(w.written, string(p))
	}
	w.link.Write(p)
	return nil
}

func (w *lineWire) Listen(d time.Duration) ([]byte, error) { return w.link.Listen(d), nil }

func uart(s find.Setting) simulator.UARTSetting {
	return simulator.UARTSetting{Baud: s.Baud, DataBits: s.DataBits, Parity: s.Parity, StopBits: s.StopBits}
}

// shapes are all that is known.
func shapes() []scale.Codec { return append(scale.Codecs(), scale.Variants()...) }

var usual = []find.Setting{{Baud: 9600, DataBits: 8, Parity: 'n', StopBits: 1}, {Baud: 9600, DataBits: 7, Parity: 'e', StopBits: 1},
	{Baud: 2400, DataBits: 7, Parity: 'e', StopBits: 1}, {Baud: 19200, DataBits: 8, Parity: 'n', StopBits: 1}}

// hasAsk tells whether a shape has a request for the weight.
func hasAsk(c scale.Codec) bool {
	_, ok := c.Request(nil, scale.RequestWeight)
	return ok
}

// judged is how an answer compares with the truth.
type judged struct {
	found, wrong bool
	how          string // what is wrong
}

// judge compares by what would be read: the same numbers, units and motions of
// everything that the true shape writes, through the bits of the line.
func judge(r find.Report, c scale.Codec, s simulator.UARTSetting, eager, onRequest bool, shown scale.Reading, sent []byte) judged {
	if !r.Found {
		return judged{}
	}
	j := judged{found: true}
	ear := simulator.UARTReceiver{Setting: uart(r.Setting), Checking: r.Setting.Parity != 'n', Eager: eager}
	for _, reading := range append(readings(shown.Mode, shown.Unit), shown) {
		p := c.Encode(nil, reading)
		if len(p) == 0 {
			continue
		}
		if heard := simulator.HearUART(p, s, ear); string(heard) != string(p) {
			return judged{true, true, "the setting changes a byte: " + r.Setting.String()}
		}
		want, err := c.Decode(p)
		got, err2 := r.Codec.Decode(p)
		switch {
		case err != nil || !want.HasNumber: // not what this shape is read for
		case err2 != nil:
			return judged{true, true, "does not read " + string(scale.AppendEscaped(nil, p))}
		case got.Status == scale.StatusInfo: // another weight of the same print
		case want.Number != got.Number || want.Motion != got.Motion || !r.TellUnit && want.Unit != got.Unit:
			return judged{true, true, "reads differently " + string(scale.AppendEscaped(nil, p))}
		}
	}
	if weights(r.Codec, sent) < 3 {
		return judged{true, true, "reads nothing of what was sent"}
	}
	if onRequest {
		ask, ok := r.Codec.Request(nil, scale.RequestWeight)
		if heard := simulator.HearUART(ask, uart(r.Setting), simulator.UARTReceiver{Setting: s, Checking: true}); !ok || string(heard) != string(ask) {
			return judged{true, true, "the scale would not understand the ask"}
		}
	}
	return j
}

// readings are weights that a scale may show.
func readings(mode scale.Mode, unit scale.Unit) []scale.Reading {
	var out []scale.Reading
	for _, n := range []string{"0.0", "0.1", "412.6", "-3.2", "999.9", "12"} {
		d, err := scale.ParseDecimal(n)
		if err != nil {
			panic(err)
		}
		for _, m := range []scale.Motion{scale.MotionStill, scale.MotionMoving} {
			r := scale.Reading{Number: d, HasNumber: true, Unit: unit, Motion: m, Mode: mode}
			if d.Coefficient == 0 {
				r.Status = scale.StatusZero
			}
			out = append(out, r)
		}
	}
	return out
}

// weights counts the weights that a shape reads in a stream.
func weights(c scale.Codec, stream []byte) int {
	f, n := scale.NewFramer(c), 0
	f.Feed(stream)
	for {
		r, err, ok := f.Next()
		if !ok {
			return n
		}
		if err == nil && r.HasNumber && r.Status <= scale.StatusZero {
			n++
		}
	}
}
