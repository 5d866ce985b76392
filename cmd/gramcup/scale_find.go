package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/alecthomas/kong"

	"gramcup/scale"
	"gramcup/scale/find"
	"gramcup/scale/port"
)

// scaleFindCmd finds out what is plugged in, how its line is set and which
// shape its lines have.
type scaleFindCmd struct {
	Port  []string `arg:"" optional:"" placeholder:"/dev/ttyUSB0" help:"The ports to try: /dev/ttyUSB0, tcp://host:port or hid:/dev/hidraw0. Without any, every adaptor and scale on USB is tried."`
	Quiet bool     `help:"Only listen: send nothing, not even a question for the weight."`
	For   string   `default:"20s" placeholder:"20s" help:"How long to listen and ask at each port, at most."`
	Save  saveFlag `placeholder:"FILE" help:"Write what was found into the config file: the user's own with --save, another with --save=FILE."`
	JSON  bool     `name:"json" help:"Print an array of JSON objects, one for each port."`
}

// Help teaches by an example.
func (c *scaleFindCmd) Help() string {
	return `Plug the scale in, switch it on, and leave something on its pan.

  gramcup scale find
  gramcup scale find /dev/ttyS0 --for 60s
  gramcup scale find --save

It listens at the usual speeds and framings. A scale that stays silent is asked for its
weight in the ways that are known; that changes no setting, no zero and no tare, and
with --quiet nothing is sent at all. A port of the computer itself may belong to
something else, so it is opened only when it is named. Every port is left set as it was.

The status is 0 when a scale was found, sure or likely, and 1 otherwise.`
}

// saveFlag is --save, with or without =FILE.
type saveFlag struct {
	asked bool
	file  string // "" for the user's own
}

// IsBool lets the flag stand alone.
func (saveFlag) IsBool() bool { return true }

// Decode reads =FILE, if it is there.
func (f *saveFlag) Decode(ctx *kong.DecodeContext) error {
	f.asked = true
	if ctx.Scan.Peek().Type == kong.FlagValueToken {
		f.file = kong.ExpandPath(fmt.Sprint(ctx.Scan.Pop().Value))
	}
	return nil
}

// errNoneFound is the end of a search that found nothing to rely on.
var errNoneFound = errors.New("no scale was found for certain")

// Run tries the ports one after the other.
func (c *scaleFindCmd) Run(ctx context.Context, out io.Writer) error {
	most, err := time.ParseDuration(c.For)
	if err != nil || most <= 0 {
		return fmt.Errorf("--for %q is no time: write 20s or 1m", c.For)
	}
	if err := c.Save.check(); err != nil {
		return err
	}
	f := finder{
		options: find.Options{Quiet: c.Quiet, Most: most}, progress: newProgress(os.Stderr),
		present: port.Present, probe: port.OpenProbe, open: port.Open,
	}
	all, err := f.all(ctx, c.Port)
	if err != nil {
		return err
	}
	if ctx.Err() != nil {
		return errors.New("stopped before the search was over; the port is set as it was before")
	}
	if c.JSON {
		err = printFoundJSON(out, all)
	} else {
		err = printFound(out, all, c.Save)
	}
	if err != nil {
		return fmt.Errorf("print what was found: %w", err)
	}
	if c.Save.asked {
		return c.Save.save(os.Stderr, all)
	}
	if len(usable(all)) == 0 {
		return errNoneFound
	}
	return nil
}

// finder tries ports. Its functions are those of package port, and others in
// tests that watch what is opened.
type finder struct {
	options  find.Options
	progress *progress
	present  func() []port.Device
	probe    func(context.Context, string) (*port.Probe, error)
	open     func(string) (port.Opener, string, error)
}

// tried is what became of one port.
type tried struct {
	Named   string      // as it was typed, or the node
	Device  port.Device // what the system says of it; zero for TCP
	Skipped string      // why it was not tried
	Problem string      // why it could not be tried
	Address string      // for scale =, where Report found one
	Report  find.Report
	Server  bool // behind a serial server, which has the settings
}

// target is a port to try.
type target struct {
	named   string
	address port.Address
	device  port.Device
	skip    string
}

// all tries what is named, or what is plugged in.
func (f finder) all(ctx context.Context, named []string) ([]tried, error) {
	targets, err := f.targets(named)
	if err != nil {
		return nil, err
	}
	var all []tried
	for _, t := range targets {
		if ctx.Err() != nil {
			break
		}
		r := tried{Named: t.named, Device: t.device, Skipped: t.skip}
		if t.skip == "" {
			f.try(ctx, t, &r)
		}
		f.progress.clear()
		all = append(all, r)
	}
	return all, nil
}

// targets lists what to try. Nobody knows what hangs at a port of the computer
// itself (a display, a modem, another machine), so it is tried only by name.
func (f finder) targets(named []string) ([]target, error) {
	devices := f.present()
	var list []target
	for _, d := range devices {
		if len(named) > 0 {
			break
		}
		name := d.Node
		if d.HID {
			name = "hid:" + d.Node
		}
		a, err := port.ParseAddress(name)
		if err != nil {
			return nil, err
		}
		t := target{named: name, address: a, device: d}
		if !d.USB {
			t.skip = "a port of the computer itself, which may belong to something else. To try it, name it: gramcup scale find " + name
		}
		list = append(list, t)
	}
	for _, n := range named {
		a, err := port.ParseAddress(n)
		if err != nil {
			return nil, err
		}
		if a.Kind == port.KindReplay {
			return nil, fmt.Errorf("%s is a recording: gramcup scale replay shows what is in it", n)
		}
		list = append(list, target{named: n, address: a, device: deviceOf(devices, a)})
	}
	return list, nil
}

// deviceOf is what the system says of a named port.
func deviceOf(devices []port.Device, a port.Address) port.Device {
	node, err := filepath.EvalSymlinks(a.Path)
	for _, d := range devices {
		if err == nil && d.Node == node || d.HID && d.Stable == a.String() {
			return d
		}
	}
	return port.Device{}
}

func (f finder) try(ctx context.Context, t target, r *tried) {
	var err error
	if t.address.Kind == port.KindHID {
		err = f.tryHID(ctx, t, r)
	} else {
		err = f.tryLine(ctx, t, r)
	}
	if err != nil {
		r.Problem, r.Report.Found = err.Error(), false
	}
}

// probeWire is a port as the search wants it.
type probeWire struct {
	*port.Probe
	eighth bool // a byte had its eighth bit set
}

// Set sets the line.
func (w *probeWire) Set(s find.Setting) error {
	return w.Probe.Set(s.Baud, s.DataBits, port.Parity(s.Parity), s.StopBits)
}

// Listen gives what came.
func (w *probeWire) Listen(d time.Duration) ([]byte, error) {
	got, err := w.Probe.Listen(d)
	for _, c := range got {
		w.eighth = w.eighth || c >= 0x80
	}
	return got, err
}

// tryLine searches on a serial port or behind a serial server.
func (f finder) tryLine(ctx context.Context, t target, r *tried) error {
	p, err := f.probe(ctx, t.address.String())
	if err != nil {
		return err
	}
	defer func() { _ = p.Close() }()
	w := &probeWire{Probe: p}
	o := f.options
	o.Progress = func(s find.Step) { f.progress.say(t.named, s, p.Sets()) }
	r.Server = !p.Sets()
	if r.Report, err = find.Find(w, o); err != nil {
		return err
	}
	s := r.Report.Setting
	if r.Server {
		r.Address = t.address.String()
		if s.DataBits == 7 && w.eighth && r.Report.Line != "" {
			return fmt.Errorf("the lines are of the shape %s, but the serial server passes them on with a parity bit: set it to %s, as the scale is, and try again", r.Report.Line, s.Format())
		}
		return nil
	}
	r.Address = port.Address{Kind: port.KindSerial, Path: p.Name(), Baud: s.Baud, DataBits: s.DataBits, Parity: port.Parity(s.Parity), StopBits: s.StopBits}.String()
	return nil
}

// hidListen is how long a weighing device is listened to: it reports several
// times a second, or when something changes on it.
const hidListen = 5 * time.Second

// errEnough ends the listening.
var errEnough = errors.New("enough was heard")

// tryHID looks whether a weighing device says something. What it is stands in
// its description already.
func (f finder) tryHID(ctx context.Context, t target, r *tried) error {
	open, identity, err := f.open(t.address.String())
	if err != nil {
		return err
	}
	f.progress.say(t.named, find.Step{Text: "listening"}, true)
	ctx, cancel := context.WithTimeout(ctx, min(hidListen, f.options.Most))
	defer cancel()
	rep := find.Report{Sure: find.Sure, Codec: scale.HID{}, Line: scale.HID{}.Name(), Trouble: find.TroubleSilent}
	framer := scale.NewFramer(scale.HID{})
	err = eachChunk(ctx, open, func(_ time.Duration, data []byte) error {
		framer.Feed(data)
		for reading, err, ok := framer.Next(); ok; reading, err, ok = framer.Next() {
			if err == nil {
				addHID(&rep, reading)
			}
		}
		if len(rep.Sample) >= 3 {
			return errEnough
		}
		return nil
	})
	if err != nil && !errors.Is(err, errEnough) {
		return err
	}
	rep.Why = []string{"It describes itself as a weighing device, so it needs no speed and no shape."}
	if !rep.Found {
		rep.Why = append(rep.Why, "Nothing came from it.")
		rep.Settles = "Switch it on, and put something on its pan while this runs: some report only what changes."
	}
	r.Address, r.Report = identity, rep
	return nil
}

func addHID(rep *find.Report, r scale.Reading) {
	rep.Found, rep.Trouble = true, find.TroubleNone
	text := r.Status.String()
	if r.HasNumber {
		rep.Unit, rep.Division = r.Unit, r.Step()
		text = r.Number.String() + " " + r.Unit.String() + ", " + text
	}
	rep.Sample = append(rep.Sample, text)
}

// usable are those whose scale was found.
func usable(all []tried) (list []tried) {
	for _, t := range all {
		if t.Report.Found {
			list = append(list, t)
		}
	}
	return list
}
