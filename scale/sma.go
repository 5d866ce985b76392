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
	smaFlags     = 5 // s r n m f behind the LF
	smaUnit      = 3
	smaWeight    = 10 // the standard's width
	smaWeightMin = 8  // as seen in print and in the field
	smaWeightMax = 12
)

// Name is "sma".
func (SMA) Name() string { return "sma" }

// Split cuts behind each CR. An LF inside a piece begins a new frame, so what
// stands before it is a piece of its own; bare line ends carry nothing. Four
// blanks between LF and CR do: they are a self test that found no fault.
func (SMA) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	end := bytes.IndexByte(data[:min(len(data), MaxPiece)], '\r') + 1
	switch {
	case end > 0:
	case len(data) >= MaxPiece:
		end = MaxPiece
	case atEOF:
		end = len(data)
	default:
		return 0, nil, nil
	}
	if lf := bytes.LastIndexByte(data[:end], '\n'); lf > 0 {
		end = lf // a fragment; the frame that begins at lf comes next
	}
	if len(bytes.Trim(data[:end], "\r\n")) == 0 {
		return end, nil, nil
	}
	return end, data[:end], nil
}

// Decode reads one frame or answer.
func (SMA) Decode(piece []byte) (Reading, error) {
	// Noise comes first: where the two ends are damaged too, it is the cause.
	if at := firstUnprintable(piece, "\r\n"); at >= 0 {
		return Reading{}, unprintableError(piece, at)
	}
	n := len(piece)
	if n == 0 || piece[0] != '\n' {
		return Reading{}, frameError(piece, 0, "a fragment: the line feed that begins a frame is missing")
	}
	if piece[n-1] != '\r' {
		return Reading{}, frameError(piece, n-1, "a fragment: the carriage return that ends a frame is missing")
	}
	body := piece[1 : n-1]
	if r, ok := smaAnswer(body); ok {
		return r, nil
	}
	if len(body) < smaFlags+smaWeightMin+smaUnit || len(body) > smaFlags+smaWeightMax+smaUnit {
		return Reading{}, frameError(piece, n-1, "a frame has 20 bytes, at least 18 and at most 22")
	}
	return smaReading(piece, body)
}

// smaReading reads the standard reply from both ends.
func smaReading(piece, body []byte) (Reading, error) {
	var r Reading
	var ok bool
	if !isPadding(body[1]) && (body[1] < '0' || body[1] > '9') {
		return Reading{}, frameError(piece, 2, "the range is not a digit")
	}
	if r.Mode, r.HighResolution, ok = smaMode(body[2]); !ok {
		return Reading{}, frameError(piece, 3, "the mode is none of G, N, T, g and n")
	}
	switch body[3] {
	case ' ', '_':
		r.Motion = MotionStill
	case 'M', 'm':
		r.Motion = MotionMoving
	default:
		return Reading{}, frameError(piece, 4, "the motion mark is neither M nor blank")
	}
	if body[4] == '-' || body[4] == '+' || body[4] == '.' {
		return Reading{}, frameError(piece, 5, "the number reaches into the flags in front of it")
	}
	r.Status = smaStatus(body[0])
	weight := trimPadding(body[smaFlags : len(body)-smaUnit])
	unit := body[len(body)-smaUnit:]
	if len(bytes.Trim(weight, "-")) == 0 {
		if r.Status <= StatusZero {
			r.Status = StatusNotReady
		}
		r.Unit, _ = ParseUnit(unit)
		return r, nil
	}
	if bytes.IndexByte(weight, ':') >= 0 {
		return Reading{}, frameError(piece, 1+smaFlags, "two numbers, as in pounds and ounces, are not read as one: set the scale to grams")
	}
	d, err := scanDecimal(weight)
	if err != nil {
		return Reading{}, frameError(piece, 1+smaFlags, "the weight is "+err.Error())
	}
	if r.Unit, ok = ParseUnit(unit); !ok {
		return Reading{}, frameError(piece, len(piece)-1-smaUnit, "the unit is not known")
	}
	r.Number, r.HasNumber = d, true
	if !r.Unit.IsMass() && r.Status <= StatusZero {
		r.Status = StatusCount
	}
	return r, nil
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

func smaMode(c byte) (m Mode, high, ok bool) {
	switch c {
	case 'G':
		return ModeGross, false, true
	case 'g':
		return ModeGross, true, true
	case 'N':
		return ModeNet, false, true
	case 'n':
		return ModeNet, true, true
	case 'T':
		return ModeTare, false, true
	}
	return ModeUnknown, false, false
}

// smaAnswer reads what is no weight: "?", "!", a field line such as
// "SMA:2/1.0" and the four letters of the self test.
func smaAnswer(body []byte) (Reading, bool) {
	switch {
	case len(body) == 1 && body[0] == '?':
		return Reading{Status: StatusUnknownCommand}, true
	case len(body) == 1 && body[0] == '!':
		return Reading{Status: StatusDamagedCommand}, true
	case len(body) >= 4 && body[3] == ':' && upperField(body[:3]):
		return Reading{Status: StatusInfo}, true
	case len(body) == 4 && selfTest(body):
		return Reading{Status: StatusInfo}, true
	}
	return Reading{}, false
}

func selfTest(b []byte) bool {
	for i, want := range []byte("REC") {
		if b[i] != ' ' && b[i] != want {
			return false
		}
	}
	return true
}

func upperField(name []byte) bool {
	for _, c := range name {
		if !(c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == ' ') {
			return false
		}
	}
	return name[0] != ' '
}
