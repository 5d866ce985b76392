package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"gramcup/scale"
	"gramcup/scale/find"
	"gramcup/scale/port"
)

// progress says what is being done: a line each time, or on a terminal one line
// that changes.
type progress struct {
	to       io.Writer
	terminal bool
	last     string
}

func newProgress(to *os.File) *progress {
	info, err := to.Stat()
	return &progress{to: to, terminal: err == nil && info.Mode()&os.ModeCharDevice != 0}
}

// say tells of a step on a port, once. Where somebody else sets the line, its
// setting is none of this one's.
func (p *progress) say(named string, s find.Step, sets bool) {
	text := named + ": " + s.Text
	if before, _, cut := strings.Cut(s.Text, " at "); cut && !sets {
		text = named + ": " + before
	}
	if text == p.last {
		return
	}
	p.last = text
	if p.terminal {
		fmt.Fprintf(p.to, "\r\x1b[K%s …", text)
		return
	}
	fmt.Fprintln(p.to, text+" …")
}

// clear takes the changing line away.
func (p *progress) clear() {
	if p.terminal && p.last != "" {
		fmt.Fprint(p.to, "\r\x1b[K")
	}
	p.last = ""
}

// printFound says for people what became of each port, and what to write into
// the config file.
func printFound(out io.Writer, all []tried, save saveFlag) error {
	var b strings.Builder
	if len(all) == 0 {
		b.WriteString("No serial adaptor and no USB scale is plugged in now.\nPlug it in and switch it on. One behind a serial server is named: gramcup scale find tcp://host:port\n")
	}
	skipped := 0
	for i, t := range all {
		if i > 0 {
			b.WriteString("\n")
		}
		t.print(&b)
		if t.Skipped != "" {
			skipped++
		}
	}
	if skipped > 0 && skipped == len(all) {
		b.WriteString("\nNo serial adaptor and no USB scale is plugged in now.\n")
	}
	for _, t := range usable(all) {
		if save.asked {
			break
		}
		if len(usable(all)) > 1 {
			fmt.Fprintf(&b, "\nFor %s, put this into %s:\n\n", t.Named, save.path())
		} else {
			fmt.Fprintf(&b, "\nPut this into %s, or let --save do it:\n\n", save.path())
		}
		b.WriteString("[serve]\n")
		for _, l := range t.config() {
			b.WriteString(l.String() + "\n")
		}
	}
	_, err := io.WriteString(out, b.String())
	return err
}

func (t tried) print(b *strings.Builder) {
	b.WriteString(t.Named)
	if t.Device.Product != "" {
		fmt.Fprintf(b, " (%s)", t.Device.Product)
	}
	b.WriteString("\n")
	row := func(text string) { fmt.Fprintf(b, "  %s\n", text) }
	switch r := t.Report; {
	case t.Skipped != "":
		row("not opened: " + t.Skipped)
		return
	case t.Problem != "":
		row("not found out: " + t.Problem)
		return
	case r.Found:
		row("found: " + t.summary())
	case r.Codec != nil && r.Trouble == find.TroubleNone:
		row("perhaps: " + t.summary())
	default:
		row("no scale found: " + troubleWords(r.Trouble))
	}
	for _, s := range t.reasons() {
		row(s)
	}
	for _, s := range t.Report.Sample {
		row("  " + s)
	}
	if s := t.Report.Settles; s != "" {
		row("To settle it: " + s)
	}
	for _, s := range t.hints() {
		row(s)
	}
}

// summary is the answer in one row.
func (t tried) summary() string {
	r := t.Report
	parts := []string{r.Line}
	switch {
	case t.Device.HID || r.Line == scale.HID{}.Name():
		parts[0] = "a USB weighing device"
	case t.Server:
		parts = append(parts, "set at the serial server")
	default:
		parts = append(parts, r.Setting.String())
	}
	if r.Division > 0 {
		parts = append(parts, "in steps of "+r.Division.String())
	}
	switch {
	case r.Unit != scale.UnitNone:
		parts = append(parts, "unit "+r.Unit.String())
	case r.TellUnit:
		parts = append(parts, "no unit in its lines")
	}
	return strings.Join(append(parts, string(r.Sure)), ", ")
}

// reasons say why, and what else it could be.
func (t tried) reasons() []string {
	list := append([]string(nil), t.Report.Why...)
	if t.Server {
		for i, s := range list { // the speed that was tried means nothing there
			list[i] = strings.ReplaceAll(s, " at "+t.Report.Setting.String(), "")
		}
	}
	var names []string
	for _, o := range t.Report.Others {
		names = append(names, o.Line)
	}
	if len(names) > 0 {
		list = append(list, "It could also be "+strings.Join(names, " or ")+".")
	}
	return list
}

// hints are what a person should know who goes on from here.
func (t tried) hints() (list []string) {
	r, d := t.Report, t.Device
	switch r.Trouble {
	case find.TroubleUnknown, find.TroubleParity:
		list = append(list, "See what comes: gramcup scale listen \""+t.Address+"\"", "Describe such a line by a pattern: gramcup scale try --help")
	case find.TroubleNoise:
		list = append(list, t.noiseHint())
	}
	if !r.Found {
		return list
	}
	if r.Division > 0 {
		list = append(list, "The step is what the numbers show so far. Where the plate of the scale says another division d, write that.")
	}
	if r.TellUnit {
		list = append(list, "The end of the shape's name is its unit: change it if the scale shows another than "+unitOfName(r.Line)+".")
	}
	switch {
	case d.Twin:
		list = append(list, "Another one that says the same of itself is plugged in, so this one is known by its socket: leave each where it is.")
	case d.USB && d.Serial == "" && d.HID:
		list = append(list, "It has no number of its own and is known by its socket: leave it there.")
	case d.USB && d.Serial == "":
		list = append(list, "The adaptor has no number of its own: if a second of its kind is ever added, the name will not tell them apart; search again then.")
	}
	if strings.HasPrefix(t.Address, "serial:"+d.Node+"?") {
		list = append(list, "The system keeps no name for it that survives replugging: it may be called otherwise tomorrow.")
	}
	return list
}

// noiseHint is the way on for who knows what the line is set to.
func (t tried) noiseHint() string {
	if t.Server {
		return "When you know its setting, set the serial server to it and try again."
	}
	name := t.Device.Name()
	if a, err := port.ParseAddress(t.Address); name == "" && err == nil {
		name = a.Path
	}
	return "When you know its setting: gramcup scale listen \"serial:" + name + "?baud=2400&format=7e1\""
}

func unitOfName(line string) string {
	return line[strings.LastIndexByte(line, '-')+1:]
}

func troubleWords(t find.Trouble) string {
	switch t {
	case find.TroubleSilent:
		return "it is silent"
	case find.TroubleNoise:
		return "bytes come that make no sense, so speed or framing are others than those that were tried, or it is no scale"
	case find.TroubleParity:
		return "its lines have 7 bits with parity, and no shape reads them"
	case find.TroubleBinary:
		return "it sends a binary format"
	}
	return "its lines are text that no shape reads"
}

// configLine is one key of the config file with its value as text.
type configLine struct{ key, value string }

func (l configLine) String() string { return l.key + " = " + strconv.Quote(l.value) }

// config are the keys that read this scale. A division that was not seen is
// not written: the bench takes the last decimal then.
func (t tried) config() []configLine {
	list := []configLine{{"scale", t.Address}, {"line", t.Report.Line}}
	if d := t.Report.Division; d > 0 {
		list = append(list, configLine{"division", strings.ReplaceAll(d.String(), " ", "")})
	}
	return list
}

// foundJSON is one port for a program.
type foundJSON struct {
	Port      string            `json:"port"`
	Product   string            `json:"product,omitempty"`
	Skipped   string            `json:"skipped,omitempty"`
	Problem   string            `json:"problem,omitempty"`
	Found     bool              `json:"found"`
	Sure      find.Certainty    `json:"sure,omitempty"`
	Line      string            `json:"line,omitempty"`
	Baud      int               `json:"baud,omitempty"`
	Format    string            `json:"format,omitempty"`
	Unit      string            `json:"unit,omitempty"`
	TellUnit  bool              `json:"tell_unit,omitempty"`
	DivisionG float64           `json:"division_g,omitempty"`
	Asked     bool              `json:"asked"`
	Trouble   find.Trouble      `json:"trouble,omitempty"`
	Sample    []string          `json:"sample"`
	Why       []string          `json:"why"`
	Settles   string            `json:"settles,omitempty"`
	Others    []string          `json:"others"`
	Hints     []string          `json:"hints"`
	Config    map[string]string `json:"config,omitempty"`
}

func printFoundJSON(out io.Writer, all []tried) error {
	list := []foundJSON{}
	for _, t := range all {
		r := t.Report
		j := foundJSON{
			Port: t.Named, Product: t.Device.Product, Skipped: t.Skipped, Problem: t.Problem,
			Found: r.Found, Sure: r.Sure, Line: r.Line, Unit: r.Unit.String(), TellUnit: r.TellUnit,
			DivisionG: r.Division.Grams(), Asked: r.Asked, Trouble: r.Trouble, Settles: r.Settles,
			Sample: append([]string{}, r.Sample...), Why: append([]string{}, t.reasons()...),
			Others: []string{}, Hints: append([]string{}, t.hints()...),
		}
		if r.Setting.Baud > 0 && !t.Server {
			j.Baud, j.Format = r.Setting.Baud, r.Setting.Format()
		}
		for _, o := range r.Others {
			j.Others = append(j.Others, o.Line)
		}
		if r.Found {
			j.Config = map[string]string{}
			for _, l := range t.config() {
				j.Config[l.key] = l.value
			}
		}
		list = append(list, j)
	}
	e := json.NewEncoder(out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(list)
}
