package simulator

import "gramcup/scale"

// printed reports lines that are prints of which the host wants the gross weight
// or the net one, and takes the other for no weight.
func printed(c scale.Codec) bool {
	carries := func(m scale.Mode) bool {
		r := scale.Reading{Unit: scale.UnitGram, Mode: m, HasNumber: true, Motion: scale.MotionStill}
		heard, err := c.Decode(c.Encode(nil, r))
		return err == nil && heard.HasNumber
	}
	return c != nil && carries(scale.ModeGross) != carries(scale.ModeNet)
}

// unitOf is the unit that a host takes the numbers of a line for: grams, but for
// lines that do not say it and are set to another.
func unitOf(c scale.Codec) scale.Unit {
	if c == nil {
		return scale.UnitGram
	}
	for _, m := range []scale.Mode{scale.ModeGross, scale.ModeNet} {
		r := scale.Reading{Unit: scale.UnitGram, Mode: m, HasNumber: true, Motion: scale.MotionStill}
		if heard, err := c.Decode(c.Encode(nil, r)); err == nil && heard.HasNumber && heard.Unit.IsMass() {
			return heard.Unit
		}
	}
	return scale.UnitGram
}

// print is a print of gross and net, whichever of them the display shows.
func (l *line) print(b *Bench, unit scale.Unit) []byte {
	net := b.cell.reading(unit)
	net.Mode = scale.ModeNet
	return l.codec.Encode(l.codec.Encode(nil, b.cell.gross(unit)), net)
}

// gross is the reading without the tare, which a display shows only until it is
// tared and a print has always.
func (c *cell) gross(unit scale.Unit) scale.Reading {
	untared := *c
	untared.clearTare()
	return untared.reading(unit)
}
