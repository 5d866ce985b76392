package scale_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/scale"
)

// Reports written by hand from the usages of the HID Point of Sale Usage Tables
// 1.02 (USB-IF), page 8D: status 71 to 78 are 1 to 8, units 51 to 5C are 1 to
// 12. The value of each line is worked out with pencil: 103Ah is 4154.
func TestHIDReadsAReport(t *testing.T) {
	for _, c := range []struct {
		name, report, number, unit string
		status                     scale.Status
		motion                     scale.Motion
		grams                      float64 // used where usable
		usable                     bool
	}{
		{"stable", "\x03\x04\x02\xff\x3a\x10", "415.4", "g", scale.StatusOK, scale.MotionStill, 415.4, true},
		{"the other number in front", "\x04\x04\x02\xff\x3a\x10", "415.4", "g", scale.StatusOK, scale.MotionStill, 415.4, true},
		{"in motion", "\x03\x03\x02\x00\x3a\x10", "4154", "g", scale.StatusOK, scale.MotionMoving, 4154, true},
		{"zero", "\x03\x02\x02\xff\x00\x00", "0.0", "g", scale.StatusZero, scale.MotionStill, 0, true},
		{"kilograms", "\x03\x04\x03\xfd\xe2\x04", "1.250", "kg", scale.StatusOK, scale.MotionStill, 1250, true},
		{"milligrams", "\x03\x04\x01\x02\xe8\x03", "100000", "mg", scale.StatusOK, scale.MotionStill, 100, true},
		{"below one", "\x03\x04\x02\xfe\x05\x00", "0.05", "g", scale.StatusOK, scale.MotionStill, 0.05, true},
		{"the most counts", "\x03\x04\x02\xff\xff\xff", "6553.5", "g", scale.StatusOK, scale.MotionStill, 6553.5, true},
		{"a carat", "\x03\x04\x04\x00\x01\x00", "1", "ct", scale.StatusOK, scale.MotionStill, 0.2, true},
		// Exact sizes by NIST Handbook 44, appendix C.
		{"a grain", "\x03\x04\x06\x00\x01\x00", "1", "gn", scale.StatusOK, scale.MotionStill, 0.06479891, true},
		{"a pennyweight", "\x03\x04\x07\x00\x01\x00", "1", "dwt", scale.StatusOK, scale.MotionStill, 1.55517384, true},
		{"a tonne", "\x03\x04\x08\xfa\x01\x00", "0.000001", "t", scale.StatusOK, scale.MotionStill, 1, true},
		{"a troy ounce", "\x03\x04\x0a\x00\x01\x00", "1", "ozt", scale.StatusOK, scale.MotionStill, 31.1034768, true},
		{"ounces", "\x03\x04\x0b\xff\x0f\x00", "1.5", "oz", scale.StatusOK, scale.MotionStill, 42.524285, true},
		{"a pound", "\x03\x04\x0c\x00\x01\x00", "1", "lb", scale.StatusOK, scale.MotionStill, 453.59237, true},
		{"under zero", "\x03\x05\x02\xff\x3a\x10", "-415.4", "g", scale.StatusUnder, scale.MotionStill, 0, false},
		{"over the limit", "\x03\x06\x02\xff\x3a\x10", "", "g", scale.StatusOver, scale.MotionUnknown, 0, false},
		{"fault", "\x03\x01\x02\xff\x3a\x10", "", "g", scale.StatusNotReady, scale.MotionUnknown, 0, false},
		{"needs calibration", "\x03\x07\x02\xff\x3a\x10", "", "g", scale.StatusNotReady, scale.MotionUnknown, 0, false},
		{"needs a new zero", "\x03\x08\x02\xff\x3a\x10", "", "g", scale.StatusInitialZeroError, scale.MotionUnknown, 0, false},
		{"a fault in no unit", "\x03\x01\x05\x7f\xff\xff", "", "", scale.StatusNotReady, scale.MotionUnknown, 0, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := scale.HID{}.Decode([]byte(c.report))
			require.NoError(t, err)
			assert.Equal(t, c.number != "", r.HasNumber)
			if r.HasNumber {
				assert.Equal(t, c.number, r.Number.String())
			}
			assert.Equal(t, c.unit, r.Unit.String())
			assert.Equal(t, c.status, r.Status)
			assert.Equal(t, c.motion, r.Motion)
			m, ok := r.Weight()
			assert.Equal(t, c.usable, ok)
			assert.InDelta(t, c.grams, m.Grams(), 1e-6)
		})
	}
}

func TestHIDRefuses(t *testing.T) {
	for report, says := range map[string]string{
		"":                             "six bytes",
		"\x03\x04\x02\xff\x3a":         "six bytes",
		"\x03\x04\x02\xff\x3a\x10\x00": "six bytes",
		"\x05\x04\x02\xff\x3a\x10":     "number 3 or 4",
		"\x03\x00\x02\xff\x3a\x10":     "1 to 8",
		"\x03\x09\x02\xff\x3a\x10":     "1 to 8",
		"\x03\x04\x00\xff\x3a\x10":     "1 to 12",
		"\x03\x04\x0d\xff\x3a\x10":     "1 to 12",
		"\x03\x04\x05\xff\x3a\x10":     "set the scale to grams",
		"\x03\x04\x09\xff\x3a\x10":     "set the scale to grams",
		"\x03\x04\x02\x0a\x3a\x10":     "-9 to 9",
		"\x03\x04\x02\x80\x3a\x10":     "-9 to 9",
	} {
		r, err := scale.HID{}.Decode([]byte(report))
		var fault *scale.FrameError
		require.ErrorAs(t, err, &fault, "%x", report)
		assert.Contains(t, fault.Reason, says)
		assert.Equal(t, scale.Reading{}, r)
	}
}

func hidReading(number string) scale.Reading {
	d, _ := scale.ParseDecimal(number)
	return scale.Reading{Number: d, HasNumber: true, Unit: scale.UnitGram, Motion: scale.MotionStill}
}

// What a report can say comes back as it went, and everything else is either
// not sent or not usable.
func TestHIDRoundTrip(t *testing.T) {
	units := []scale.Unit{scale.UnitGram, scale.UnitKilogram, scale.UnitMilligram, scale.UnitTonne, scale.UnitPound,
		scale.UnitOunce, scale.UnitTroyOunce, scale.UnitGrain, scale.UnitPennyweight, scale.UnitCarat}
	rapid.Check(t, func(t *rapid.T) {
		r := hidReading(rapid.StringMatching(`[1-9][0-9]{0,3}|0|(0|[1-9][0-9]{0,2})\.[0-9]`).Draw(t, "number"))
		r.Unit = rapid.SampledFrom(units).Draw(t, "unit")
		r.Motion = rapid.SampledFrom([]scale.Motion{scale.MotionStill, scale.MotionMoving}).Draw(t, "motion")
		sent := scale.HID{}.Encode([]byte("kept"), r)[4:]
		got, err := scale.HID{}.Decode(sent)
		require.NoError(t, err)
		require.Equal(t, r, got)
	})
	rapid.Check(t, func(t *rapid.T) {
		r := hidReading(rapid.StringMatching(`-?([0-9]{1,14}|[0-9]{0,8}\.[0-9]{1,9})`).
			Filter(func(s string) bool { _, err := scale.ParseDecimal(s); return err == nil }).Draw(t, "number"))
		r.Status = scale.Status(rapid.IntRange(0, int(scale.StatusInfo)).Draw(t, "status"))
		r.Mode = rapid.SampledFrom([]scale.Mode{scale.ModeUnknown, scale.ModeNet, scale.ModeTare}).Draw(t, "mode")
		r.HasNumber = rapid.Bool().Draw(t, "has a number")
		want, usable := r.Weight()
		sent := scale.HID{}.Encode(nil, r)
		if len(sent) == 0 {
			return
		}
		got, err := scale.HID{}.Decode(sent)
		require.NoError(t, err)
		if m, ok := got.Weight(); ok {
			require.True(t, usable, "%+v became a weight", r)
			require.Equal(t, want, m)
		}
	})
}

func TestHIDSaysWhatIsNoWeight(t *testing.T) {
	for status, want := range map[scale.Status]scale.Status{
		scale.StatusOver: scale.StatusOver, scale.StatusUnder: scale.StatusUnder, scale.StatusNotReady: scale.StatusNotReady,
		scale.StatusZeroError: scale.StatusInitialZeroError, scale.StatusInitialZeroError: scale.StatusInitialZeroError,
		scale.StatusZero: scale.StatusZero,
	} {
		r := hidReading("0.0")
		r.Status = status
		got, err := scale.HID{}.Decode(scale.HID{}.Encode(nil, r))
		require.NoError(t, err, status)
		assert.Equal(t, want, got.Status)
	}
	got, err := scale.HID{}.Decode(scale.HID{}.Encode(nil, hidReading("-3.2")))
	require.NoError(t, err)
	assert.Equal(t, scale.StatusUnder, got.Status, "there is no sign")
	assert.Equal(t, "-3.2", got.Number.String())
	for _, r := range []scale.Reading{{}, {Unit: scale.UnitGram}, {HasNumber: true, Unit: scale.UnitPieces}, hidReading("70001"), {Status: scale.StatusCount, HasNumber: true, Unit: scale.UnitPieces}} {
		assert.Empty(t, scale.HID{}.Encode(nil, r), "%+v", r)
	}
	assert.Equal(t, "\x03\x04\x02\x01\x10\x27", string(scale.HID{}.Encode(nil, hidReading("100000"))), "10000 times ten")
}

func TestHIDRequests(t *testing.T) {
	for q := scale.RequestUnknown; q <= scale.RequestInfoNext; q++ {
		out, ok := scale.HID{}.Request([]byte("kept"), q)
		assert.Equal(t, q == scale.RequestZero, ok)
		if !ok {
			assert.Equal(t, "kept", string(out))
		}
	}
	out, _ := scale.HID{}.Request(nil, scale.RequestZero)
	assert.Equal(t, "\x02\x02", string(out)) // report 2, bit 1: usage 80, zero scale
	for in, want := range map[string]struct {
		r scale.Request
		n int
	}{
		"": {}, "\x02": {}, "\x02\x02": {scale.RequestZero, 2}, "\x02\x01": {scale.RequestUnknown, 2},
		"\x02\x03\x02": {scale.RequestZero, 2}, "\x07\x02": {scale.RequestUnknown, 1},
	} {
		r, n := scale.HID{}.ParseRequest([]byte(in))
		assert.Equal(t, want.r, r, "%q", in)
		assert.Equal(t, want.n, n, "%q", in)
	}
}

// hidPieces reads a stream to its end.
func hidPieces(t require.TestingT, chunks ...[]byte) (all []string, good int) {
	f := scale.NewFramer(scale.HID{})
	for i, chunk := range chunks {
		f.Feed(chunk)
		if i == len(chunks)-1 {
			f.Flush()
		}
		for r, err, ok := f.Next(); ok; r, err, ok = f.Next() {
			if err == nil {
				good++
				all = append(all, r.Number.String()+r.Unit.String()+r.Status.String())
				continue
			}
			var fault *scale.FrameError
			require.ErrorAs(t, err, &fault)
			require.LessOrEqual(t, len(fault.Piece), scale.MaxPiece)
			require.Less(t, fault.Offset, len(fault.Piece))
			all = append(all, string(fault.Piece))
		}
	}
	return all, good
}

// However the stream is cut, it has the same pieces; and a stream that begins
// in the middle of a report finds the next one.
func TestHIDStream(t *testing.T) {
	frame := scale.HID{}.Encode(nil, hidReading("415.4"))
	for cut := 0; cut <= len(frame); cut++ {
		all, good := hidPieces(t, append(append([]byte(nil), frame[cut:]...), bytes.Repeat(frame, 3)...))
		want := 3
		if cut == 0 {
			want = 4
		}
		assert.Equal(t, want, good, "%d bytes are missing in front: %q", cut, all)
		_, good = hidPieces(t, frame[:cut])
		assert.Equal(t, cut/len(frame), good, "a fragment is no report")
	}
	rapid.Check(t, func(t *rapid.T) {
		var data []byte
		for range rapid.IntRange(0, 8).Draw(t, "parts") {
			if rapid.Bool().Draw(t, "junk") {
				data = append(data, rapid.SliceOfN(rapid.Byte(), 0, 150).Draw(t, "bytes")...)
			}
			data = append(data, frame...)
		}
		want, _ := hidPieces(t, data)
		var single, halves [][]byte
		for i := range data {
			single = append(single, data[i:i+1])
		}
		single, halves = append(single, nil), append(halves, data[:len(data)/2], data[len(data)/2:])
		got, _ := hidPieces(t, single...)
		require.Equal(t, want, got, "byte by byte")
		got, _ = hidPieces(t, halves...)
		require.Equal(t, want, got, "in halves")
	})
}

func TestHIDCostsNothing(t *testing.T) {
	frame := scale.HID{}.Encode(nil, hidReading("415.4"))
	f, buf := scale.NewFramer(scale.HID{}), make([]byte, 0, 16)
	r := hidReading("412.6")
	assert.Zero(t, testing.AllocsPerRun(1000, func() {
		f.Feed(frame)
		for r, err, ok := f.Next(); ok; r, err, ok = f.Next() {
			if err != nil || !r.HasNumber {
				t.Error("the report is good")
			}
		}
		buf = scale.HID{}.Encode(buf[:0], r)
	}))
}

// Nothing makes it fall over, a piece is bounded, and all bytes are accounted
// for.
func FuzzHID(f *testing.F) {
	f.Add([]byte("\x03\x04\x02\xff\x3a\x10"))
	f.Add([]byte("\x10\x03\x04\x02\xff\x3a\x10\x04\x06\x02\xff\x3a\x10\x03\x04"))
	f.Fuzz(func(t *testing.T, data []byte) {
		_, _ = scale.HID{}.Decode(data)
		_, n := scale.HID{}.ParseRequest(data)
		require.LessOrEqual(t, n, len(data))
		rest := data
		for {
			advance, piece, err := scale.HID{}.Split(rest, true)
			require.NoError(t, err)
			require.LessOrEqual(t, len(piece), scale.MaxPiece)
			if advance == 0 {
				require.Empty(t, rest)
				return
			}
			if r, err := (scale.HID{}).Decode(piece); err == nil {
				_, _ = r.Weight()
				require.Len(t, piece, 6)
			}
			rest = rest[advance:]
		}
	})
}
