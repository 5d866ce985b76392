package port

import (
	"bufio"
	"encoding/hex"
	"fmt"
	"io"
	"time"
)

// recordingHead begins every recording; the number counts its versions.
const recordingHead = "chunks 1"

// recording writes chunks as lines of text: nanoseconds since the first one,
// a blank, the bytes in hexadecimal.
type recording struct {
	w     io.Writer
	first time.Time
}

func newRecording(w io.Writer) *recording { return &recording{w: w} }

func (r *recording) chunk(at time.Time, data []byte) error {
	if r.first.IsZero() {
		if _, err := fmt.Fprintln(r.w, recordingHead); err != nil {
			return err
		}
		r.first = at
	}
	_, err := fmt.Fprintf(r.w, "%d %x\n", at.Sub(r.first), data)
	return err
}

// readRecording reads what recording wrote.
func readRecording(r io.Reader) ([]chunk, error) {
	var list []chunk
	lines := bufio.NewScanner(r)
	for n := 1; lines.Scan(); n++ {
		if n == 1 {
			if lines.Text() != recordingHead {
				return nil, fmt.Errorf("line 1 is not %q", recordingHead)
			}
			continue
		}
		var c chunk
		var data string
		if _, err := fmt.Sscanf(lines.Text(), "%d %s", &c.at, &data); err != nil {
			return nil, fmt.Errorf("line %d is not a time and bytes: %w", n, err)
		}
		var err error
		if c.data, err = hex.DecodeString(data); err != nil {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
		list = append(list, c)
	}
	return list, lines.Err()
}
