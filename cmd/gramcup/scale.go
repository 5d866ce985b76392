package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"gramcup/scale"
	"gramcup/scale/port"
)

// scaleCmd gathers what is done to a scale without a batch.
type scaleCmd struct {
	Find   scaleFindCmd   `cmd:"" help:"Find out what is plugged in, how its line is set and which shape its lines have."`
	List   scaleListCmd   `cmd:"" help:"List the serial ports and USB scales that are plugged in, without opening any."`
	Listen scaleListenCmd `cmd:"" help:"Show what a scale sends, the raw bytes beside what they mean, as it comes."`
	Record scaleRecordCmd `cmd:"" help:"Write what a scale sends into a capture file, byte by byte with its times."`
	Try    scaleTryCmd    `cmd:"" help:"Try the description of a line of your own on what a scale sends."`
	Replay scaleReplayCmd `cmd:"" help:"Play a capture file as it came, with what the bytes mean."`
	Check  scaleCheckCmd  `cmd:"" help:"Check the scale with a test weight, led step by step."`
	Checks scaleChecksCmd `cmd:"" help:"List past checks of the scale."`
}

// scaleListCmd lists ports.
type scaleListCmd struct{}

// Run prints one port a line.
func (c *scaleListCmd) Run(out io.Writer) error {
	devices := port.Present()
	if len(devices) == 0 {
		_, err := fmt.Fprintln(out, "no serial port and no USB scale is plugged in now")
		return err
	}
	w := table(out)
	for _, d := range devices {
		stable := d.Stable
		if stable == "" {
			stable = "no name that survives replugging"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t\n", d.Node, stable, d.Product)
	}
	return w.Flush()
}

// wireFlags name a scale and the shape of its lines.
type wireFlags struct {
	Scale string `arg:"" placeholder:"/dev/ttyUSB0" help:"The scale, as for serve: /dev/ttyUSB0, serial:/dev/ttyUSB0?baud=9600&format=8n1, tcp://host:port."`
	Line  string `placeholder:"sma" help:"The shape of its lines; without it every known shape is tried on each piece."`
	For   string `placeholder:"30s" help:"Stop after this time; without it, at Ctrl-C."`
}

// shapes are the codecs to read with.
func (f wireFlags) shapes() ([]scale.Codec, error) {
	line, err := lineOf(f.Scale, f.Line)
	if err != nil {
		return nil, fmt.Errorf("--line: %w", err)
	}
	if line == "" {
		return append(scale.Codecs(), scale.Variants()...), nil
	}
	c, err := scale.CodecByName(line)
	if err != nil {
		return nil, fmt.Errorf("--line: %w", err)
	}
	return []scale.Codec{c}, nil
}

// limit ends ctx after --for.
func (f wireFlags) limit(ctx context.Context) (context.Context, context.CancelFunc, error) {
	if f.For == "" {
		limited, cancel := context.WithCancel(ctx)
		return limited, cancel, nil
	}
	d, err := time.ParseDuration(f.For)
	if err != nil || d <= 0 {
		return nil, nil, fmt.Errorf("--for %q is no time: write 30s or 5m", f.For)
	}
	limited, cancel := context.WithTimeout(ctx, d)
	return limited, cancel, nil
}

// scaleListenCmd shows what comes.
type scaleListenCmd struct{ wireFlags }

// Help teaches by an example.
func (c *scaleListenCmd) Help() string {
	return `Only listens: nothing is sent, so a scale that answers but does not send stays silent.

  gramcup scale listen "serial:/dev/ttyUSB0?baud=9600&format=7e1"

Each line shows the time since the last piece, the bytes (\r, \n and \xNN for what can
not be printed), and what every shape that can read it makes of it.`
}

// Run listens until ctx ends.
func (c *scaleListenCmd) Run(ctx context.Context, out io.Writer) error {
	shapes, err := c.shapes()
	if err != nil {
		return err
	}
	open, identity, err := port.Open(c.Scale)
	if err != nil {
		return err
	}
	ctx, cancel, err := c.limit(ctx)
	if err != nil {
		return err
	}
	defer cancel()
	fmt.Fprintf(out, "listening on %s, Ctrl-C ends it\n", identity)
	view := newRawView(out, shapes)
	return eachChunk(ctx, open, func(at time.Duration, data []byte) error { return view.chunk(at, data) })
}

// eachChunk reads a wire and hands on what comes, with its time, until ctx
// ends or the wire does.
func eachChunk(ctx context.Context, open port.Opener, take func(at time.Duration, data []byte) error) error {
	wire, err := open(ctx)
	if err != nil {
		return err
	}
	stop := context.AfterFunc(ctx, func() { _ = wire.Close() })
	defer stop()
	defer func() { _ = wire.Close() }()
	began := time.Now()
	buf := make([]byte, 2048)
	for {
		n, err := wire.Read(buf)
		if n > 0 {
			if err := take(time.Since(began), buf[:n]); err != nil {
				return err
			}
		}
		switch {
		case ctx.Err() != nil || errors.Is(err, port.ErrOver):
			return nil // it was time
		case errors.Is(err, io.EOF):
			return errors.New("the scale hung up: is it still plugged in?")
		case err != nil:
			return fmt.Errorf("the scale can not be read any more: %w", err)
		}
	}
}

// rawView prints chunks beside what each shape makes of them.
type rawView struct {
	out     io.Writer
	shapes  []scale.Codec
	usual   int // the first of shapes; the others are shown where none of these reads anything
	framers []*scale.Framer
	last    time.Duration
	bytes   int // ever
	pieces  int // that any shape made of them
}

func newRawView(out io.Writer, shapes []scale.Codec) *rawView {
	v := &rawView{out: out, shapes: shapes, usual: min(len(shapes), len(scale.Codecs()))}
	for _, c := range shapes {
		v.framers = append(v.framers, scale.NewFramer(c))
	}
	return v
}

func (v *rawView) chunk(at time.Duration, data []byte) error {
	var read, other []string
	v.bytes += len(data)
	for i, f := range v.framers {
		f.Feed(data)
		for r, err, ok := f.Next(); ok; r, err, ok = f.Next() {
			v.pieces++
			switch text := v.meaning(i, r, err); {
			case text == "":
			case i < v.usual:
				read = append(read, text)
			default:
				other = append(other, text)
			}
		}
	}
	if len(read) == 0 {
		read = other
	}
	_, err := fmt.Fprintf(v.out, "%+8.0f ms  %-36s %s\n", (at-v.last).Seconds()*1000, scale.AppendEscaped(nil, data), strings.Join(read, "; "))
	v.last = at
	return err
}

// meaning is what one shape says; a refusal is told only where there is no
// other shape that could be meant.
func (v *rawView) meaning(i int, r scale.Reading, err error) string {
	var fault *scale.FrameError
	if errors.As(err, &fault) {
		if len(v.shapes) > 1 {
			return ""
		}
		return "refused: " + fault.Reason
	}
	s := v.shapes[i].Name() + ": "
	if r.HasNumber {
		s += r.Number.String() + " " + r.Unit.String() + " "
	}
	s += r.Mode.String() + " " + [...]string{"", "still", "moving"}[r.Motion%3]
	if r.Status != scale.StatusOK {
		s += " " + r.Status.String()
	}
	return strings.Join(strings.Fields(s), " ")
}

// scaleTryCmd tries a described line.
type scaleTryCmd struct {
	Config string `arg:"" placeholder:"FILE" help:"The config file with the table [own_line]."`
	Scale  string `arg:"" placeholder:"/dev/ttyUSB0" help:"The scale, as for serve, or replay:FILE.cap."`
	For    string `placeholder:"30s" help:"Stop after this time; without it, at Ctrl-C."`
}

// Help teaches by an example.
func (c *scaleTryCmd) Help() string {
	return `A scale whose lines no built-in shape reads can be described in the config file:

  [own_line]
  pattern = '(?P<stable>[*?]) (?P<sign>[+-]) *(?P<value>[0-9.]+) (?P<unit>[a-z]+)'
  still = ["*"]
  moving = ["?"]

The pattern is a regular expression for a whole line without its end; its parts are
value, sign, unit, stable, mode and status, and the other keys (` + ownKeys + `)
say what their words mean. A line whose number goes on outside the part value, or has its
sign there, is refused: such a pattern would show another weight. Each piece is shown with what it was read as, or why it was
refused. When it fits, serve reads it with line = "own".`
}

// Run listens with the described line.
func (c *scaleTryCmd) Run(ctx context.Context, out io.Writer) error {
	file, err := readConfig(c.Config)
	if err != nil {
		return err
	}
	codec, err := file.codec("own")
	if err != nil {
		return err
	}
	open, _, err := port.Open(c.Scale)
	if err != nil {
		return err
	}
	ctx, cancel, err := wireFlags{For: c.For}.limit(ctx)
	if err != nil {
		return err
	}
	defer cancel()
	own, _ := codec.(*scale.Own)
	fmt.Fprintf(out, "a line ends at %s\n", own.Ends())
	view := newRawView(out, []scale.Codec{codec})
	err = eachChunk(ctx, open, func(at time.Duration, data []byte) error { return view.chunk(at, data) })
	if view.bytes > 0 && view.pieces == 0 {
		fmt.Fprintf(out, "%d bytes came and no line ended: look at what they end with, and set end to that\n", view.bytes)
	}
	return err
}

// scaleRecordCmd writes a capture.
type scaleRecordCmd struct {
	wireFlags
	File string `arg:"" placeholder:"FILE.cap" help:"The file to write. It must not exist: a capture never overwrites anything."`
	What string `placeholder:"TEXT" help:"What is done to the scale meanwhile, for whoever reads the capture later."`
}

// Help teaches by an example.
func (c *scaleRecordCmd) Help() string {
	return `  gramcup scale record /dev/ttyUSB0 slow-pour.cap --line sma --what "a slow pour of 200 g" --for 1m

Only listens. The file is text; "gramcup scale replay" plays it and
"gramcup decode" reads it.`
}

// Run records until ctx ends.
func (c *scaleRecordCmd) Run(ctx context.Context, out io.Writer) error {
	if c.Line != "" {
		if _, err := c.shapes(); err != nil {
			return err
		}
	}
	open, identity, err := port.Open(c.Scale)
	if err != nil {
		return err
	}
	ctx, cancel, err := c.limit(ctx)
	if err != nil {
		return err
	}
	defer cancel()
	file, err := os.OpenFile(c.File, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return fmt.Errorf("%w; a capture never overwrites a file", err)
	}
	w, err := scale.NewCaptureWriter(file, "shape: "+orUnknown(c.Line), "wire: "+identity, "what: "+orUnknown(c.What), "made: from a device, by gramcup scale record")
	if err != nil {
		return errors.Join(err, file.Close())
	}
	bytes := 0
	err = eachChunk(ctx, open, func(at time.Duration, data []byte) error {
		bytes += len(data)
		return w.Chunk(at, data)
	})
	if closing := file.Close(); err == nil {
		err = closing
	}
	if err != nil && bytes == 0 {
		return errors.Join(err, os.Remove(c.File)) // it would be in the way of the next try
	}
	fmt.Fprintf(out, "%d bytes in %s\n", bytes, c.File)
	return err
}

func orUnknown(s string) string {
	if s == "" {
		return "unknown"
	}
	return s
}

// scaleReplayCmd plays a capture.
type scaleReplayCmd struct {
	File  string  `arg:"" help:"The capture file."`
	Line  string  `placeholder:"sma" help:"The shape of its lines; without it the one that the file names, or every known shape."`
	Speed float64 `default:"1" help:"How many times faster than it came; 0 is at once."`
}

// Run plays it to its end.
func (c *scaleReplayCmd) Run(ctx context.Context, out io.Writer) error {
	if c.Speed < 0 {
		return fmt.Errorf("--speed %v: give 1 for as it came, 10 for ten times faster, 0 for at once", c.Speed)
	}
	file, err := os.Open(c.File)
	if err != nil {
		return fmt.Errorf("the capture can not be read: %w", err)
	}
	capture, err := scale.ReadCapture(file)
	_ = file.Close()
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	if len(capture.Chunks) == 0 {
		return fmt.Errorf("%s holds nothing that came from a scale, so there is nothing to play", c.File)
	}
	shapes, err := wireFlags{Line: cmp.Or(c.Line, shapeOf(capture))}.shapes()
	if err != nil {
		return err
	}
	for _, line := range capture.Header {
		fmt.Fprintln(out, "#", line)
	}
	view := newRawView(out, shapes)
	last := time.Duration(0)
	for _, chunk := range capture.Chunks {
		if c.Speed > 0 {
			pause(ctx, time.Duration(float64(chunk.At-last)/c.Speed))
		}
		last = chunk.At
		if ctx.Err() != nil {
			return nil
		}
		if err := view.chunk(chunk.At, chunk.Data); err != nil {
			return err
		}
	}
	return nil
}
