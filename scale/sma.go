package scale

import "bytes"

// SMA reads the frames of the open standard SMA SCP-0499 (Scale Manufacturers
// Association, serial communication protocol, first edition 1999):
//
//	LF  s  r  n  m  f  xxxxxx.xxx  uuu  CR        20 bytes
//	0   1  2  3  4  5  6 … 15      16…18 19
//
// s status, r range, n mode, m motion, f reserved, ten characters of weight,
// three of unit. There is no LF behind the CR: the next frame's LF is its own.
// Where documents and devices differ, both are read: padding is a blank or an
// underscore, and the weight may be a character or two wider or narrower, so a
// frame is taken apart from both ends. Dashes can come with no error letter.
type SMA struct{}

const (
	smaFlags    = 5 // s r n m f behind the LF
	smaUnit     = 3
	smaWidth    = 10 // the standard's width
	smaWidthMin = 8  // as seen in print and in the field
	smaWidthMax = 12
)

// Name is "sma".
func (SMA) Name() string { return "sma" }

// Decode reads one frame or answer.
func (SMA) Decode(piece []byte) (r Reading, err error) {
	if at, reason := smaDecode(piece, &r); reason != "" {
		return Reading{}, refused(piece, "\r\n", at, reason)
	}
	return r, nil
}

func smaDecode(piece []byte, r *Reading) (at int, reason string) {
	n := len(piece)
	if n == 0 || piece[0] != '\n' {
		return 0, "a fragment: the line feed that begins a frame is missing"
	}
	if piece[n-1] != '\r' {
		return n - 1, "a fragment: the carriage return that ends a frame is missing"
	}
	body := piece[1:max(n-1, 1)]
	short := len(body) < smaFlags+smaWidthMin+smaUnit
	if (short || body[3] == ':') && smaAnswer(body, r) {
		if firstUnprintable(piece, "\r\n") >= 0 {
			return 0, notText
		}
		return 0, ""
	}
	if short || len(body) > smaFlags+smaWidthMax+smaUnit {
		return n - 1, "a frame has 20 bytes, at least 18 and at most 22"
	}
	return smaReading(body, r)
}

// smaReading reads the standard reply from both ends.
func smaReading(body []byte, r *Reading) (at int, reason string) {
	if body[1]-'0' > 9 && !isPadding(body[1]) {
		return 2, "the range is not a digit"
	}
	if !smaMode(body[2], r) {
		return 3, "the mode is none of G, N, T, g and n"
	}
	switch body[3] {
	case ' ', '_':
		r.Motion = MotionStill
	case 'M', 'm':
		r.Motion = MotionMoving
	default:
		return 4, "the motion mark is neither M nor blank"
	}
	if body[4] == '-' || body[4] == '+' || body[4] == '.' {
		return 5, "the number reaches into the flags in front of it"
	}
	if !isPrintable(body[0]) || body[1] == 0 || !isPrintable(body[4]) {
		return 1, notText
	}
	r.Status = smaStatus(body[0])
	return smaWeight(body, r)
}

// smaWeight reads the weight and the unit behind the flags.
func smaWeight(body []byte, r *Reading) (at int, reason string) {
	unit := len(body) - smaUnit
	weight := trimBlanks(body[smaFlags:unit])
	var known bool
	r.Unit, known = blankUnit(body[unit:])
	if len(weight) == 0 || weight[len(weight)-1] == '-' && len(bytes.Trim(weight, "-")) == 0 {
		if firstUnprintable(body[smaFlags:], "") >= 0 {
			return 1 + unit, notText
		}
		if r.Status <= StatusZero {
			r.Status = StatusNotReady
		}
		return 0, ""
	}
	d, err := scanDecimal(weight)
	switch {
	case err != nil && bytes.IndexByte(weight, ':') >= 0:
		return 1 + smaFlags, "two numbers, as in pounds and ounces, are not read as one: set the scale to grams"
	case err != nil:
		return 1 + smaFlags, "the weight is " + err.Error()
	case !known:
		return 1 + unit, "the unit is not known"
	}
	r.Number, r.HasNumber = d, true
	if !r.Unit.IsMass() && r.Status <= StatusZero {
		r.Status = StatusCount
	}
	return 0, ""
}

// smaStatus reads the status letter. An unknown one means that the reading is
// not usable: makers add letters of their own for "calibrating" and the like.
func smaStatus(c byte) Status {
	switch c {
	case ' ', '_':
		return StatusOK
	case 'Z':
		return StatusZero
	case 'O':
		return StatusOver
	case 'U':
		return StatusUnder
	case 'E':
		return StatusZeroError
	case 'I':
		return StatusInitialZeroError
	case 'T':
		return StatusTareError
	}
	return StatusNotReady
}

func smaMode(c byte, r *Reading) bool {
	switch c {
	case 'G', 'g':
		r.Mode = ModeGross
	case 'N', 'n':
		r.Mode = ModeNet
	case 'T':
		r.Mode = ModeTare
	default:
		return false
	}
	r.HighResolution = c >= 'a'
	return true
}
