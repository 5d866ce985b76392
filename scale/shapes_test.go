package scale

import (
	"strings"
)

// shape is a codec whose lines can not say everything, and what they do say.
// scaletest.Codec asks for a line that tells unit, mode and motion; these are
// held to the same rules about what their lines have.
type shape struct {
	name   string
	codec  Codec
	expect func(r *Reading)         // what is left of a reading on this line
	fits   func(number string) bool // whether the unsigned number has room
	marks  string                   // bytes that junk is made of
	tail   int                      // bytes at the end of a frame that may be lost
	check  bool                     // any flipped bit is noticed
	free   bool                     // no mark at the start: what is glued to a line is part of it
	silent bool                     // an overload is not said
}

// only leaves number, unit and status; the unit is a setting where one is given.
func only(unit Unit) func(r *Reading) {
	return func(r *Reading) {
		r.Mode, r.Motion = ModeUnknown, MotionUnknown
		if unit != UnitNone {
			r.Unit = unit
		}
	}
}

// width lets numbers through that have at most n characters.
func width(n int) func(string) bool {
	return func(number string) bool { return len(number) <= n }
}

// sixDigits lets numbers through that have at most six digits, four behind the
// point.
func sixDigits(number string) bool {
	_, behind, _ := strings.Cut(number, ".")
	return len(behind) <= statusMaxPlaces && len(strings.TrimLeft(strings.Replace(number, ".", "", 1), "0")) <= 6
}

func shapes() []shape {
	all := func(*Reading) {}
	noMode := func(r *Reading) { r.Mode = ModeUnknown }
	return []shape{
		{name: "status-bytes", codec: StatusBytes{}, expect: all, fits: sixDigits, marks: "\x02+1!\r0123456789"},
		{name: "status-bytes with checksum", codec: StatusBytes{Checksum: true}, expect: all, fits: sixDigits, marks: "\x02+1!\r0123456789", check: true},
		{name: "polled", codec: Polled{}, expect: noMode, fits: width(polledDigits), marks: "\n\r\x03g?^_-0123456789"},
		{name: "polled, reversed", codec: Polled{Reversed: true}, expect: noMode, fits: width(polledDigits), marks: "\n\r\x03g?^_-0123456789"},
		{name: "polled, three bytes", codec: Polled{Third: true}, expect: all, fits: width(polledDigits), marks: "\n\r\x03g?^_-0123456789"},
		{name: "polled, status alone", codec: Polled{Alone: true}, expect: noMode, fits: width(polledDigits), marks: "\n\r\x03g?^_-0123456789"},
		{name: "handshake", codec: Handshake{}, expect: noMode, fits: width(6), marks: "\x01\x02\x03\x04\x06SU-Fkg0123456789", check: true},
		{name: "handshake, wide", codec: Handshake{Wide: true}, expect: noMode, fits: width(7), marks: "\x01\x02\x03\x04\x06SU-Fkg0123456789", check: true},
		{name: "xor-digits", codec: XorDigits{Unit: UnitGram}, expect: only(UnitGram), fits: sixDigits, marks: "\x02\x03+-AF0123456789", check: true, silent: true},
		{name: "reversed", codec: Reversed{Unit: UnitGram}, expect: only(UnitGram), fits: width(7), marks: "=.-xyz1", silent: true},
		{name: "prefix", codec: Prefix{}, fits: width(7), marks: "wn.- kg\r\n0123456789", tail: 1, silent: true,
			expect: func(r *Reading) { r.Motion = MotionUnknown }},
		{name: "prefix, no line end", codec: Prefix{Endless: true}, fits: width(7), marks: "wn.- kg\r\n0123456789", silent: true,
			expect: func(r *Reading) { r.Motion = MotionUnknown }},
		{name: "framed, short", codec: Framed{Unit: UnitGram, Short: true}, fits: width(framedWeight), marks: "\x02\x03GNM -0123456789",
			expect: func(r *Reading) {
				r.Unit = UnitGram
				if r.Motion == MotionMoving {
					r.Mode = ModeUnknown
				}
			}},
		{name: "framed", codec: Framed{Unit: UnitGram}, fits: width(framedWeight), marks: "\x02\x03GNM -Zkg0123456789",
			expect: func(r *Reading) {
				if r.Motion == MotionMoving {
					r.Unit = UnitGram
				}
			}},
		{name: "cr-first", codec: CRFirst{}, expect: all, marks: "\r\n\x03OMeGN -.kg0123456789",
			fits: func(number string) bool {
				return len(number) <= 7 && (strings.Contains(number, ".") || len(number) <= 6)
			}},
		{name: "labelled, gross", codec: Labelled{}, fits: width(MaxPiece), marks: "GrosNeta: kg-\r\n0123456789", tail: 1, silent: true,
			expect: func(r *Reading) { r.Motion = MotionUnknown }},
		{name: "labelled, net", codec: Labelled{Label: ModeNet}, fits: width(MaxPiece), marks: "GrosNeta: kg-\r\n0123456789", tail: 1, silent: true,
			expect: func(r *Reading) { r.Motion = MotionUnknown }},
		{name: "bare", codec: Bare{Unit: UnitGram}, expect: only(UnitGram), fits: width(MaxPiece), marks: "$.- \r\n0123456789", tail: 1, free: true, silent: true},
		{name: "bare, one width", codec: Bare{Unit: UnitGram, Width: 10}, expect: only(UnitGram), fits: width(10), marks: "$.- \r\n0123456789", tail: 1, free: true, silent: true},
		{name: "bare, dollar", codec: Bare{Unit: UnitGram, Dollar: true}, expect: only(UnitGram), fits: width(bareDollar), marks: "$.- \r\n0123456789", free: true, silent: true},
	}
}

// sends reports whether a live weight has room on the line.
func (s shape) sends(r Reading) bool {
	text := r.Number
	text.Negative = false
	n := text.String()
	if !s.fits(n) {
		return false
	}
	// A minus that takes the place of a digit.
	switch c := s.codec.(type) {
	case Bare:
		if c.Dollar && r.Number.Negative {
			return len(n) < bareDollar
		}
		return c.Width == 0 || len(r.Number.String()) <= c.Width
	case Prefix:
		return len(n) <= 7 || !r.Number.Negative && len(n) <= 8
	case Labelled:
		// Of a net weight the gross print says only that it is not asked for.
		return r.Mode == c.wanted()
	}
	return true
}

// same compares what came with what went, but for zeros in front of a number.
func (s shape) want(r Reading) Reading {
	s.expect(&r)
	r.Number.Lead = 0
	return r
}

func unled(r Reading) Reading {
	r.Number.Lead = 0
	return r
}
