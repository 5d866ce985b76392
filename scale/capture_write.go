package scale

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// CaptureWriter writes a capture as it happens, a line for each chunk, so that
// a file whose end was lost is still a capture. It keeps nothing back.
type CaptureWriter struct {
	w    io.Writer
	last time.Duration
	line []byte
}

// NewCaptureWriter writes the header, one line for each string, for example
// "shape: sma". Line ends inside become blanks.
func NewCaptureWriter(w io.Writer, header ...string) (*CaptureWriter, error) {
	c := &CaptureWriter{w: w}
	for _, line := range header {
		line = strings.Join(strings.FieldsFunc(line, func(r rune) bool { return r == '\r' || r == '\n' }), " ")
		c.line = append(append(append(c.line, "# "...), line...), '\n')
	}
	if len(c.line) == 0 {
		return c, nil
	}
	if _, err := w.Write(c.line); err != nil {
		return nil, fmt.Errorf("write the header of the capture: %w", err)
	}
	return c, nil
}

// Chunk writes what came at the time at, counted from the beginning of the
// capture. Times that run backwards count as none passing, and a gap of more
// than a day as a day. A long chunk becomes several lines with no time between
// them.
func (c *CaptureWriter) Chunk(at time.Duration, data []byte) error {
	at = max(c.last, min(at.Truncate(time.Microsecond), c.last+MaxCaptureGap, MaxCaptureTime))
	c.line = c.line[:0]
	for len(data) > 0 {
		n := min(len(data), MaxCaptureChunk)
		c.line = appendChunk(c.line, at-c.last, data[:n])
		c.last, data = at, data[n:]
	}
	if len(c.line) == 0 {
		return nil
	}
	if _, err := c.w.Write(c.line); err != nil {
		return fmt.Errorf("write a chunk of the capture: %w", err)
	}
	return nil
}

// Write writes a whole capture to w.
func (c Capture) Write(w io.Writer) error {
	out, err := NewCaptureWriter(w, c.Header...)
	for _, chunk := range c.Chunks {
		if err == nil {
			err = out.Chunk(chunk.At, chunk.Data)
		}
	}
	return err
}

func appendChunk(dst []byte, gap time.Duration, data []byte) []byte {
	us := gap.Microseconds()
	dst = fmt.Appendf(dst, "+%d.%03d ", us/1000, us%1000)
	last := len(data) - 1
	if data[0] == ' ' {
		dst, data, last = append(dst, `\x20`...), data[1:], last-1
	}
	if last >= 0 && data[last] == ' ' {
		return append(AppendEscaped(dst, data[:last]), `\x20`+"\n"...)
	}
	return append(AppendEscaped(dst, data), '\n')
}
