package main

import (
	"fmt"
	"io"
	"time"

	"gramcup/mix/book"
	"gramcup/scale/checkup"
)

// progressOfCheck prints what changed of a walk, and nothing twice.
type progressOfCheck struct {
	out   io.Writer
	last  string
	taken int
	err   error
}

func (p *progressOfCheck) show(v checkup.View) {
	if len(v.Taken) < p.taken {
		p.taken = 0
	}
	for _, r := range v.Taken[p.taken:] {
		text := fmt.Sprintf("  %-6s  %v", r.Place, r.Shown.Mass())
		if r.Place != checkup.PlaceEmpty {
			text += fmt.Sprintf(", %v off", r.Off().Mass())
		}
		p.write(text)
	}
	p.taken = len(v.Taken)
	switch {
	case v.Step == checkup.StepDone:
	case v.Waits != "":
		p.line("  " + v.Waits)
	default:
		p.line("> " + v.Sentence)
	}
}

func (p *progressOfCheck) line(text string) {
	if text != p.last {
		p.last = text
		p.write(text)
	}
}

func (p *progressOfCheck) write(text string) {
	if _, err := fmt.Fprintln(p.out, text); err != nil && p.err == nil {
		p.err = fmt.Errorf("print what to do: %w", err)
	}
}

// printVerdict is the end of a check on paper.
func printVerdict(out io.Writer, k checkup.Kept) error {
	text := "\n" + k.Verdict() + "\n"
	for i, f := range k.Findings {
		if i > 0 || k.Passed { // the first is in the verdict
			text += f + "\n"
		}
	}
	if a := k.Advice(); a != "" {
		text += a + "\n"
	}
	guess := ""
	if k.Guessed {
		guess = " (a guess)"
	}
	text += fmt.Sprintf("Allowed for class %s%s: %v, %s.\n", k.Class, guess, k.Limit.Mass(), k.LimitSource)
	for _, n := range k.Notes {
		text += n + "\n"
	}
	if k.N > 0 {
		text += fmt.Sprintf("Kept in the book as check %d.\n", k.N)
	}
	_, err := io.WriteString(out, text)
	return err
}

// scaleChecksCmd lists past checks.
type scaleChecksCmd struct {
	Data  string `env:"GRAMCUP_DATA" default:"${state}" type:"path" help:"The folder of the book."`
	Last  bool   `help:"Only the newest check of each scale."`
	Limit int    `default:"50" help:"At most so many."`
	JSON  bool   `name:"json" help:"Print an array of JSON objects with every reading, for export."`
}

// Run lists them, the newest first.
func (c *scaleChecksCmd) Run(out io.Writer) (err error) {
	var list []checkup.Kept
	err = ask(c.Data, func(b *book.Book) (err error) {
		if c.Last {
			list, err = b.LastChecks()
		} else {
			list, err = b.Checks(c.Limit)
		}
		return err
	})
	if err != nil {
		return err
	}
	if c.JSON {
		return printJSON(out, append([]checkup.Kept{}, list...))
	}
	if len(list) == 0 {
		_, err := fmt.Fprintln(out, "no scale was checked yet")
		return err
	}
	w := table(out)
	fmt.Fprintln(w, "no.\twhen\tscale\tweight\tworst\tallowed\tverdict\t")
	for _, k := range list {
		verdict := "passed"
		if !k.Passed {
			verdict = "not passed"
		}
		weight := checkup.Name(k.Nominal.Mass()) + " " + k.WeightClass
		if k.WeightID != "" {
			weight += ", " + k.WeightID
		}
		fmt.Fprintf(w, "%d\t%s\t%s\t%s\t%v\t%v\t%s\t\n", k.N, time.UnixMilli(k.AtMS).Format("2006-01-02 15:04"), k.Scale, weight, k.Worst.Mass(), k.Limit.Mass(), verdict)
	}
	return w.Flush()
}
