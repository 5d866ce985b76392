package scale

import (
	"encoding/binary"
	"strconv"
)

// HID reads the data report of a USB weighing device, usage page 8D of the
// HID Point of Sale Usage Tables 1.02 (USB-IF):
//
//	03 04 02 FF 3A 10        six bytes: stable, grams, 10^-1, 4154: 415.4 g
//
// They are the report's number (03, of a few devices 04), the status (1 to 8,
// usages 71 to 78), the unit (1 to 12, usages 51 to 5C), a signed power of ten,
// and the weight, unsigned, the low byte first. How the fields are packed is
// what such devices send (two public readers agree); the tables name only the
// usages.
//
// A report has neither an end nor a checksum. One read of the device is one
// report, so nothing has to be looked for there; in a recording that begins in
// the middle, the next six bytes that can be one are taken.
type HID struct{}

const (
	hidLength   = 6
	hidTenMost  = 9    // the largest power of ten, up and down, that is believed
	hidControl  = 0x02 // the number of the control report
	hidZeroBit  = 0x02 // in it: take the weight as zero; bit 0 would enforce a zero return
	hidFirst    = 0x03
	hidSecond   = 0x04
	hidMostStat = 8
	hidMostUnit = 12
)

// hidUnits are the units by their number. The tael (5) differs from country to
// country, and the ton (9) too: a weight in them can not be used.
var hidUnits = [hidMostUnit + 1]Unit{
	1: UnitMilligram, 2: UnitGram, 3: UnitKilogram, 4: UnitCarat, 6: UnitGrain, 7: UnitPennyweight,
	8: UnitTonne, 10: UnitTroyOunce, 11: UnitOunce, 12: UnitPound,
}

// hidStates are the states by their number.
var hidStates = [hidMostStat + 1]struct {
	status Status
	motion Motion
}{
	1: {status: StatusNotReady},                    // fault
	2: {status: StatusZero, motion: MotionStill},   // stable at the centre of zero
	3: {status: StatusOK, motion: MotionMoving},    // in motion
	4: {status: StatusOK, motion: MotionStill},     // stable
	5: {status: StatusUnder, motion: MotionStill},  // under zero
	6: {status: StatusOver, motion: MotionUnknown}, // over the limit
	7: {status: StatusNotReady},                    // needs calibration
	8: {status: StatusInitialZeroError},            // needs to be set to zero again
}

// Name is "hid".
func (HID) Name() string { return "hid" }

// Split takes six bytes that can be a report, and junk up to the next.
func (HID) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	if len(data) == 0 {
		return 0, nil, nil
	}
	switch n := hidFrame(data); {
	case n > 0:
		return n, data[:n], nil
	case n == needMore && !atEOF:
		return 0, nil, nil
	}
	window := data[:min(len(data), MaxPiece)]
	end := len(window)
	if end < MaxPiece && !atEOF {
		end = 0
	}
	for at := 1; at < len(window); at++ {
		n := hidFrame(window[at:])
		if n > 0 || n == needMore && len(window) == MaxPiece {
			end = at
			break
		}
		if n == needMore && !atEOF {
			return 0, nil, nil
		}
	}
	return end, data[:end:end], nil
}

// hidFrame is the length of the report at the start of b, 0 where none can
// begin, or needMore.
func hidFrame(b []byte) int {
	for i, c := range b[:min(len(b), 3)] {
		switch {
		case i == 0 && c != hidFirst && c != hidSecond,
			i == 1 && (c == 0 || c > hidMostStat),
			i == 2 && (c == 0 || c > hidMostUnit):
			return 0
		}
	}
	return whole(b, hidLength)
}

// Decode reads one report.
func (HID) Decode(piece []byte) (Reading, error) {
	switch {
	case len(piece) != hidLength:
		return Reading{}, frameError(piece, 0, "no report of a weighing device: six bytes are expected")
	case piece[0] != hidFirst && piece[0] != hidSecond:
		return Reading{}, frameError(piece, 0, "no report of a weighing device: the number 3 or 4 is expected in front")
	case piece[1] == 0 || piece[1] > hidMostStat:
		return Reading{}, frameError(piece, 1, "the status is none that is known: 1 to 8 are expected")
	case piece[2] == 0 || piece[2] > hidMostUnit:
		return Reading{}, frameError(piece, 2, "the unit is none that is known: 1 to 12 are expected")
	}
	state := hidStates[piece[1]]
	r := Reading{Status: state.status, Motion: state.motion, Unit: hidUnits[piece[2]]}
	if state.status > StatusZero && state.status != StatusUnder {
		return r, nil // whatever stands in the weight, it is none
	}
	if r.Unit == UnitNone {
		return Reading{}, frameError(piece, 2, "the unit is a tael or a ton, which differ from place to place: set the scale to grams")
	}
	ten := int(int8(piece[3]))
	if ten < -hidTenMost || ten > hidTenMost {
		return Reading{}, frameError(piece, 3, "the power of ten is none that a scale has: -9 to 9 are expected")
	}
	r.HasNumber = true
	r.Number = hidNumber(uint64(binary.LittleEndian.Uint16(piece[4:])), ten)
	// There is no sign: under zero the weight is how far.
	r.Number.Negative = state.status == StatusUnder
	return r, nil
}

// hidNumber is weight times ten to the given power, exactly.
func hidNumber(weight uint64, ten int) Decimal {
	d := Decimal{Coefficient: weight}
	if ten >= 0 {
		d.Coefficient *= pow10[ten]
	} else {
		d.Places = uint8(-ten)
	}
	var buf [24]byte
	digits := len(strconv.AppendUint(buf[:0], d.Coefficient, 10))
	d.Lead = uint8(max(digits-int(d.Places), 1))
	return d
}
