package main

import (
	"bufio"
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"gramcup/scale"
)

// decodeCmd reads what a scale sent from a file.
type decodeCmd struct {
	Line string `placeholder:"sma" help:"The shape of the lines, from the list above. A capture says it by itself."`
	File string `arg:"" help:"The file with the bytes as they came, or - for standard input."`
}

// Help teaches by an example.
func (c *decodeCmd) Help() string {
	return `Prints one JSON object for each frame, on a line of its own:

  value   the number as it was sent, or null
  unit    g, kg, lb and so on, or null
  grams   the exact number of grams, or null where it must not be used as a mass
  mode    gross, net, tare (a stored tare, not the live weight), or null
  stable  true, false, or null where the line does not say
  status  ok, zero, over, under, zero-error, tare-error and so on

What is no whole frame becomes an object with a "fault", which is the reason, and never
a number. Its "bytes" show CR, LF and what can not be printed as \r, \n and \xNN, and
"at" is where they begin in the file, counted from 0. The file is read from its first
byte: nothing is dropped for being first. A file whose name ends in .cap is a capture
made with "gramcup serve --record".

  printf '\n 1G       412.6g  \r' | gramcup decode --line sma -

` + shapeNames()
}

// shapeNames tells people the shapes that --line takes, usual ones first.
func shapeNames() string {
	var names []string
	for _, c := range append(scale.Codecs(), scale.Variants()...) {
		names = append(names, c.Name())
	}
	return "The shapes are " + strings.Join(names, ", ") + ";\n" + scale.UnitInName() + "."
}

// Validate refuses a shape that is not known before anything is read.
func (c *decodeCmd) Validate() error {
	if c.Line == "" {
		return nil
	}
	_, err := scale.CodecByName(c.Line)
	return err
}

// Run decodes the file.
func (c *decodeCmd) Run(in io.Reader, out io.Writer) error {
	shape := c.Line
	if c.File != "-" {
		file, err := os.Open(c.File)
		if err != nil {
			return fmt.Errorf("what the scale sent can not be read: %w", err)
		}
		defer func() { _ = file.Close() }()
		in = file
		if strings.HasSuffix(c.File, ".cap") {
			capture, err := scale.ReadCapture(file)
			if err != nil {
				return fmt.Errorf("%s: %w", c.File, err)
			}
			in, shape = bytes.NewReader(capture.Bytes()), cmp.Or(shape, shapeOf(capture))
			if shape == "" && capture.Field("shape") == "own" {
				return fmt.Errorf("the lines are of a shape that somebody described: gramcup scale try CONFIG replay:%s reads them with that config file", c.File)
			}
		}
	}
	if shape == "" {
		return errors.New("which shape do the lines have? add --line sma or --line csv")
	}
	codec, err := scale.CodecByName(shape)
	if err != nil {
		return fmt.Errorf("--line: %w", err)
	}
	return decodeStream(codec, in, out)
}

// shapeOf is the built-in shape that a capture names, "" where it names none: it
// was recorded without one, or with one that a config file describes.
func shapeOf(capture scale.Capture) string {
	switch shape := capture.Field("shape"); shape {
	case "unknown", "own":
		return ""
	default:
		return shape
	}
}

// decodeStream reads to the end of in and prints an object for each piece, as
// soon as it is whole.
func decodeStream(codec scale.Codec, in io.Reader, out io.Writer) error {
	w := bufio.NewWriter(out)
	f := scale.NewFramer(codec)
	chunk := make([]byte, 4096)
	for {
		n, err := in.Read(chunk)
		f.Feed(chunk[:n])
		if err != nil {
			f.Flush()
		}
		for r, bad, ok := f.Next(); ok; r, bad, ok = f.Next() {
			printFrame(w, f.At(), r, bad)
		}
		if err := w.Flush(); err != nil {
			return fmt.Errorf("print the readings: %w", err)
		}
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return fmt.Errorf("read what the scale sent: %w", err)
		}
	}
}

// printFrame writes one object. Its keys stand in a fixed order, so that a
// person can read down a column.
func printFrame(w *bufio.Writer, at int64, r scale.Reading, bad error) {
	var fault *scale.FrameError
	if errors.As(bad, &fault) {
		fmt.Fprintf(w, `{"fault":%s,"bytes":%s,"at":%d}`+"\n", quote(fault.Reason), quote(string(scale.AppendEscaped(nil, fault.Piece))), at)
		return
	}
	value, grams := "null", "null"
	if r.HasNumber {
		value = quote(r.Number.String())
		if g, err := r.Number.AppendGrams(nil, r.Unit); err == nil && r.Status <= scale.StatusZero {
			grams = quote(string(g))
		}
	}
	high := ""
	if r.HighResolution {
		high = `,"high_resolution":true`
	}
	fmt.Fprintf(w, `{"value":%s,"unit":%s,"grams":%s,"mode":%s,"stable":%s,"status":%s%s}`+"\n",
		value, orNull(r.Unit.String()), grams, orNull(r.Mode.String()), stable(r.Motion), quote(r.Status.String()), high)
}

func stable(m scale.Motion) string {
	return [...]string{"null", "true", "false"}[m%3]
}

func orNull(s string) string {
	if s == "" {
		return "null"
	}
	return quote(s)
}

// quote makes a JSON string of text that is ASCII already.
func quote(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}
