package scale

import "bytes"

// signedSpecial reads the lines whose number field holds a letter or an error.
func signedSpecial(line []byte, r *Reading) bool {
	text := bytes.Trim(line, " ")
	*r = Reading{}
	switch string(text) {
	case "H":
		r.Status = StatusOver
	case "L":
		r.Status = StatusUnder
	case "C":
		r.Status = StatusNotReady
	default:
		number, ok := bytes.CutPrefix(text, []byte("Err "))
		if _, err := scanUnsigned(number); !ok || err != nil {
			return false
		}
		r.Status = StatusNotReady
	}
	return true
}

// Encode appends the line for a reading, and nothing where the shape has no
// word for it. A moving weight has no unit.
func (c Signed) Encode(dst []byte, r Reading) []byte {
	out, ok := dst, true
	if c.Label {
		out = appendLeft(out, [...]string{"", "G", "N", "T"}[r.Mode&3], signedLabel)
	}
	switch {
	case r.Status == StatusOver:
		out = append(out, "      H       "...)
	case r.Status == StatusUnder:
		out = append(out, "      L       "...)
	case r.Status == StatusNotReady:
		out = append(out, "      C       "...)
	case showsNumber(r) || c.showsMore(r):
		out, ok = appendRight(append(out, signOf(r.Number, '+')), r.Number, signedUnit-2, ' ')
		unit := r.Unit.String()
		if r.Motion == MotionMoving {
			unit = ""
		}
		out = appendLeft(append(out, ' '), unit, signedWidth-signedUnit)
	default:
		return dst
	}
	if !ok {
		return dst
	}
	return append(out, '\r', '\n')
}

// showsMore tells for which other readings the line may carry the number: a
// stored tare where there are labels, and a weight that moves in no unit.
func (c Signed) showsMore(r Reading) bool {
	tare := c.Label && r.Mode == ModeTare && r.Unit.IsMass()
	moving := r.Mode != ModeTare && r.Motion == MotionMoving && r.Unit == UnitNone
	return r.HasNumber && r.Status <= StatusZero && (tare || moving)
}

// signedCommands are sent behind an ESC: P prints the weight, T takes the tare.
// The CR LF behind them is optional.
var signedCommands = []command{{RequestWeight, "\x1bP"}, {RequestTare, "\x1bT"}}

// Request appends ESC, the letter, CR LF.
func (Signed) Request(dst []byte, r Request) ([]byte, bool) {
	return appendCommand(dst, r, signedCommands)
}

// ParseRequest is the scale's side.
func (Signed) ParseRequest(data []byte) (Request, int) { return parseCommand(data, signedCommands) }
