package scaletest

import (
	"bytes"

	"gramcup/scale"
)

// Features is what a family of lines can say. It is found by writing readings
// and reading them back, not by asking the codec.
type Features struct {
	Still      bool         // a mark for still and moving
	Mode       scale.Mode   // gross, or net where a line with that alone is a weight
	Live       []scale.Mode // the modes in which a live weight comes back, told or not
	Gross      bool         // gross is told
	Net        bool         // net is told
	Tare       bool         // a stored tare is told from a live weight
	Units      []scale.Unit // of g, kg, lb and oz, those that come back
	UnitText   bool         // the unit stands in the frame as letters
	BlankUnit  bool         // the unit is left out while the weight moves
	BlankMode  bool         // the mode is left out while the weight moves
	Lead       bool         // zeros in front come back as they were sent
	SignFar    bool         // the minus may stand apart from its digits
	Checksum   bool         // one changed digit is noticed
	Resync     bool         // junk without an end costs no frame
	ResyncTare bool         // nor one with a stored tare
	FrontBlank bool         // blanks in front of a frame carry nothing
	Loose      bool         // the rear of a line is a line too: a fragment can not be told
	Digits     int          // the longest whole number, in digits
	Places     int          // the most digits behind the point
	Frames     []byte       // a few frames, for the bytes that they are made of
	Says       [scale.StatusInfo + 1]bool
	Asks       []scale.Request // what the host can ask for
}

// Probe finds out what a codec can say.
func Probe(c scale.Codec) Features {
	f := Features{Mode: scale.ModeGross}
	for _, m := range []scale.Mode{scale.ModeGross, scale.ModeNet} {
		r := sample(scale.UnitGram)
		r.Mode = m
		if got, ok := again(c, r); ok && got.HasNumber {
			f.Live = append(f.Live, m)
		}
	}
	if len(f.Live) > 0 {
		f.Mode = f.Live[0]
	}
	for _, u := range []scale.Unit{scale.UnitGram, scale.UnitKilogram, scale.UnitPound, scale.UnitOunce} {
		if got, ok := again(c, f.sample(u)); ok && got.HasNumber && got.Unit == u {
			f.Units = append(f.Units, u)
		}
	}
	if len(f.Units) == 0 {
		return f
	}
	r := f.sample(f.Units[0])
	f.probeState(c, r)
	f.probeNumber(c, r)
	f.probeFrame(c, r)
	f.Frames = bytes.Join([][]byte{c.Encode(nil, r), c.Encode(nil, f.sample(f.Units[len(f.Units)-1]))}, nil)
	for s := range f.Says {
		r := f.sample(f.Units[0])
		if r.Status = scale.Status(s); r.Status == scale.StatusCount {
			r.Unit = scale.UnitPieces
		}
		got, ok := again(c, r)
		f.Says[s] = ok && got.Status == r.Status
	}
	for q := scale.RequestWeight; q <= scale.RequestInfoNext; q++ {
		if _, ok := c.Request(nil, q); ok {
			f.Asks = append(f.Asks, q)
		}
	}
	return f
}

// probeState finds out what is said about motion and mode.
func (f *Features) probeState(c scale.Codec, r scale.Reading) {
	still, _ := again(c, r)
	moving := r
	moving.Motion = scale.MotionMoving
	if got, ok := again(c, moving); ok {
		f.Still = still.Motion == scale.MotionStill && got.Motion == scale.MotionMoving
		f.BlankUnit = got.Unit == scale.UnitNone
		f.BlankMode = got.Mode == scale.ModeUnknown && still.Mode != scale.ModeUnknown
	}
	for mode, told := range map[scale.Mode]*bool{scale.ModeGross: &f.Gross, scale.ModeNet: &f.Net, scale.ModeTare: &f.Tare} {
		r.Mode = mode
		if got, ok := again(c, r); ok && got.HasNumber {
			*told = got.Mode == mode
		}
	}
}

// probeNumber finds the room for digits. The widest numbers that a bench scale
// shows are tried, no more.
func (f *Features) probeNumber(c scale.Codec, r scale.Reading) {
	fits := func(d scale.Decimal) bool {
		r.Number = d
		got, ok := again(c, r)
		return ok && got.HasNumber && got.Number.Coefficient == d.Coefficient && got.Number.Places == d.Places && got.Number.Negative == d.Negative
	}
	for n, all := uint8(1), uint64(9); n <= 6; n, all = n+1, all*10+9 {
		whole := fits(scale.Decimal{Coefficient: all, Lead: n, Negative: true})
		if whole && (n == 1 || fits(scale.Decimal{Coefficient: all, Lead: n - 1, Places: 1, Negative: true})) {
			f.Digits = int(n)
		}
		if fits(scale.Decimal{Coefficient: 1, Places: n, Lead: 1, Negative: true}) {
			f.Places = int(n)
		}
	}
	r.Number = scale.Decimal{Coefficient: 12, Places: 1, Lead: 1}
	got, _ := again(c, r)
	f.Lead = got.Number == r.Number
}

// probeFrame finds out about the bytes of a frame.
func (f *Features) probeFrame(c scale.Codec, r scale.Reading) {
	r.Number.Negative = true
	frame := c.Encode(nil, r)
	for _, u := range f.Units {
		if u == scale.UnitKilogram {
			kg := r
			kg.Unit = u
			f.UnitText = bytes.Count(c.Encode(nil, kg), []byte("kg")) == 1
		}
	}
	if got, ok := read(c, append([]byte("7"), frame...)); ok {
		f.Resync = got.Number.Coefficient == r.Number.Coefficient
	}
	tare := r
	tare.Mode = scale.ModeTare
	if got, ok := read(c, append([]byte("7"), c.Encode(nil, tare)...)); ok {
		f.ResyncTare = got.Number.Coefficient == r.Number.Coefficient
	}
	if got, ok := read(c, append([]byte(" "), frame...)); ok && frame[0] == ' ' {
		f.FrontBlank = got.HasNumber
	}
	f.SignFar = signFar(c, r)
	tail, ok := read(c, frame[bytes.IndexByte(frame, '1'):])
	f.Loose = ok && tail.HasNumber
	spoilt := bytes.Replace(frame, []byte("4"), []byte("5"), 1)
	if !bytes.Equal(spoilt, frame) {
		got, ok := read(c, spoilt)
		f.Checksum = !ok || !got.HasNumber
	}
}

// signFar moves the minus away from its digits by one blank.
func signFar(c scale.Codec, r scale.Reading) bool {
	r.Number = scale.Decimal{Coefficient: 32, Places: 1, Lead: 1, Negative: true}
	want, ok := again(c, r)
	frame := c.Encode(nil, r)
	at := bytes.IndexByte(frame, '-')
	if !ok || at < 0 || at+1 == len(frame) {
		return false
	}
	if frame[at+1] == ' ' {
		return true // it is written so
	}
	if at > 0 && frame[at-1] == ' ' {
		frame[at-1], frame[at] = '-', ' '
	} else {
		frame = bytes.Replace(frame, []byte("-"), []byte("- "), 1)
	}
	got, ok := read(c, frame)
	return ok && got == want
}

// say takes from a reading what the shape has no way to say.
func (f Features) say(r scale.Reading) scale.Reading {
	if r.Mode == scale.ModeGross && !f.Gross || r.Mode == scale.ModeNet && !f.Net {
		r.Mode = scale.ModeUnknown
	}
	if !f.Still {
		r.Motion = scale.MotionUnknown
	}
	if f.BlankUnit && r.Motion == scale.MotionMoving {
		r.Unit = scale.UnitNone
	}
	if f.BlankMode && r.Motion == scale.MotionMoving {
		r.Mode = scale.ModeUnknown
	}
	if !f.Lead {
		r.Number.Lead = 0
	}
	return r
}

// sample is a still weight that the shape has a line for.
func (f Features) sample(u scale.Unit) scale.Reading {
	r := sample(u)
	r.Mode = f.Mode
	return r
}

// sample is a still gross weight.
func sample(u scale.Unit) scale.Reading {
	return scale.Reading{
		Number: scale.Decimal{Coefficient: 4126, Places: 1, Lead: 3}, HasNumber: true,
		Unit: u, Mode: scale.ModeGross, Motion: scale.MotionStill,
	}
}

// again is what a reading is after it was written and read.
func again(c scale.Codec, r scale.Reading) (scale.Reading, bool) { return read(c, c.Encode(nil, r)) }

// read is the last reading of a stream.
func read(c scale.Codec, stream []byte) (last scale.Reading, ok bool) {
	f := scale.NewFramer(c)
	f.Feed(stream)
	f.Flush()
	for r, err, more := f.Next(); more; r, err, more = f.Next() {
		last, ok = r, err == nil
	}
	return last, ok
}
