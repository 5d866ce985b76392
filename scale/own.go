package scale

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// OwnLine describes the lines of a scale that no other shape reads: a pattern
// with named parts, and what the words in those parts mean. Its fields are the
// keys of the settings file.
type OwnLine struct {
	// Pattern is a regular expression (RE2) for a whole line without its end.
	// Its named parts are value (needed), sign, unit, stable, mode and status.
	// A line whose number goes on outside of them is refused, see ownEdges.
	Pattern string `toml:"pattern"`
	// End lists the bytes that end a line, any run of them; "" is CR and LF.
	End string `toml:"end"`
	// Unit is the unit where the pattern has no part for it.
	Unit string `toml:"unit"`
	// Still and Moving are what the part stable holds for either.
	Still  []string `toml:"still"`
	Moving []string `toml:"moving"`
	// Net, Gross and Tare are what the part mode holds.
	Net   []string `toml:"net"`
	Gross []string `toml:"gross"`
	Tare  []string `toml:"tare"`
	// Over, Under and Wait are what the part status holds when the number must
	// not be used.
	Over  []string `toml:"over"`
	Under []string `toml:"under"`
	Wait  []string `toml:"wait"`
}

// ownParts are the parts that a pattern may have.
var ownParts = []string{"value", "sign", "unit", "stable", "mode", "status"}

// Own reads lines that somebody described. It is slower than the built-in
// shapes and allocates, which ten lines a second do not notice.
type Own struct {
	line  OwnLine
	match *regexp.Regexp
	part  map[string]int
	unit  Unit
}

// NewOwn checks a description and says what is missing in it.
func NewOwn(l OwnLine) (*Own, error) {
	if l.End == "" {
		l.End = lineEnds[:2]
	}
	if err := l.checkEnd(); err != nil {
		return nil, err
	}
	re, err := regexp.Compile(`^(?:` + l.Pattern + `)$`)
	if err != nil {
		return nil, fmt.Errorf("the pattern of your own line can not be read: %w", err)
	}
	o := &Own{line: l, match: re, part: map[string]int{}}
	for i, name := range re.SubexpNames() {
		if name == "" {
			continue
		}
		if !slices.Contains(ownParts, name) {
			return nil, fmt.Errorf("the pattern of your own line has a part %q: there are %s", name, strings.Join(ownParts, ", "))
		}
		o.part[name] = i
	}
	if _, ok := o.part["value"]; !ok {
		return nil, fmt.Errorf("the pattern of your own line has no part for the number: write (?P<value>[0-9.]+) where it stands")
	}
	_, hasUnit := o.part["unit"]
	if l.Unit != "" {
		var ok bool
		if o.unit, ok = ParseUnit([]byte(l.Unit)); !ok || !o.unit.IsMass() {
			return nil, fmt.Errorf("the unit %q of your own line is not one of mass: write g, kg, mg, lb or oz", l.Unit)
		}
	} else if !hasUnit {
		return nil, fmt.Errorf("your own line says nothing about the unit: give the pattern a part (?P<unit>…) or set unit = \"g\"")
	}
	return o, nil
}

// Name is "own".
func (o *Own) Name() string { return "own" }

// Split ends a line at any of the described bytes.
func (o *Own) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	skip := 0
	for skip < len(data) && strings.IndexByte(o.line.End, data[skip]) >= 0 {
		skip++
	}
	if skip > 0 {
		return skip, nil, nil
	}
	end := bytes.IndexAny(data, o.line.End)
	switch {
	case end >= 0 && end < MaxPiece:
		return end + 1, data[:end+1], nil
	case len(data) >= MaxPiece:
		return MaxPiece, data[:MaxPiece], nil
	case atEOF && len(data) > 0:
		return len(data), data, nil
	}
	return 0, nil, nil
}

// Decode reads one line by the pattern.
func (o *Own) Decode(piece []byte) (Reading, error) {
	text := bytes.TrimRight(piece, o.line.End)
	switch {
	case len(piece) == MaxPiece && len(text) == len(piece):
		return Reading{}, frameError(piece, MaxPiece-1, o.noEnd())
	case len(text) == len(piece):
		return Reading{}, frameError(piece, max(len(piece)-1, 0), noLineEnd)
	}
	at := o.match.FindSubmatchIndex(text)
	if at == nil {
		return Reading{}, frameError(piece, 0, "it does not fit the pattern of your own line")
	}
	m := parts(text, at)
	r := Reading{Unit: o.unit}
	o.words(m, &r)
	if i, ok := o.part["unit"]; ok && len(bytes.TrimSpace(m[i])) > 0 {
		if r.Unit, ok = ParseUnit(m[i]); !ok {
			return Reading{}, frameError(piece, 0, "the unit is not known")
		}
	}
	if r.Status != StatusOK {
		return r, nil
	}
	d, err := scanDecimal(bytes.TrimSpace(m[o.part["value"]]))
	if err != nil {
		return Reading{}, frameError(piece, 0, "the value is "+err.Error())
	}
	if err := o.ownEdges(piece, text, at); err != nil {
		return Reading{}, err
	}
	minus, err := o.sign(piece, at)
	if err != nil {
		return Reading{}, err
	}
	d.Negative = d.Negative || minus
	r.Number, r.HasNumber = d, true
	switch {
	case r.Unit == UnitNone:
		r.Status = StatusNotReady
	case !r.Unit.IsMass():
		r.Status = StatusCount
	}
	return r, nil
}

// words looks up what stands in the parts that are words. A word for stable
// that was not described counts as moving: it is safer to wait.
func (o *Own) words(m [][]byte, r *Reading) {
	if s, ok := o.word(m, "stable"); ok {
		r.Motion = MotionMoving
		if slices.Contains(o.line.Still, s) {
			r.Motion = MotionStill
		}
	}
	if s, ok := o.word(m, "mode"); ok {
		switch {
		case slices.Contains(o.line.Net, s):
			r.Mode = ModeNet
		case slices.Contains(o.line.Tare, s):
			r.Mode = ModeTare
		case slices.Contains(o.line.Gross, s):
			r.Mode = ModeGross
		}
	}
	if s, ok := o.word(m, "status"); ok {
		switch {
		case slices.Contains(o.line.Over, s):
			r.Status = StatusOver
		case slices.Contains(o.line.Under, s):
			r.Status = StatusUnder
		case slices.Contains(o.line.Wait, s):
			r.Status = StatusNotReady
		}
	}
}

// Encode appends nothing: a pattern tells how to read a line, not how to make
// one.
func (o *Own) Encode(dst []byte, _ Reading) []byte { return dst }

// Request knows no command.
func (o *Own) Request(dst []byte, _ Request) ([]byte, bool) { return dst, false }

// ParseRequest drops whatever it is sent.
func (o *Own) ParseRequest(data []byte) (Request, int) { return RequestUnknown, len(data) }
