package find

import (
	"bytes"

	"gramcup/scale"
)

// kind is how hard it is for a line to be well formed by chance.
type kind byte

const (
	kindNumber   kind = iota // a number and nothing else
	kindTokens               // words and a number, of any width
	kindFixed                // everything in its column
	kindChecksum             // and no digit can change unseen
)

// kindOf finds out the kind of a shape by what its codec does with a line that
// was changed a little.
func kindOf(c scale.Codec, piece []byte) kind {
	switch {
	case numberOnly(c):
		return kindNumber
	case checked(c, piece):
		return kindChecksum
	case stretches(c, piece):
		return kindTokens
	}
	return kindFixed
}

// numberOnly reports that a still weight is written as a number alone.
func numberOnly(c scale.Codec) bool {
	for _, r := range probes() {
		if p := c.Encode(nil, r); len(bytes.Trim(p, "0123456789.+- $\r\n")) > 0 {
			return false
		}
	}
	return true
}

// checked reports that no digit can be another one.
func checked(c scale.Codec, piece []byte) bool {
	changed := bytes.Clone(piece)
	digits := 0
	for i, d := range piece {
		if d < '0' || d > '9' {
			continue
		}
		digits++
		changed[i] = '0' + (d-'0'+1)%10
		if _, err := c.Decode(changed); err == nil {
			return false
		}
		changed[i] = d
	}
	return digits > 2
}

// stretches reports that the line may be longer by a character.
func stretches(c scale.Codec, piece []byte) bool {
	longer := make([]byte, 0, len(piece)+1)
	for i, d := range piece {
		if d != ' ' && (d < '0' || d > '9') {
			continue
		}
		longer = append(append(append(longer[:0], piece[:i]...), d), piece[i:]...)
		if _, err := c.Decode(longer); err == nil {
			return true
		}
	}
	return false
}

// probes are readings that a scale may send at other times than now.
func probes() []scale.Reading {
	var out []scale.Reading
	for _, number := range []string{"0.0", "412.6", "-3.2", "1250.4"} {
		d, err := scale.ParseDecimal(number)
		if err != nil {
			continue
		}
		for _, motion := range []scale.Motion{scale.MotionStill, scale.MotionMoving} {
			for _, mode := range []scale.Mode{scale.ModeGross, scale.ModeNet} {
				r := scale.Reading{Number: d, HasNumber: true, Unit: scale.UnitGram, Motion: motion, Mode: mode}
				if d.Coefficient == 0 {
					r.Status = scale.StatusZero
				}
				out = append(out, r)
			}
		}
	}
	return out
}

// readsAll reports that o reads everything that c writes as c does.
func readsAll(o, c scale.Codec) bool {
	for _, r := range probes() {
		p := c.Encode(nil, r)
		want, err := c.Decode(p)
		if err != nil {
			continue
		}
		if got, err := o.Decode(p); err != nil || !sameReading(want, got, saysUnit(c) && saysUnit(o)) {
			return false
		}
	}
	return true
}

// readsAlike reports that both candidates read what was heard as the same. Their
// pieces may be cut in another way, so that it is enough that one of them reads
// the pieces of the other.
func readsAlike(a, b *score) bool {
	unit := a.says && b.says
	ab, ok1 := alike(a.lines, b.codec, unit)
	ba, ok2 := alike(b.lines, a.codec, unit)
	return ok1 && ok2 && (2*ab >= len(a.lines) || 2*ba >= len(b.lines))
}

// alike counts the lines that a codec reads as they were read; ok is false where
// it reads one as something else.
func alike(lines []line, c scale.Codec, unit bool) (same int, ok bool) {
	for _, l := range lines {
		r, err := c.Decode(l.piece)
		switch {
		case err != nil:
		case !isWeight(r) || !sameReading(l.reading, r, unit):
			return same, false
		default:
			same++
		}
	}
	return same, true
}

// misses counts the lines that a codec refuses.
func misses(c scale.Codec, lines []line) int {
	n := 0
	for _, l := range lines {
		if _, err := c.Decode(l.piece); err != nil {
			n++
		}
	}
	return n
}

// otherWeight reports candidates of which each passes over the lines that the
// other reads, as lines of the same print with another weight.
func otherWeight(a, b *score) bool {
	return passesOver(a.codec, b.lines) && passesOver(b.codec, a.lines)
}

func passesOver(c scale.Codec, lines []line) bool {
	for _, l := range lines {
		if r, err := c.Decode(l.piece); err != nil || r.Status != scale.StatusInfo {
			return false
		}
	}
	return true
}

// sameReading compares what is used of a reading: number, motion, unit.
func sameReading(a, b scale.Reading, unit bool) bool {
	return a.Number == b.Number && a.HasNumber == b.HasNumber && a.Motion == b.Motion && (!unit || a.Unit == b.Unit)
}

// saysUnit reports that the unit is on the line and not a setting: what is
// written in two units must come back in both.
func saysUnit(c scale.Codec) bool {
	d, err := scale.ParseDecimal("1.25")
	if err != nil {
		return false
	}
	for _, u := range []scale.Unit{scale.UnitGram, scale.UnitKilogram} {
		back := false
		for _, m := range []scale.Mode{scale.ModeGross, scale.ModeNet} {
			r := scale.Reading{Number: d, HasNumber: true, Unit: u, Mode: m, Motion: scale.MotionStill}
			got, err := c.Decode(c.Encode(nil, r))
			back = back || err == nil && got.Unit == u
		}
		if !back {
			return false
		}
	}
	return true
}
