package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gramcup/scale"
	"gramcup/simulator"
)

func TestVersionFlag(t *testing.T) {
	status, flag, _ := gramcup(t, "", "--version")
	require.Zero(t, status)
	_, command, _ := gramcup(t, "", "version")
	require.Equal(t, command, flag)
}

// What can not be done, or would be left out without a word, is refused in one
// sentence that says what would be right.
func TestNothingIsLeftOutInSilence(t *testing.T) {
	number := filepath.Join(t.TempDir(), "number.toml")
	require.NoError(t, os.WriteFile(number, []byte("[serve]\nscale = 5\n"), 0o600))
	text := filepath.Join(t.TempDir(), "text.toml")
	require.NoError(t, os.WriteFile(text, []byte("[serve]\nwait = \"yes\"\n"), 0o600))
	for _, c := range []struct {
		args   string
		status int
		says   string
	}{
		{"demo --json", 2, "add --once"},
		{"demo --recipe slate-surfacer", 2, "add --once"},
		{"demo --volume-ml 200", 2, "add --once"},
		{"demo --once --volume-ml 0", 1, "0 ml is not an amount"},
		{"demo --once --volume-ml 4000 --recipe ballast-filler", 1, "a simulated tin holds 4000 g"},
		{"demo --once --volume-ml 6200 --recipe lantern-clear", 1, "the simulated scale carries 6000 g"},
		{"plan --ratio 1e308:1 --density 1,1 --mass-g 5", 1, "at most 1000000"},
		{"plan --ratio 3:1 --density 1,1 --extra-of parts --mass-g 5", 1, "--extra-percent"},
		{"serve --config " + number, 2, `"serve.scale"`},
		{"serve --config " + text, 2, "true and false do not"},
	} {
		status, out, errs := gramcup(t, "", line(c.args)...)
		require.Equal(t, c.status, status, "%s: %s", c.args, errs)
		require.Empty(t, out, c.args)
		require.Contains(t, errs, c.says, c.args)
		require.Equal(t, 1, strings.Count(errs, "\n"), "one sentence on one line: %s", errs)
	}
}

func TestLevelWithNothingPast(t *testing.T) {
	_, out, _ := gramcup(t, "", line("level --ratio 3:1 --density 1.05,1.05 --target-ml 203.8 --poured-g 160.5")...)
	require.Contains(t, out, "as much as planned")
	require.NotContains(t, out, "more than")
}

// A log and a page have one line for a reason.
func TestAnUnpluggedDemoIsToldOnOneLine(t *testing.T) {
	sim := simulator.New(simulator.Options{Codec: scale.SMA{}})
	unplug, err := simulator.ParseFault("unplugged")
	require.NoError(t, err)
	sim.Inject(unplug, 0)
	_, err = dialer(sim)(t.Context())
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.ErrorIs(t, err, simulator.ErrUnplugged)
	require.NotContains(t, err.Error(), "\n")
}

// A capture knows the shape of its lines; what is typed goes before it.
func TestDecodeTakesTheShapeFromTheCapture(t *testing.T) {
	const still = "../../testdata/captures/sma/still.cap"
	_, typed, _ := gramcup(t, "", "decode", "--line", "sma", still)
	status, out, errs := gramcup(t, "", "decode", still)
	require.Zero(t, status, errs)
	require.Equal(t, typed, out)
	_, out, _ = gramcup(t, "", "decode", "--line", "csv", still)
	require.Contains(t, out, "fault")
	status, _, errs = gramcup(t, "ST,GS,+  412.6 g\r\n", "decode", "-")
	require.Equal(t, 1, status)
	require.Contains(t, errs, "which shape")
}

// Words stand flush left, numbers flush right, and no line trails blanks.
func TestTablesAreAligned(t *testing.T) {
	_, out, _ := gramcup(t, "", line("plan --ratio 4:1:1 --density 1.42,1.06,0.87 --volume-ml 600")...)
	require.Contains(t, out, "   component    grams      ml   of the weight   density\n"+
		"   A base       568.0   400.0         74.64 %      1.42\n"+
		"   B hardener   106.0   100.0         13.93 %      1.06\n")
	_, out, _ = gramcup(t, "", line("demo --once --seed 1")...)
	rows := strings.Split(out, "\n")
	require.Len(t, rows, 12, "the table, and below it where each density is from: %s", out)
	for _, row := range rows {
		require.Equal(t, strings.TrimRight(row, " "), row)
	}
	for _, row := range rows[3:6] {
		require.Equal(t, strings.Index(rows[2], "stands"), strings.Index(row, "on the line"), out)
		require.Regexp(t, `^   \S`, row)
	}
}
