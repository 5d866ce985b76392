// Command gramcup is a mixing bench for a vehicle refinish shop: it reads a
// bench scale, works out grams from a ratio by volume and densities, and leads
// each pour on a page in the browser.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"
)

// cli is the command line. Each command is a file of its own.
type cli struct {
	ShowVersion kong.VersionFlag `name:"version" help:"Print the version and end."`

	Serve   serveCmd   `cmd:"" help:"Run the bench on a real scale and serve its page."`
	Demo    demoCmd    `cmd:"" help:"Run the same bench on a simulated scale, to try everything without paint."`
	Plan    planCmd    `cmd:"" help:"Work out the grams of each component from a ratio and densities."`
	VOC     vocCmd     `cmd:"" name:"voc" help:"Work out the VOC of a ready-to-spray mix and hold it against a limit."`
	Density densityCmd `cmd:"" help:"Find out a density: against water, from a tin, at another temperature."`
	Grey    greyCmd    `cmd:"" help:"Mix a grey undercoat of a wanted lightness from your own drawdowns."`
	Strip   stripCmd   `cmd:"" help:"Marks for a cup or a stick, at true size, for pouring without a density."`
	Level   levelCmd   `cmd:"" help:"Work out what to add to each component when one went past its line."`
	Decode  decodeCmd  `cmd:"" help:"Read the lines of a scale from a file and print each as JSON."`
	Scale   scaleCmd   `cmd:"" help:"Look at a scale without a batch: list, listen, record, replay."`
	Sim     simCmd     `cmd:"" help:"Put a simulated scale on a pseudo-terminal that a serial program can open."`
	Version versionCmd `cmd:"" help:"Print the version."`
}

const description = `A mixing bench for a vehicle refinish shop: grams from a ratio by volume, and a line to pour to.

  try it           gramcup demo
  with a scale     gramcup serve --scale /dev/ttyUSB0
  only the grams   gramcup plan --ratio 4:1:1 --density 1.42,1.06,0.87 --volume-ml 600

The product sheet and local rules come first: a figure worked out here is only as
good as the densities and ratios it was given.`

func main() {
	ends := []os.Signal{os.Interrupt, syscall.SIGTERM}
	if !signal.Ignored(syscall.SIGHUP) { // a closed terminal ends in order too; under nohup it ends nothing
		ends = append(ends, syscall.SIGHUP)
	}
	ctx, stop := signal.NotifyContext(context.Background(), ends...)
	defer stop()
	limitIsAnError()
	os.Exit(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// exit carries the status that kong wants to leave with through a panic, so
// that --help can be tested like anything else.
type exit int

// run is the whole program: 0 is success, 1 a failure that was told in one
// sentence, 2 a command line that makes no sense.
func run(ctx context.Context, args []string, in io.Reader, out, errs io.Writer) (status int) {
	defer func() {
		if r := recover(); r != nil {
			code, ok := r.(exit)
			if !ok {
				panic(r)
			}
			status = int(code)
		}
	}()
	var c cli
	parser, err := kong.New(&c,
		kong.Name("gramcup"), kong.Description(description),
		kong.Writers(out, errs), kong.Exit(func(code int) { panic(exit(code)) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, NoExpandSubcommands: true}),
		kong.Vars{"state": stateFolder(), "version": "gramcup " + version()},
		kong.BindTo(ctx, (*context.Context)(nil)),
		kong.BindTo(in, (*io.Reader)(nil)),
		kong.BindTo(out, (*io.Writer)(nil)),
		readsNumbers(),
	)
	if err != nil {
		panic(fmt.Errorf("the command line is declared wrongly: %w", err))
	}
	parsed, err := parser.Parse(args)
	if err != nil {
		fmt.Fprintf(errs, "gramcup: %s\n", mistyped(err))
		if len(args) == 0 {
			fmt.Fprintln(errs, "Begin with: gramcup demo    or: gramcup --help")
		}
		return 2
	}
	if err := parsed.Run(); err != nil && !errors.Is(err, context.Canceled) {
		name, _, _ := strings.Cut(parsed.Command(), " <") // without its arguments
		fmt.Fprintf(errs, "gramcup %s: %v\n", name, err)
		return 1
	}
	return 0
}
