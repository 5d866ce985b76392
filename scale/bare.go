package scale

import "strconv"

// Bare reads lines that hold a number and nothing else, shape S17, read by a
// public package and seen in a public issue:
//
//	412.6 CR LF
//	$000412 CR
//
// The shape says neither unit nor stillness nor overload, and its own noise
// looks like it: the rear half of a line is a line too. So the unit is a
// setting, without which no reading can be used, and where the lines of a scale
// all have one width, or all begin with $, that should be set as well: then a
// half is refused. A $ in a line begins a new one.
type Bare struct {
	Unit   Unit // what the numbers are; UnitNone: not usable until it is set
	Width  int  // the only length of a line that is read, without its end; 0: any
	Dollar bool // only lines of a $ and six characters are read; Width is not looked at
}

const (
	bareDollar    = 6
	bareMaxDigits = 8 // a display has no more
)

// Name is "bare", with what is set: "bare-g", "bare-8-g", "bare-dollar-g".
func (c Bare) Name() string {
	if c.Dollar || c.Width <= 0 {
		return named("bare", c.Dollar, "-dollar", c.Unit)
	}
	return named("bare-"+strconv.Itoa(c.Width), false, "", c.Unit)
}

// Split ends a line at CR, LF or ETX and before a $.
func (Bare) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	return splitLines(data, atEOF, 0, '$', "")
}

// Decode reads one line.
func (c Bare) Decode(piece []byte) (r Reading, err error) {
	if at, reason := c.decode(piece, &r); reason != "" {
		return Reading{}, lineError(piece, at, reason)
	}
	return r, nil
}

func (c Bare) decode(piece []byte, r *Reading) (at int, reason string) {
	line, at, reason := wholeLine(piece)
	if reason != "" {
		return at, reason
	}
	if c.Dollar && (line[0] != '$' || len(line) != bareDollar+1) {
		return 0, "a fragment or another shape: a line is a $ and six characters"
	}
	if !c.Dollar && c.Width > 0 && len(line) != c.Width {
		return 0, "not as long as the lines of this scale are said to be: a fragment, or glued to one"
	}
	rest := line
	if rest[0] == '$' {
		rest = rest[1:]
	}
	value, behind := cutNumber(rest)
	if len(behind) > 0 {
		return len(line) - len(behind), "more than a number: another shape, or noise"
	}
	if dashes(value) {
		r.Status = StatusNotReady
		return 0, ""
	}
	d, err := scanDecimal(value)
	if err != nil {
		return 0, "the line is " + err.Error()
	}
	if d.Lead+d.Places > bareMaxDigits {
		return 0, "more than eight digits are no display: two lines in one, or another shape"
	}
	r.Number, r.HasNumber, r.Unit = d, true, c.Unit
	return 0, ""
}

// Encode appends the line for a weight, whatever its unit: a scale of this shape
// does not say when its unit is changed. The shape has no word for anything
// else: for that, and for a number that does not fit, nothing is sent.
func (c Bare) Encode(dst []byte, r Reading) []byte {
	if !sendable(r) || r.Number.Lead+r.Number.Places > bareMaxDigits {
		return dst
	}
	start := len(dst)
	if c.Dollar {
		width := bareDollar
		dst = append(dst, '$')
		if r.Number.Negative {
			dst = append(dst, '-')
			width--
		}
		dst, ok := appendField(dst, r.Number, width, '0')
		if !ok {
			return dst[:start]
		}
		return append(dst, '\r')
	}
	var buf [24]byte
	number := r.Number.Append(buf[:0])
	if c.Width > 0 && len(number) > c.Width {
		return dst
	}
	for n := len(number); n < c.Width; n++ {
		dst = append(dst, ' ')
	}
	return append(append(dst, number...), '\r', '\n')
}

// Request knows no command: none is described.
func (Bare) Request(dst []byte, _ Request) ([]byte, bool) { return dst, false }

// ParseRequest drops whatever it is sent.
func (Bare) ParseRequest(data []byte) (Request, int) { return RequestUnknown, len(data) }
