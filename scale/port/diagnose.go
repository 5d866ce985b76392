package port

import (
	"bytes"
	"errors"
	"fmt"
	"math/bits"

	"gramcup/scale"
)

const (
	// rubbishRow refused pieces without a good line between them are no
	// accident any more (advice of those who answer for serial lines).
	rubbishRow = 20
	// sampleBytes are looked at for the cause: some twenty lines.
	sampleBytes = 1024
	// goodLines of another shape make it the cause; chance makes no three.
	goodLines = 3
)

// diagnose finds the cause while the wire is still open, once: whoever installs
// a scale reads it while he tries settings.
func (s *session) diagnose() {
	if s.diagnosed {
		return
	}
	s.diagnosed = true
	if !s.found.Load() {
		s.p.report(fmt.Errorf("%w: %s", errSilent, s.cause()))
	}
}

// cause is a sentence about the last bytes that came since the last good line.
func (s *session) cause() string {
	return likelyCause(s.p.recent.tail(s.rowFrom.Load(), sampleBytes), s.p.cfg.Codec)
}

// likelyCause says why bytes that came give no good line, the most telling sign
// first.
func likelyCause(sample []byte, codec scale.Codec) string {
	var binary *scale.FrameError
	switch errors.As(scale.BinaryFrames(sample), &binary); {
	case binary != nil:
		return "the lines are " + binary.Reason
	case share(sample, func(c byte) bool { return c == 0 }) > 0.05 && otherShape(sample, codec) == "":
		return "NUL bytes come in place of characters: parity is checked here and the scale sends another or none, or the speed is wrong"
	}
	if format := sevenBits(sample); format != "" {
		plain := make([]byte, len(sample))
		for i, c := range sample {
			plain[i] = c & 0x7F
		}
		says := "the eighth bit of the bytes is a parity bit: the scale sends " + format + ", so set the line to that"
		if goodIn(plain, codec) >= goodLines {
			return says
		}
		if other := otherShape(plain, codec); other != "" {
			return says + "; and the lines look like " + other + ", not " + codec.Name()
		}
		if share(plain, isPlain) > 0.95 {
			return says
		}
	}
	if other := otherShape(sample, codec); other != "" {
		return "the lines look like " + other + ", not " + codec.Name() + ": set the line shape to " + other
	}
	if share(sample, isPlain) < 0.85 {
		return "the bytes are no text: the speed is probably wrong, or the number of data bits"
	}
	return "text comes, but no known shape of line reads it: look at the raw lines on the Scale page; speed and format seem right"
}

// isPlain: text, line ends, and the marks in which lines are framed.
func isPlain(c byte) bool {
	return c >= ' ' && c < 0x7F || c == '\r' || c == '\n' || c >= 1 && c <= 6
}

func share(sample []byte, is func(byte) bool) float64 {
	n := 0
	for _, c := range sample {
		if is(c) {
			n++
		}
	}
	return float64(n) / float64(max(len(sample), 1))
}

// sevenBits finds the format of a line with seven data bits that is read with
// eight: all bytes have an even, or an odd, number of ones. A stop bit in the
// place of the eighth is always one. It is "" where the eighth bits follow no
// rule, or are all 0. A damaged byte in twenty is forgiven.
func sevenBits(sample []byte) string {
	const most = 0.95
	high := share(sample, func(c byte) bool { return c >= 0x80 })
	even := share(sample, func(c byte) bool { return bits.OnesCount8(c)%2 == 0 })
	switch {
	case len(sample) < rubbishRow || high < 0.05:
		return ""
	case high > most:
		return "7N2"
	case even > most:
		return "7E1"
	case even < 1-most:
		return "7O1"
	}
	return ""
}

// otherShape names the shape that reads most of a sample, "" if none does. A
// bare number is in many things, so it is only looked for at last.
func otherShape(sample []byte, codec scale.Codec) string {
	name, most := "", goodLines-1
	var lastly []scale.Codec
	for _, c := range append(scale.Codecs(), scale.Variants()...) {
		if c.Name() == codec.Name() {
			continue
		}
		if _, bare := c.(scale.Bare); bare {
			lastly = append(lastly, c)
			continue
		}
		if n := goodIn(sample, c); n > most {
			name, most = c.Name(), n
		}
	}
	for _, c := range lastly {
		if n := goodIn(sample, c); name == "" && n > most {
			name = c.Name()
		}
	}
	return name
}

// goodIn counts the weights that a codec reads in a sample; 0 where it refuses
// more than it reads, for then it reads them by chance.
func goodIn(sample []byte, codec scale.Codec) int {
	f := scale.NewFramer(codec)
	f.Feed(sample)
	good, bad := 0, 0
	for {
		r, err, ok := f.Next()
		switch {
		case !ok && bad > good:
			return 0
		case !ok:
			return good
		case err != nil:
			if len(bytes.Trim(f.Piece(), "\r\n")) > 0 {
				bad++
			}
		case r.HasNumber:
			good++
		}
	}
}
