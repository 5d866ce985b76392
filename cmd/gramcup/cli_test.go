package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// gramcup runs a command line in this process.
func gramcup(t *testing.T, stdin string, args ...string) (status int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	status = run(context.Background(), args, strings.NewReader(stdin), &o, &e)
	return status, o.String(), e.String()
}

// gramcupUntil runs a command that goes on by itself, and ends it as Ctrl-C does
// once it has said all this, or nothing has come of it for long.
func gramcupUntil(t *testing.T, says []string, args ...string) (status int, out, errs string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	o, e := &listener{says: says, heard: cancel}, &bytes.Buffer{}
	status = run(ctx, args, strings.NewReader(""), o, e)
	for _, s := range says {
		require.Contains(t, o.String(), s, e.String())
	}
	return status, o.String(), e.String()
}

// listener calls heard when everything was said that it listens for.
type listener struct {
	bytes.Buffer // written by one goroutine, and read after the command has ended
	says         []string
	heard        func()
}

func (l *listener) Write(p []byte) (int, error) {
	n, err := l.Buffer.Write(p)
	missing := func(s string) bool { return !strings.Contains(l.String(), s) }
	if !slices.ContainsFunc(l.says, missing) {
		l.heard()
	}
	return n, err
}

func line(s string) []string { return strings.Fields(s) }

// T1 to T4 of the table of worked cases: computed from the definition that a
// mass is a volume times a density; ideal volumes as ASTM D5201 assumes.
func TestPlanJSON(t *testing.T) {
	for _, c := range []struct {
		name, args string
		grams      []float64
		totalG     float64
		totalML    float64
	}{
		{"T1", "--ratio 4:1:1 --density 1.42,1.06,0.87 --volume-ml 600", []float64{568, 106, 87}, 761, 600},
		{"T2, 10 % of A+B", "--ratio 2:1 --density 0.98,1.05,0.87 --extra-percent 10 --extra-of parts --volume-ml 660", []float64{392, 210, 52.2}, 654.2, 660},
		{"T3", "--ratio 100:30 --density 1.35,1.10 --mass-g 500", []float64{401.785714, 98.214286}, 500, 386.904762},
		{"T4, as poured", "--ratio 4:1:1 --density 1.42,1.06,0.87 --first-g 590", []float64{590, 110.105634, 90.369718}, 790.475352, 623.239437},
		{"by weight", "--ratio 100:30 --density 1.35,1.10 --basis weight --mass-g 500", []float64{384.615385, 115.384615}, 500, 389.7955},
	} {
		status, out, errs := gramcup(t, "", append([]string{"plan", "--json"}, line(c.args)...)...)
		require.Zero(t, status, "%s: %s", c.name, errs)
		var p planJSON
		require.NoError(t, json.Unmarshal([]byte(out), &p))
		require.Len(t, p.Components, len(c.grams))
		fraction := 0.0
		for i, g := range c.grams {
			require.InEpsilon(t, g, p.Components[i].TargetG, 1e-6, c.name)
			fraction += p.Components[i].MassFraction
		}
		require.InDelta(t, 1, fraction, 1e-12, c.name)
		require.InEpsilon(t, c.totalG, p.TotalG, 1e-6, c.name)
		require.InEpsilon(t, c.totalML, p.TotalML, 1e-5, c.name)
		require.InEpsilon(t, p.TotalG/p.TotalML, p.DensityGML, 1e-12, c.name)
	}
}

func TestLevelJSON(t *testing.T) {
	// T4 by another way: 590 g of A where 568 g were wanted.
	status, out, errs := gramcup(t, "", line("level --json --ratio 4:1:1 --density 1.42,1.06,0.87 --target-ml 600 --poured-g 590")...)
	require.Zero(t, status, errs)
	var l levelJSON
	require.NoError(t, json.Unmarshal([]byte(out), &l))
	require.InDelta(t, 0, l.Components[0].AddG, 1e-9)
	require.InDelta(t, 110.106, l.Components[1].AddG, 1e-3)
	require.InDelta(t, 90.370, l.Components[2].AddG, 1e-3)
	require.InDelta(t, 790.475, l.TotalG, 1e-3)
	require.InDelta(t, 200.475, l.AddTotalG, 1e-3)
}

func TestTablesForPeople(t *testing.T) {
	_, out, _ := gramcup(t, "", line("plan --ratio 4:1:1 --density 1.42,1.06,0.87 --volume-ml 600")...)
	require.Contains(t, out, "568.0")
	require.Contains(t, out, "4 : 1 : 1 by volume")
	_, out, _ = gramcup(t, "", line("level --ratio 3:1 --density 1.05,1.05 --target-ml 203.8 --poured-g 160.5,58")...)
	require.Contains(t, out, "13.5")
	_, out, _ = gramcup(t, "", "version")
	require.Contains(t, out, "gramcup ")
}

// Bad input gets one sentence that says what, where and what would be right,
// and a status that is not zero.
func TestRefusals(t *testing.T) {
	file := filepath.Join(t.TempDir(), "config.toml")
	require.NoError(t, os.WriteFile(file, []byte("[serve]\nscale = \"/dev/ttyUSB0\"\nlisten_on = \"everywhere\"\n"), 0o600))
	broken := filepath.Join(t.TempDir(), "broken.toml")
	require.NoError(t, os.WriteFile(broken, []byte("[serve]\nscale = \n"), 0o600))
	for _, c := range []struct {
		args string
		says []string
	}{
		{"plan --ratio 4:1:1 --density 1.42,1.06,0 --volume-ml 600", []string{"component 3", "density", "nothing is assumed"}},
		{"plan --ratio 4:1:1 --density 1.42,1.06,12.5 --volume-ml 600", []string{"component 3", "12.5 g/mL can not be right", "between 0.6 and 3"}},
		{"plan --ratio 4:-1:1 --density 1.42,1.06,0.87 --volume-ml 600", []string{"part 2 is -1", "above 0"}},
		{"plan --ratio 4:x --density 1.42,1.06 --volume-ml 600", []string{`part 2 is "x"`, "4:1:1"}},
		{"plan --ratio 4:1:1 --density 1.42,1.06 --volume-ml 600", []string{"has 2", "3 components", "one density for each"}},
		{"plan --ratio 4:1 --density 1.42,14oz --volume-ml 600", []string{"oz", "mass or a fluid ounce"}},
		{"plan --ratio 4:1 --density 1.42,1.06stone --volume-ml 600", []string{"stone", "g/mL"}},
		{"plan --ratio 4:1 --density 1.42,1.06", []string{"exactly one of"}},
		{"plan --ratio 4:1 --density 1.42,1.06 --volume-ml 600 --mass-g 3", []string{"exactly one of"}},
		{"plan --ratio 4:1 --density 1.42,1.06 --volume-ml 0", []string{"0 ml is not an amount"}},
		{"plan --ratio 4:1 --density 1.42,1.06 --volume-ml NaN", []string{"NaN ml is not an amount"}},
		{"plan --ratio 2:1 --density 1,1,1 --extra-percent 10 --volume-ml 600", []string{"10 of what", "--extra-of"}},
		{"level --ratio 4:1 --density 1.42,1.06 --target-ml 100 --poured-g 1,2,3", []string{"3 poured amounts for 2 components"}},
		{"level --ratio 4:1 --density 1.42,1.06 --target-ml 100 --poured-g 1,-2", []string{"-2 g", "0 or more"}},
		{"decode --line sma /nowhere/at/all", []string{"/nowhere/at/all"}},
		{"decode --line morse -", []string{"sma", "csv"}},
		{"serve", []string{"which scale", "gramcup demo"}},
		{"serve --scale /dev/ttyNOWHERE", []string{"/dev/ttyNOWHERE", "--wait"}},
		{"serve --scale serial:/dev/ttyUSB0?boud=9600", []string{`"boud"`, "known are"}},
		{"serve --scale carrier-pigeon:1", []string{"scheme"}},
		{"serve --scale replay:/nowhere.cap --data " + t.TempDir(), []string{"/nowhere.cap"}},
		{"serve --scale replay:/nowhere.cap --listen 0.0.0.0:80", []string{"0.0.0.0:80", "paired yet"}},
		{"plan --ratio 4:1 --density 1420,1.06 --volume-ml 600", []string{"component 1", "1420 g/L"}},
		{"serve --scale /dev/ttyUSB0 --division 3stone", []string{"3stone", "0.1g"}},
		{"serve --config " + file, []string{"serve.listen_on", "scale, line, ask"}},
		{"serve --config " + broken, []string{"line 2"}},
		{"serve --config /nowhere.toml", []string{"/nowhere.toml", "does not exist"}},
		{"demo --once --recipe soup", []string{`"soup"`, "there are:"}},
		{"demo --once --line morse", []string{"morse"}},
		{"demo --listen 192.168.7.7:80", []string{"192.168.7.7", "paired yet"}},
		{"brew", []string{"brew"}},
	} {
		t.Run(c.args, func(t *testing.T) {
			status, out, errs := gramcup(t, "", line(c.args)...)
			require.NotZero(t, status)
			require.Empty(t, out)
			for _, s := range c.says {
				require.Contains(t, errs, s)
			}
			require.Equal(t, 1, strings.Count(errs, "\n"), "one sentence on one line: %s", errs)
			require.NotContains(t, errs, "goroutine")
		})
	}
}

func TestHelpTeaches(t *testing.T) {
	for _, command := range []string{"serve", "demo", "plan", "level", "decode", "sim", "version"} {
		status, out, _ := gramcup(t, "", command, "--help")
		require.Zero(t, status, command)
		require.Contains(t, out, "Usage: gramcup "+command)
	}
	status, out, _ := gramcup(t, "", "--help")
	require.Zero(t, status)
	require.Contains(t, out, "gramcup demo")
}

// The same seed gives the same batch to the last digit; another gives another.
func TestOnceRepeats(t *testing.T) {
	pour := func(seed string) onceJSON {
		status, out, errs := gramcup(t, "", "demo", "--once", "--json", "--seed", seed)
		require.Zero(t, status, errs)
		var j onceJSON
		require.NoError(t, json.Unmarshal([]byte(out), &j))
		require.Equal(t, "complete", j.State)
		require.True(t, j.OnTheLine)
		require.Len(t, j.Components, 3)
		for _, c := range j.Components {
			require.InDelta(t, c.PouredG-c.TargetG, c.ErrorG, 1e-9)
			require.Positive(t, c.VolumeML)
		}
		return j
	}
	require.Equal(t, pour("7"), pour("7"))
	require.NotEqual(t, pour("7").Components, pour("8").Components)
}

// Every recipe of the sample shelf can be poured by every hand.
func TestOncePoursTheWholeShelf(t *testing.T) {
	_, _, errs := gramcup(t, "", "demo", "--once", "--recipe", "none")
	_, list, ok := strings.Cut(errs, "there are:")
	require.True(t, ok)
	ids := strings.Fields(list)
	require.GreaterOrEqual(t, len(ids), 6)
	for _, id := range ids {
		for _, hand := range []string{"apprentice", "practised", "steady"} {
			for _, shape := range []string{"sma", "csv"} {
				status, _, errs := gramcup(t, "", "demo", "--once", "--recipe", id, "--painter", hand, "--line", shape, "--seed", "11")
				require.Zero(t, status, "%s by a %s hand over %s: %s", id, hand, shape, errs)
			}
		}
	}
}

func TestConfigOrder(t *testing.T) {
	// Flag before environment, environment before file, file before default.
	file := filepath.Join(t.TempDir(), "config.toml")
	require.NoError(t, os.WriteFile(file, []byte("[serve]\nscale = \"/dev/ttyFILE\"\nline = \"csv\"\n"), 0o600))
	_, _, errs := gramcup(t, "", "serve", "--config", file)
	require.Contains(t, errs, "/dev/ttyFILE")
	t.Setenv("GRAMCUP_SCALE", "/dev/ttyENV")
	_, _, errs = gramcup(t, "", "serve", "--config", file)
	require.Contains(t, errs, "/dev/ttyENV")
	_, _, errs = gramcup(t, "", "serve", "--config", file, "--scale", "/dev/ttyFLAG")
	require.Contains(t, errs, "/dev/ttyFLAG")
}

func TestDecode(t *testing.T) {
	// Frames by the column table of SMA SCP-0499; the lines of status, mode,
	// value and unit as described for that shape.
	for _, c := range []struct{ name, shape, in, want string }{
		{"still gross", "sma", "\n 1G       412.6g  \r", `{"value":"412.6","unit":"g","grams":"412.6","mode":"gross","stable":true,"status":"ok"}`},
		{"moving net", "sma", "\n 1NM       -3.2g  \r", `{"value":"-3.2","unit":"g","grams":"-3.2","mode":"net","stable":false,"status":"ok"}`},
		{"centre of zero", "sma", "\nZ1G         0.0g  \r", `{"value":"0.0","unit":"g","grams":"0.0","mode":"gross","stable":true,"status":"zero"}`},
		{"stored tare", "sma", "\n 1T       185.0g  \r", `{"value":"185.0","unit":"g","grams":"185.0","mode":"tare","stable":true,"status":"ok"}`},
		{"high resolution", "sma", "\n 1g     1.25044kg \r", `{"value":"1.25044","unit":"kg","grams":"1250.44","mode":"gross","stable":true,"status":"ok","high_resolution":true}`},
		{"underscores", "sma", "\n_1G_______412.6g__\r", `{"value":"412.6","unit":"g","grams":"412.6","mode":"gross","stable":true,"status":"ok"}`},
		{"over", "sma", "\nO1GM     6200.5g  \r", `{"value":"6200.5","unit":"g","grams":null,"mode":"gross","stable":false,"status":"over"}`},
		{"tare refused", "sma", "\nT1GM ----------g  \r", `{"value":null,"unit":"g","grams":null,"mode":"gross","stable":false,"status":"tare-error"}`},
		{"an ounce", "sma", "\n 1G         1.0oz \r", `{"value":"1.0","unit":"oz","grams":"28.3495231250","mode":"gross","stable":true,"status":"ok"}`},
		{"unknown command", "sma", "\n?\r", `{"value":null,"unit":null,"grams":null,"mode":null,"stable":null,"status":"unknown-command"}`},
		{"comma line", "csv", "ST,GS,+  412.6 g\r\n", `{"value":"412.6","unit":"g","grams":"412.6","mode":"gross","stable":true,"status":"ok"}`},
		{"sign far away", "csv", "US,NT,-   3.25 g\r\n", `{"value":"-3.25","unit":"g","grams":"-3.25","mode":"net","stable":false,"status":"ok"}`},
		{"kilograms", "csv", "ST,GS,+ 1.2500kg\r\n", `{"value":"1.2500","unit":"kg","grams":"1250.0","mode":"gross","stable":true,"status":"ok"}`},
		{"comma before the unit", "csv", "ST,NT,-   3.25, g\r\n", `{"value":"-3.25","unit":"g","grams":"-3.25","mode":"net","stable":true,"status":"ok"}`},
		{"none before the sign", "csv", "ST,GS+  412.6, g\r\n", `{"value":"412.6","unit":"g","grams":"412.6","mode":"gross","stable":true,"status":"ok"}`},
		{"no sign", "csv", "ST,GS    412.6 g  \r\n", `{"value":"412.6","unit":"g","grams":"412.6","mode":"gross","stable":true,"status":"ok"}`},
		{"overload", "csv", "OL,GS,+ 9999.9 g\r\n", `{"value":null,"unit":"g","grams":null,"mode":"gross","stable":null,"status":"over"}`},
	} {
		status, out, errs := gramcup(t, c.in, "decode", "--line", c.shape, "-")
		require.Zero(t, status, errs)
		require.Equal(t, c.want+"\n", out, c.name)
	}
}

func TestDecodeGivesJunkAReasonAndNoNumber(t *testing.T) {
	in := "12.6g  \r\n 1G       412.6g  \r\x00\x01noise\r\n 1G      8:08.5l/o\r\n 1G       41"
	status, out, errs := gramcup(t, in, "decode", "--line", "sma", "-")
	require.Zero(t, status, errs)
	lines := strings.Split(strings.TrimSpace(out), "\n")
	require.Len(t, lines, 5, out)
	for i, l := range lines {
		var o map[string]any
		require.NoError(t, json.Unmarshal([]byte(l), &o), l)
		if i == 1 {
			require.Equal(t, "412.6", o["grams"])
			continue
		}
		require.NotEmpty(t, o["fault"], l)
		require.NotContains(t, o, "grams")
		require.NotContains(t, o, "value")
	}
}

// What serve --record writes can be decoded as it is.
func TestDecodeReadsACapture(t *testing.T) {
	status, out, errs := gramcup(t, "", "decode", "--line", "sma", "../../testdata/captures/sma/still.cap")
	require.Zero(t, status, errs)
	require.Contains(t, out, `{"value":"0.0","unit":"g","grams":"0.0","mode":"gross","stable":true,"status":"zero"}`)
	require.NotContains(t, out, "fault")
}
