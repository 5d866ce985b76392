package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"os"
	"strings"

	"github.com/alecthomas/kong"

	"gramcup/scale"
	"gramcup/scale/checkup"
	"gramcup/scale/port"
	"gramcup/ui"
)

// benchFlags are what every command on the scale of a bench is told: which one,
// and how its lines are read.
type benchFlags struct {
	Config   configFlag `placeholder:"FILE" help:"Settings in TOML, a table [serve] with the flags of serve as keys. Without it the file gramcup/config.toml in the user's config folder is read, if it is there."`
	Scale    string     `env:"GRAMCUP_SCALE" placeholder:"/dev/ttyUSB0" help:"The scale: /dev/ttyUSB0, serial:/dev/ttyUSB0?baud=9600&format=8n1, tcp://host:port, hid:/dev/hidraw0 or replay:FILE; gramcup scale find tells which."`
	Line     string     `env:"GRAMCUP_LINE" default:"sma" help:"The shape of its lines: sma (the open standard SMA SCP-0499) or csv (status, mode, value and unit with commas), own (described in the config file), or another that gramcup decode --help lists."`
	Ask      bool       `env:"GRAMCUP_ASK" default:"true" negatable:"" help:"Ask the scale to send by itself. Turn it off for a scale that sends anyway and must not be spoken to."`
	Division string     `env:"GRAMCUP_DIVISION" placeholder:"0.1g" help:"The scale's division, if it is coarser than its last decimal."`
	Data     string     `env:"GRAMCUP_DATA" default:"${state}" type:"path" help:"The folder of the book."`
	file     configFile `kong:"-"`
}

// BeforeResolve reads the config file before the defaults are taken.
func (f *benchFlags) BeforeResolve(ctx *kong.Context) error {
	file, err := resolveConfig(ctx)
	f.file = file
	return err
}

// wire is the way to the scale that the flags name.
func (f *benchFlags) wire() (codec scale.Codec, open port.Opener, identity string, err error) {
	line, err := lineOf(f.Scale, f.Line)
	if err != nil {
		return nil, nil, "", fmt.Errorf("--line: %w", err)
	}
	if codec, err = f.file.codec(line); err != nil {
		return nil, nil, "", fmt.Errorf("--line: %w", err)
	}
	if open, identity, err = port.Open(f.Scale); err != nil {
		return nil, nil, "", fmt.Errorf("--scale: %w", err)
	}
	return codec, open, identity, nil
}

// serveCmd runs the bench on a real scale.
type serveCmd struct {
	benchFlags
	Wait    bool     `env:"GRAMCUP_WAIT" help:"Start even though the scale is not plugged in yet, and wait for it."`
	Listen  string   `env:"GRAMCUP_LISTEN" default:"127.0.0.1:8484" help:"Where the page is served. Only this machine can be listened on."`
	Station string   `env:"GRAMCUP_STATION" default:"Mixing bench" help:"The name of this bench, shown on every page."`
	Host    []string `env:"GRAMCUP_HOST" placeholder:"NAME" help:"A further name under which the page may be opened."`

	CheckEvery string `env:"GRAMCUP_CHECK_EVERY" placeholder:"12mo" help:"How long after a check of the scale the next is due, such as 180d, 26w or 12mo, or never. It is the shop's own choice; 12mo if not given."`
	Record     string `env:"GRAMCUP_RECORD" type:"path" placeholder:"FILE" help:"Write everything that the scale sends to a new capture file."`
}

// Help teaches by an example.
func (c *serveCmd) Help() string {
	return `Connects to the scale, serves the page and keeps the book. A scale that goes away is
waited for, and the batch in the cup with it. End it with Ctrl-C; nothing is lost, not
even by a power cut.

  gramcup serve --scale "serial:/dev/ttyUSB0?baud=9600&format=7e1" --line csv

To see what a scale sends, record it and decode the file:

  gramcup serve --scale /dev/ttyUSB0 --record what-it-sent.cap`
}

// configFlag names the config file.
type configFlag string

// resolveConfig reads the config file, the named one, else the user's own, and
// puts its table [serve] behind the flags of a command.
func resolveConfig(ctx *kong.Context) (configFile, error) {
	path := configPath()
	for _, p := range ctx.Path {
		if p.Flag != nil && p.Flag.Name == "config" {
			path = string(ctx.FlagValue(p.Flag).(configFlag))
		}
	}
	if path == "" {
		return configFile{}, nil
	}
	file, err := readConfig(path)
	if err != nil {
		return configFile{}, err
	}
	ctx.AddResolver(file.Serve.resolver())
	return file, nil
}

// Run checks everything that can be checked before it starts.
func (c *serveCmd) Run(ctx context.Context, out io.Writer) error {
	s, close, err := c.station(ctx, out)
	if err != nil {
		return err
	}
	defer close()
	oneProcessor()
	return s.run(ctx)
}

func (c *serveCmd) station(ctx context.Context, out io.Writer) (station, func(), error) {
	nothing := func() {}
	if c.Scale == "" {
		return station{}, nothing, fmt.Errorf("which scale? name it with --scale /dev/ttyUSB0, or try gramcup demo without one; %s", present())
	}
	if err := ui.CheckListen(c.Listen); err != nil {
		return station{}, nothing, fmt.Errorf("--listen: %w", err)
	}
	codec, open, identity, err := c.wire()
	if err != nil {
		return station{}, nothing, err
	}
	division, err := parseDivision(c.Division)
	if err != nil {
		return station{}, nothing, err
	}
	every, err := checkup.ParseEvery(c.CheckEvery)
	if err != nil {
		return station{}, nothing, fmt.Errorf("--check-every: %w", err)
	}
	if !c.Wait {
		if err := tryOpen(ctx, open); err != nil {
			return station{}, nothing, fmt.Errorf("--scale: %w; with --wait the bench starts all the same and waits for it", err)
		}
	}
	s := station{
		Open: open, Identity: identity, Settings: settingsText(c.Scale), Codec: codec, Stream: c.Ask, Division: division, CheckEvery: every,
		Data: c.Data, Listen: c.Listen, Name: c.Station, Hosts: c.Host, Log: logger(),
		Ready: func(address string) { fmt.Fprintf(out, "The bench is open at %s\n", address) },
	}
	if c.Record == "" {
		return s, nothing, nil
	}
	file, err := os.OpenFile(c.Record, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return station{}, nothing, fmt.Errorf("--record: %w; a capture never overwrites a file", err)
	}
	s.Recorder = file
	return s, func() { _ = file.Close() }, nil
}

// tryOpen opens the wire once, so that a wrong name is told at once to the one
// who typed it and not to a log.
func tryOpen(ctx context.Context, open port.Opener) error {
	wire, err := open(ctx)
	if err != nil {
		return err
	}
	return wire.Close()
}

// mostDivision is far above the step of every scale that paint is mixed on.
const mostDivision = 100 * scale.Gram

// parseDivision reads "0.1g" or "0.1 g"; "" is not given.
func parseDivision(s string) (scale.Mass, error) {
	if s == "" {
		return 0, nil
	}
	m, err := parseMassFlag(s)
	if err != nil {
		return 0, fmt.Errorf("--division %w", err)
	}
	if m > mostDivision {
		return 0, fmt.Errorf("--division %q: no bench scale has steps of more than %v; give what stands on the plate as d", s, mostDivision)
	}
	return m, nil
}

func present() string {
	devices := port.Present()
	if len(devices) == 0 {
		return "no serial port is plugged in now"
	}
	var names []string
	for _, d := range devices {
		names = append(names, d.Name())
	}
	return "plugged in now: " + strings.Join(names, ", ")
}

// logger writes to standard error: what happens there is for whoever installs
// it, not for the painter.
func logger() *slog.Logger {
	return slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelInfo}))
}
