package scale

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
)

// A capture file holds what came from a scale, byte by byte and with its times,
// as text that can be read, mailed and cut with an editor:
//
//	# shape: sma
//	# what: the cup is lifted
//	# made: by script
//	+0.000 \n 1G       412.6g
//	+31.250 \x20\x20\r
//
// Lines with "#" in front tell about it. Every other line is a chunk: the
// milliseconds since the chunk before (down to microseconds), one blank, and
// the bytes. \r, \n and \\ stand for CR, LF and the backslash, \xNN for
// everything else that is not printable ASCII, and for a blank at either end,
// which an editor might cut off.

// Limits of a capture file.
const (
	MaxCaptureLine  = 8192           // bytes in a line of the file
	MaxCaptureChunk = 1024           // bytes of data that are written into one line
	MaxCaptureGap   = 24 * time.Hour // between two chunks
	MaxCaptureTime  = 10000 * time.Hour
)

// Chunk is what came at once.
type Chunk struct {
	At   time.Duration // since the capture began, in whole microseconds
	Data []byte        // never empty
}

// CaptureError says which line of a capture file can not be read, and why.
type CaptureError struct {
	Line   int // 1-based
	Reason string
	last   bool // nothing came behind it
}

// Error is the reason with its line.
func (e *CaptureError) Error() string {
	return fmt.Sprintf("line %d of the capture: %s", e.Line, e.Reason)
}

// Capture is a whole capture in memory.
type Capture struct {
	Header []string // the lines with "#" in front of the first chunk, without the "# "
	Chunks []Chunk
}

// Field finds a "name: value" line of the header; "" if there is none.
func (c Capture) Field(name string) string {
	for _, line := range c.Header {
		if value, ok := strings.CutPrefix(line, name+":"); ok {
			return strings.TrimSpace(value)
		}
	}
	return ""
}

// Bytes is the data of all chunks in a row.
func (c Capture) Bytes() []byte {
	var all []byte
	for _, chunk := range c.Chunks {
		all = append(all, chunk.Data...)
	}
	return all
}

// lastByte remembers the last byte that came through it.
type lastByte struct {
	io.Reader
	b byte
}

func (l *lastByte) Read(p []byte) (int, error) {
	n, err := l.Reader.Read(p)
	if n > 0 {
		l.b = p[n-1]
	}
	return n, err
}

// ReadCapture reads a capture to its end. Remarks between chunks are passed
// over, and so is a last line that was torn off before its end. Any other line
// that does not fit is a *CaptureError.
func ReadCapture(r io.Reader) (Capture, error) {
	tail := &lastByte{Reader: r}
	c, err := readCapture(tail)
	var bad *CaptureError
	if errors.As(err, &bad) && bad.last && tail.b != '\n' {
		return c, nil
	}
	if err != nil {
		return Capture{}, err
	}
	return c, nil
}

// readCapture gives what stands before a bad line along with the error.
func readCapture(r io.Reader) (Capture, error) {
	var c Capture
	var at time.Duration
	lines := bufio.NewScanner(r)
	lines.Buffer(make([]byte, 0, 1024), MaxCaptureLine)
	n := 0
	for lines.Scan() {
		n++
		line := lines.Text()
		switch {
		case line == "":
		case line[0] == '#':
			if len(c.Chunks) == 0 {
				c.Header = append(c.Header, strings.TrimSpace(line[1:]))
			}
		case line[0] == '+':
			gap, data, reason := parseChunk(line[1:])
			if at += gap; reason == "" && at > MaxCaptureTime {
				reason = "more than 10000 hours since the beginning"
			}
			if reason != "" {
				return c, &CaptureError{Line: n, Reason: reason, last: !lines.Scan()}
			}
			c.Chunks = append(c.Chunks, Chunk{At: at, Data: data})
		default:
			return Capture{}, &CaptureError{Line: n, Reason: "it begins neither with # nor with +"}
		}
	}
	if errors.Is(lines.Err(), bufio.ErrTooLong) {
		return Capture{}, &CaptureError{Line: n + 1, Reason: fmt.Sprintf("longer than %d bytes", MaxCaptureLine)}
	}
	if err := lines.Err(); err != nil {
		return Capture{}, fmt.Errorf("read the capture behind its line %d: %w", n, err)
	}
	return c, nil
}

func parseChunk(s string) (gap time.Duration, data []byte, reason string) {
	number, text, ok := strings.Cut(s, " ")
	d, err := scanDecimal([]byte(number))
	if !ok || err != nil || number[0] == '+' || number[0] == '-' || d.Places > 3 {
		return 0, nil, "a chunk is + and milliseconds with at most 3 decimals, a blank, and bytes"
	}
	us := d.Coefficient
	for n := d.Places; n < 3 && us <= uint64(MaxCaptureGap); n++ {
		us *= 10
	}
	if us > uint64(MaxCaptureGap/time.Microsecond) {
		return 0, nil, "more than a day since the chunk before"
	}
	data, reason = unescape(text)
	if reason == "" && len(data) == 0 {
		reason = "a chunk without bytes"
	}
	return time.Duration(us) * time.Microsecond, data, reason
}

// unescape reads the text of a chunk.
func unescape(text string) (data []byte, reason string) {
	data = make([]byte, 0, len(text))
	for i := 0; i < len(text); i++ {
		c := text[i]
		if c < 0x20 || c >= 0x7F {
			return nil, fmt.Sprintf("byte %#02x stands there as it is and not as \\x%02x", c, c)
		}
		if c != '\\' {
			data = append(data, c)
			continue
		}
		i++
		switch {
		case i < len(text) && text[i] == 'r':
			data = append(data, '\r')
		case i < len(text) && text[i] == 'n':
			data = append(data, '\n')
		case i < len(text) && text[i] == '\\':
			data = append(data, '\\')
		case i+2 < len(text) && text[i] == 'x':
			v, err := strconv.ParseUint(text[i+1:i+3], 16, 8)
			if err != nil {
				return nil, `\x is followed by two hexadecimal digits`
			}
			data = append(data, byte(v))
			i += 2
		default:
			return nil, `a backslash is followed by r, n, a backslash or xNN`
		}
	}
	return data, ""
}
