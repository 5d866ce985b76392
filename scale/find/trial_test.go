package find_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"sort"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
	"gramcup/scale/find"
	"gramcup/simulator"
)

// trial is one scale on one line, drawn from a seed.
type trial struct {
	seed      uint64
	codec     scale.Codec
	setting   find.Setting
	onRequest bool
	load      string
	skew      int
	eager     bool
	options   simulator.Options
	pulses    float64
}

func (tr trial) String() string {
	return fmt.Sprintf("seed %d: %s at %s, %s %s, load %s, every %v, request %v, skew %d, eager %v, pulses %.1f, faults %v",
		tr.seed, tr.codec.Name(), tr.setting, tr.options.Preset.Name, tr.options.Unit, tr.load, tr.options.FrameEvery,
		tr.onRequest, tr.skew, tr.eager, tr.pulses, tr.options.Faults)
}

// other is what is met less often.
var other = []find.Setting{{Baud: 1200, DataBits: 7, Parity: 'o', StopBits: 1}, {Baud: 1200, DataBits: 7, Parity: 'e', StopBits: 1},
	{Baud: 4800, DataBits: 8, Parity: 'n', StopBits: 1}, {Baud: 4800, DataBits: 7, Parity: 'e', StopBits: 1},
	{Baud: 38400, DataBits: 8, Parity: 'n', StopBits: 1}, {Baud: 9600, DataBits: 7, Parity: 'o', StopBits: 1},
	{Baud: 9600, DataBits: 8, Parity: 'n', StopBits: 2}, {Baud: 2400, DataBits: 7, Parity: 'n', StopBits: 2},
	{Baud: 9600, DataBits: 8, Parity: 'e', StopBits: 1}, {Baud: 9600, DataBits: 8, Parity: 'o', StopBits: 1}}

func draw(seed uint64) trial {
	rng := rand.New(rand.NewPCG(seed, 9))
	all := shapes()
	tr := trial{seed: seed, codec: all[rng.IntN(len(all))], setting: usual[rng.IntN(len(usual))]}
	if rng.IntN(5) == 0 {
		tr.setting = other[rng.IntN(len(other))]
	}
	tr.onRequest = hasAsk(tr.codec) && rng.IntN(2) == 0
	tr.load = []string{"nothing", "cup", "full cup", "negative", "pour", "step"}[rng.IntN(6)]
	tr.skew = rng.IntN(20_001) - 10_000
	tr.eager = rng.IntN(4) == 0
	if rng.IntN(3) == 0 {
		tr.pulses = rng.Float64()
	}
	presets := []simulator.Preset{simulator.CheapBench(), simulator.DecentBench(), simulator.FineBench()}
	tr.options = simulator.Options{Seed: seed, Codec: tr.codec, OnRequest: tr.onRequest, Preset: presets[rng.IntN(3)],
		FrameEvery: time.Second / time.Duration(2+rng.IntN(19)) / (10 * time.Millisecond) * (10 * time.Millisecond)}
	if rng.IntN(10) == 0 {
		tr.options.Unit = []scale.Unit{scale.UnitKilogram, scale.UnitOunce, scale.UnitPound}[rng.IntN(3)]
	}
	tr.options.Faults = faults(rng)
	return tr
}

// warm is how long the scale has stood before the line is listened to.
const warm = 3 * time.Second

func faults(rng *rand.Rand) []simulator.Scheduled {
	var out []simulator.Scheduled
	add := func(f simulator.Fault, at, length float64) {
		out = append(out, simulator.Scheduled{Fault: f, At: warm + time.Duration(at*float64(time.Second)), For: time.Duration(length * float64(time.Second))})
	}
	if rng.IntN(3) == 0 {
		add(simulator.FaultGarbage, 0, 0.3+rng.Float64())
	}
	if rng.IntN(3) == 0 {
		add(simulator.FaultPartial, 0, 0.3+rng.Float64()/2)
	}
	if rng.IntN(4) == 0 {
		add(simulator.FaultSilent, 4*rng.Float64(), 0.3+1.5*rng.Float64())
	}
	if rng.IntN(6) == 0 {
		add(simulator.FaultDraught, 0, 10)
	}
	return out
}

// stage puts the load on. It gives what has to happen while Find runs.
func (tr trial) stage(b *simulator.Bench) {
	cup := 60.0
	if tr.load != "nothing" {
		b.PlaceCup(cup)
	}
	b.Tick(warm - time.Second)
	switch tr.load {
	case "full cup":
		b.Add(0, 300)
	case "negative":
		b.PressTare()
		b.LiftCup()
	}
	b.Tick(time.Second)
	switch tr.load {
	case "pour":
		b.Pour(0, 500, 30)
	case "step":
		b.Pour(0, 120, 200)
	}
	b.Drain(nil)
}

// outcome of a trial.
type outcome struct {
	trial  trial
	report find.Report
	judged judged
	talks  bool
	wire   *lineWire
}

func (tr trial) run(t *testing.T) outcome {
	b := simulator.New(tr.options)
	tr.stage(b)
	far := uart(tr.setting)
	far.SkewPPM = tr.skew
	link := simulator.NewUARTLink(b, simulator.UARTOptions{Far: far, Eager: tr.eager, Seed: tr.seed, PulsesPerS: tr.pulses})
	w := &lineWire{link: link}
	r, err := find.Find(w, find.Options{})
	require.NoError(t, err)
	shown := b.Reading()
	return outcome{trial: tr, report: r, wire: w, talks: len(tr.codec.Encode(nil, shown)) > 0,
		judged: judge(r, tr.codec, far, tr.eager, tr.onRequest, shown, link.Sent())}
}

// trials is how many seeds are played: usually the given number, a part of it
// where the race detector makes everything slow, or as many as the environment
// says.
func trials(t *testing.T, usually int) int {
	if s := os.Getenv("GRAMCUP_FIND_TRIALS"); s != "" {
		n, err := strconv.Atoi(s)
		require.NoError(t, err)
		return n
	}
	if raceDetector {
		return usually * 6 / 100
	}
	return usually
}

// TestTrials: no answer is wrong, and at most one in a hundred is "not sure"
// where a scale really talks, and that one says what would settle it.
func TestTrials(t *testing.T) {
	n := trials(t, 10_000)
	table, written := tally{}, map[string]bool{}
	talking, unsure, misasked := 0, 0, 0
	for seed := range uint64(n) {
		o := draw(seed).run(t)
		for _, p := range o.wire.written {
			written[p] = true
		}
		assert.LessOrEqual(t, o.wire.link.Now(), find.DefaultMost)
		if !o.talks {
			continue // a number that does not fit its lines: it says nothing
		}
		talking++
		table.add(o)
		switch {
		case o.judged.wrong:
			t.Errorf("%s\n  answer %s at %s: %s", o.trial, o.report.Line, o.report.Setting, o.judged.how)
		case !o.judged.found:
			unsure++
			assert.NotEmpty(t, o.report.Settles, "%s", o.trial)
			assert.NotEmpty(t, o.report.Why, "%s", o.trial)
			if testing.Verbose() {
				fmt.Printf("not sure: %s\n  %s %s %s %v %v\n", o.trial, o.report.Trouble, o.report.Line, o.report.Setting, o.report.Why, o.report.Sample)
			}
		case o.report.Asked != o.trial.onRequest:
			misasked++
			if testing.Verbose() {
				fmt.Printf("asked %v: %s\n", o.report.Asked, o.trial)
			}
		}
	}
	assert.LessOrEqual(t, unsure*100, talking, "%d of %d are not sure", unsure, talking)
	assert.LessOrEqual(t, misasked*100, talking, "%d of %d: whether it had to be asked", misasked, talking)
	for p := range written {
		assert.Contains(t, allowedAsks, p, "%q was written", p)
	}
	t.Logf("%d seeds, %d talk, %d not sure, %d asked wrongly\n%s", n, talking, unsure, misasked, table)
}

// allowedAsks is everything that may ever be written to an unknown device. None
// of it sets a zero, a tare, a unit or a calibration: line ends; the weight of
// SMA SCP-0499 4.1 and of the public simulator for W CR; ENQ and DC1 of the
// public protocol page; SI of laboratory balances' manuals; ESC P, Q and IP,
// which print.
var allowedAsks = []string{"\r", "\r\n", "W\r", "\nW\r", "\x05", "\x11", "SI\r\n", "\x1bP\r\n", "Q\r\n", "IP\r\n"}

// tally counts by shape and setting.
type tally map[string]*cell

type cell struct {
	found, unsure, wrong int
	spent                []time.Duration
}

func (t tally) add(o outcome) {
	for _, key := range []string{o.trial.codec.Name() + " | " + o.trial.setting.String(), "all | " + o.trial.setting.String(), o.trial.codec.Name() + " | all"} {
		c := t[key]
		if c == nil {
			c = &cell{}
			t[key] = c
		}
		switch {
		case o.judged.wrong:
			c.wrong++
		case o.judged.found:
			c.found++
		default:
			c.unsure++
		}
		c.spent = append(c.spent, o.report.Spent)
	}
}

func (t tally) String() string {
	var keys []string
	for k := range t {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	var b strings.Builder
	fmt.Fprintf(&b, "| %-21s | %-10s | found | not sure | wrong | median |\n|---|---|---|---|---|---|\n", "shape", "setting")
	for _, k := range keys {
		shape, setting, _ := strings.Cut(k, " | ")
		c := t[k]
		sort.Slice(c.spent, func(i, j int) bool { return c.spent[i] < c.spent[j] })
		fmt.Fprintf(&b, "| %-21s | %-10s | %5d | %8d | %5d | %4.1f s |\n", shape, setting, c.found, c.unsure, c.wrong, c.spent[len(c.spent)/2].Seconds())
	}
	return b.String()
}
