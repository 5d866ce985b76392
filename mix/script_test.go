package mix_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

var update = flag.Bool("update", false, "rewrite the expectations of the scripts")

// TestScripts plays testdata/scripts. A script is a list of blocks, each a few
// lines of what happens, "----", and what the batch says to it. Its first
// comment says what it proves.
func TestScripts(t *testing.T) {
	files, err := filepath.Glob("../testdata/scripts/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			require.True(t, strings.HasPrefix(string(text), "# "), "the first line says what the script proves")
			got := play(t, string(text))
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
				return
			}
			require.Equal(t, string(text), got)
		})
	}
}

// play runs the blocks and gives the script back with fresh expectations.
func play(t *testing.T, text string) string {
	d := newDesk(t)
	var out strings.Builder
	for _, block := range strings.Split(strings.TrimRight(text, "\n"), "\n\n") {
		asked, _, hasWant := strings.Cut(block, "----\n")
		if !hasWant {
			asked = strings.TrimSuffix(block, "----")
			hasWant = asked != block
		}
		if out.Len() > 0 {
			out.WriteString("\n")
		}
		out.WriteString(asked)
		d.said.Reset()
		for _, line := range strings.Split(strings.TrimSpace(asked), "\n") {
			if line != "" && !strings.HasPrefix(line, "#") {
				d.line(line)
			}
		}
		if hasWant {
			out.WriteString("----\n" + d.said.String())
			continue
		}
		out.WriteString("\n")
	}
	return out.String()
}

// desk is a bench without a disk or a scale: it steps, folds, and after every
// step compares the live batch with the one folded from all events.
type desk struct {
	t        testing.TB
	b        mix.Batch
	p        mix.Pan
	at       mix.Stamp
	events   []mix.Recorded
	said     strings.Builder
	recipe   mix.Recipe
	shown    scale.Mass
	mode     scale.Mode
	flags    bool // the scale sends a motion flag
	tare     bool // the scale obeys a tare command
	deaf     bool // the scale takes the command and does nothing
	zero     scale.Mass
	unmarked bool // the scale does not tell net from gross
	keys     int
	older    bool
	old      uint64
}

func newDesk(t testing.TB) *desk {
	return &desk{t: t, at: mix.Stamp{Boot: "first", WallMS: 1_700_000_000_000}, flags: true, tare: true, mode: scale.ModeGross}
}

// line does one line of a script.
func (d *desk) line(line string) {
	f := strings.Fields(line)
	switch f[0] {
	case "recipe": // recipe 4:1:1 1.42,1.06,0.87 [cup ML]
		d.recipe = recipeOf(d.t, f[1], f[2])
		if len(f) == 5 && f[3] == "cup" {
			d.recipe.CupUsableML = parse(d.t, f[4])
		}
	case "start": // start volume 600 | start mass 500 | start as-poured
		a := mix.Amount{Kind: mix.AmountKind(f[1])}
		if len(f) > 2 {
			a.ML, a.Grams = parse(d.t, f[2]), parse(d.t, f[2])
		}
		d.command(mix.VerbStart, d.b.Seq, &mix.Order{ID: "b1", Recipe: d.recipe, Amount: a, Division: 100 * scale.Milligram})
	case "weigh": // weigh 12.3 2s: the load stands there for two seconds
		d.load(scale.MassFromGrams(parse(d.t, f[1])), f[2])
	case "wait": // wait 2s: nothing comes from the scale, and the timer looks again
		for end := d.at.Add(span(d.t, f[1])); d.at.Mono < end.Mono; {
			d.at = d.at.Add(250 * time.Millisecond)
			d.input(&mix.Woke{At: d.at})
		}
	case "pour": // pour 100 5s: the load rises by 100 g within five seconds
		d.pour(scale.MassFromGrams(parse(d.t, f[1])), f[2])
	case "scale": // scale no-tare | no-flags | forgets
		d.setScale(f[1])
	case "lost":
		d.input(&mix.ScaleLost{At: d.at, Reason: "unplugged"})
	case "found":
		d.input(&mix.ScaleFound{At: d.at, Identity: "the scale"})
	case "power-cut":
		d.powerCut()
	case "press": // press level-up [stale|again]
		version := d.b.Seq
		if len(f) > 2 && f[2] == "stale" {
			version--
		}
		d.older = len(f) > 2 && f[2] == "older" // decided on the batch before
		if len(f) > 2 && f[2] == "again" {
			d.keys--
			version = d.old
		}
		d.old = version
		d.command(mix.Verb(f[1]), version, nil)
	case "show":
		d.show()
	case "choices":
		for _, c := range mix.Choices(&d.b) {
			fmt.Fprintf(&d.said, "[%s] %s\n", c.Do, strings.Join(c.Consequences, "; "))
		}
	default:
		d.t.Fatalf("what is %q?", line)
	}
}

func (d *desk) setScale(what string) {
	switch what {
	case "no-tare":
		d.tare = false
	case "deaf": // it takes the command and does nothing
		d.deaf = true
	case "no-flags":
		d.flags = false
	case "unmarked": // it does not tell net from gross
		d.mode, d.unmarked = scale.ModeUnknown, true
	case "forgets": // its power blinked: the tare is gone
		d.setZero(0, scale.ModeGross)
	case "zeroes-here": // and it took a new zero with the load on it
		d.setZero(d.shown, scale.ModeGross)
	default:
		d.t.Fatalf("what is scale %q?", what)
	}
}

// setZero moves what the scale subtracts.
func (d *desk) setZero(m scale.Mass, mode scale.Mode) {
	d.zero = m
	if !d.unmarked {
		d.mode = mode
	}
}

// show says where the batch stands, as the page would.
func (d *desk) show() {
	headline, detail := mix.Headline(&d.b)
	fmt.Fprintf(&d.said, "%s/%s: %s\n", d.b.State, d.b.Phase, headline)
	if detail != "" {
		fmt.Fprintf(&d.said, "  %s\n", detail)
	}
	for i, c := range d.b.Recipe.Components {
		l := d.b.Layers[i]
		fmt.Fprintf(&d.said, "  %s %s of %s %s\n", c.Name, l.Poured.Format(1), l.Target.Format(1), l.Line)
	}
}

func (d *desk) powerCut() {
	d.b, d.p = mix.Fold(d.events), mix.Pan{}
	d.at = mix.Stamp{Boot: "second", WallMS: d.at.WallMS + 60_000}
	d.input(&mix.PowerCameBack{At: d.at})
}

func (d *desk) load(m scale.Mass, howLong string) {
	d.shown = m
	for end := d.at.Add(span(d.t, howLong)); d.at.Mono < end.Mono; {
		d.reading(false)
	}
}

func (d *desk) pour(m scale.Mass, howLong string) {
	n := int64(span(d.t, howLong) / (100 * time.Millisecond))
	from := d.shown
	for i := int64(1); i <= n; i++ {
		d.shown = from + m*scale.Mass(i)/scale.Mass(n)
		d.reading(true)
	}
}

// reading sends what the scale shows: the load less its tare, to 0.1 g.
func (d *desk) reading(moving bool) {
	d.at = d.at.Add(100 * time.Millisecond)
	r := scale.Reading{HasNumber: true, Unit: scale.UnitGram, Mode: d.mode}
	m := (d.shown - d.zero).RoundTo(100 * scale.Milligram)
	r.Number = scale.Decimal{Coefficient: uint64(m.Abs() / (100 * scale.Milligram)), Places: 1, Lead: 1, Negative: m < 0}
	if d.flags {
		r.Motion = scale.MotionStill
		if moving {
			r.Motion = scale.MotionMoving
		}
	}
	d.input(&mix.Weighed{At: d.at, Reading: r})
}

func (d *desk) command(v mix.Verb, version uint64, o *mix.Order) {
	d.keys++
	batch := d.b.ID
	if d.older {
		batch, d.older = "b0", false
	}
	d.input(&mix.Command{At: d.at, Key: fmt.Sprintf("key-%d", d.keys), Batch: batch, Version: version, Do: v, Order: o})
}

func (d *desk) input(in mix.Input) {
	r := mix.Step(&d.b, &d.p, in)
	key := ""
	id := d.b.ID
	if c, ok := in.(*mix.Command); ok {
		key = c.Key
		if c.Do == mix.VerbStart && r.Refused == nil && !r.Repeat {
			id, d.events, d.b = c.Order.ID, nil, mix.Batch{}
		}
	}
	if r.Refused != nil {
		fmt.Fprintf(&d.said, "refused (%s): %s\n", r.Refused.Code, r.Refused)
	}
	if r.Repeat {
		d.said.WriteString("a repeat: nothing happens\n")
	}
	for i, e := range r.Events {
		if i > 0 {
			key = ""
		}
		d.record(id, key, e)
	}
	if r.Effect == mix.EffectClearTare && d.tare && !d.deaf {
		d.said.WriteString("(asks the scale to forget the last tare)\n")
		d.setZero(0, scale.ModeGross)
	}
	if r.Effect == mix.EffectTare {
		d.askTare()
	}
}

func (d *desk) record(id, key string, e mix.Event) {
	body, err := mix.EncodeEvent(e)
	require.NoError(d.t, err)
	fmt.Fprintf(&d.said, "%s %s\n", e.Type(), short(string(body)))
	back, err := mix.DecodeEvent(e.Type(), mix.EventVersion, body)
	require.NoError(d.t, err)
	d.events = append(d.events, mix.Recorded{Batch: id, Seq: uint64(len(d.events) + 1), At: d.at, Key: key, Event: back})
	d.b = mix.Apply(d.b, d.events[len(d.events)-1])
	require.Equal(d.t, mix.Fold(d.events), d.b, "a batch is its events")
	require.NoError(d.t, d.b.Check())
}

func (d *desk) askTare() {
	if d.tare && !d.deaf {
		d.setZero(d.shown, scale.ModeNet)
	}
	d.input(&mix.Asked{At: d.at, Effect: mix.EffectTare, OK: d.tare})
}

// short leaves the recipe out of a started event: the script has it already.
func short(body string) string {
	if strings.Contains(body, `"recipe"`) {
		return "…"
	}
	return body
}

func span(t testing.TB, s string) time.Duration {
	d, err := time.ParseDuration(s)
	require.NoError(t, err)
	return d
}

func parse(t testing.TB, s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return x
}

// recipeOf makes a recipe from a ratio and densities as a tin prints them.
func recipeOf(t testing.TB, ratio, densities string) mix.Recipe {
	names := []string{"base", "hardener", "reducer", "additive"}
	roles := []mix.Role{mix.RoleBase, mix.RoleHardener, mix.RoleReducer, mix.RoleAdditive}
	tolerances := []float64{0.02, 0.03, 0.05, 0.05}
	r := mix.Recipe{ID: "r", Name: "test mix", Basis: mix.ByVolume, PotLifeMin: 45}
	dens := strings.Split(densities, ",")
	for i, p := range strings.Split(ratio, ":") {
		d, err := mix.ParseDensity(dens[i])
		require.NoError(t, err)
		r.Components = append(r.Components, mix.Component{Name: names[i], Role: roles[i], Parts: parse(t, p), Density: d, Tolerance: tolerances[i], PricePerL: 30})
	}
	return r
}
