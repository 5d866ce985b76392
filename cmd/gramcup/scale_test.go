package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// onLine is a simulated scale on a real pseudo-terminal for the length of a
// test.
func onLine(t *testing.T) (link string) {
	t.Helper()
	link = filepath.Join(t.TempDir(), "scale")
	sim := simulated(21)
	ctx, cancel := context.WithCancel(context.Background())
	var parts sync.WaitGroup
	parts.Go(func() { sim.Run(ctx) })
	pull := plugged(t, sim, link)
	t.Cleanup(func() { pull(); cancel(); parts.Wait() })
	return link
}

func TestScaleListenShowsBytesBesideTheirMeaning(t *testing.T) {
	t.Parallel()
	status, out, errs := gramcupUntil(t, []string{`\nZ1G         0.0g  \r`, "sma: 0.0 g gross still zero"}, "scale", "listen", onLine(t))
	require.Zero(t, status, errs)
	require.NotContains(t, out, "csv:", "no other shape reads it")
}

func TestScaleRecordAndReplay(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "empty.cap")
	ctx, cancel := context.WithCancel(t.Context())
	var recorded, failed bytes.Buffer
	ended := make(chan int, 1)
	link := onLine(t)
	go func() {
		ended <- run(ctx, []string{"scale", "record", link, file, "--line", "sma", "--what", "an empty pan"}, strings.NewReader(""), &recorded, &failed)
	}()
	full := assert.Eventually(t, func() bool { return bytes.Count(captured(t, file).Bytes(), []byte("0.0g")) >= 5 }, patience, 10*time.Millisecond)
	cancel()
	require.Zero(t, <-ended, failed.String())
	require.True(t, full)
	require.Contains(t, recorded.String(), "bytes in "+file)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	capture, err := scale.ReadCapture(strings.NewReader(string(text)))
	require.NoError(t, err)
	require.Equal(t, "an empty pan", capture.Field("what"))
	require.NotEmpty(t, capture.Chunks)
	status, out, errs := gramcup(t, "", "scale", "replay", file, "--speed", "0")
	require.Zero(t, status, errs)
	require.Contains(t, out, "# what: an empty pan")
	require.Contains(t, out, "sma: 0.0 g gross still zero")
	require.Equal(t, len(capture.Chunks), strings.Count(out, " ms "), "a line for each chunk")

	status, _, errs = gramcup(t, "", "scale", "record", "/dev/ttyNOWHERE", file)
	require.NotZero(t, status)
	require.Contains(t, errs, "never overwrites")
}

// A try that recorded nothing leaves nothing that would be in the way of the next.
func TestScaleRecordLeavesNoEmptyFile(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "a.cap")
	status, out, errs := gramcup(t, "", "scale", "record", "/dev/ttyNOWHERE", file)
	require.NotZero(t, status)
	require.Empty(t, out)
	require.Contains(t, errs, "gramcup scale record: no such port")
	require.NoFileExists(t, file)
}

// A capture that names no built-in shape is told what to do with.
func TestACaptureWithoutAShape(t *testing.T) {
	folder := t.TempDir()
	for shape, says := range map[string]string{
		"unknown": "add --line sma or --line csv",
		"own":     "gramcup scale try CONFIG replay:",
	} {
		file := filepath.Join(folder, shape+".cap")
		var text strings.Builder
		w, err := scale.NewCaptureWriter(&text, "shape: "+shape)
		require.NoError(t, err)
		require.NoError(t, w.Chunk(0, []byte("ST,GS,+  412.6 g\r\n")))
		require.NoError(t, os.WriteFile(file, []byte(text.String()), 0o600))
		status, _, errs := gramcup(t, "", "decode", file)
		require.NotZero(t, status)
		require.Contains(t, errs, says)
		status, out, errs := gramcup(t, "", "scale", "replay", file, "--speed", "0")
		require.Zero(t, status, errs)
		require.Contains(t, out, "csv: 412.6 g gross still", "every known shape is tried")
	}
}

func TestScaleRefusals(t *testing.T) {
	empty := filepath.Join(t.TempDir(), "empty.cap")
	require.NoError(t, os.WriteFile(empty, nil, 0o600))
	for _, c := range []struct{ args, says string }{
		{"scale replay " + empty, "holds nothing that came from a scale"},
		{"scale listen /dev/ttyNOWHERE", "/dev/ttyNOWHERE"},
		{"scale listen /dev/ttyS0 --line morse", "morse"},
		{"scale listen /dev/ttyS0 --for ever", "30s"},
		{"scale replay /nowhere.cap", "/nowhere.cap"},
		{"scale replay /dev/null --speed -1", "--speed"},
	} {
		status, _, errs := gramcup(t, "", line(c.args)...)
		require.NotZero(t, status, c.args)
		require.Contains(t, errs, c.says)
	}
	status, out, _ := gramcup(t, "", "scale", "list")
	require.Zero(t, status)
	require.NotEmpty(t, out)
}

func TestScaleTryReadsADescribedLine(t *testing.T) {
	t.Parallel()
	config := filepath.Join(t.TempDir(), "config.toml")
	require.NoError(t, os.WriteFile(config, []byte(`[own_line]
pattern = '(?P<status>[ ZOU])1(?P<mode>[GN])(?P<stable>[ M]) +(?P<sign>-?)(?P<value>[0-9.]+)(?P<unit>[a-z ]{3})'
end = "\r\n"
still = [""]
moving = ["M"]
gross = ["G"]
net = ["N"]
`), 0o600))
	status, _, errs := gramcupUntil(t, []string{"own: 0.0 g gross still"}, "scale", "try", config, onLine(t))
	require.Zero(t, status, errs)
	require.NoError(t, os.WriteFile(config, []byte("[own_line]\npattern = 'x'\n"), 0o600))
	status, _, errs = gramcup(t, "", "scale", "try", config, "/dev/null")
	require.NotZero(t, status)
	require.Contains(t, errs, "(?P<value>")
	require.NoError(t, os.WriteFile(config, []byte("[own_line]\npatern = 'x'\n"), 0o600))
	_, _, errs = gramcup(t, "", "scale", "try", config, "/dev/null")
	require.Contains(t, errs, "own_line.patern")
}

// What a pattern does to a line is said for each piece, and so is an end at which
// no line ends.
func TestScaleTrySaysWhyNot(t *testing.T) {
	folder := t.TempDir()
	capture := filepath.Join(folder, "a.cap")
	var text strings.Builder
	w, err := scale.NewCaptureWriter(&text, "shape: own")
	require.NoError(t, err)
	for i := range 3 {
		require.NoError(t, w.Chunk(time.Duration(i)*time.Millisecond, []byte("+  412.6 g\r\n")))
	}
	require.NoError(t, os.WriteFile(capture, []byte(text.String()), 0o600))
	for content, says := range map[string]string{
		"[own_line]\nunit = 'g'\npattern = '.*(?P<value>[0-9.]+) g'\n":               `refused: the number goes on in front of the part value, which took only "6"`,
		"[own_line]\nunit = 'g'\npattern = '[+] *(?P<value>[0-9.]+) g'\n":            "a line ends at \\r or \\n",
		"[own_line]\nunit = 'g'\nend = ';'\npattern = '[+] *(?P<value>[0-9.]+) g'\n": "36 bytes came and no line ended",
	} {
		config := filepath.Join(folder, "config.toml")
		require.NoError(t, os.WriteFile(config, []byte(content), 0o600))
		status, out, errs := gramcup(t, "", "scale", "try", config, "replay:"+capture, "--for", "10m") // it ends with the recording
		require.Zero(t, status, errs)
		require.Contains(t, out, says, content)
	}
	for content, says := range map[string]string{
		"own_line = 5\n":             `line 1 (last key "own_line"): this is a table: write its name in brackets`,
		"[[own_line]]\nunit = 'g'\n": "this is a table",
		"[own_line]\nunit = 'g'\nend = '\\r\\n'\npattern = '(?P<value>[0-9.]+)'\n": `in single quotes \r is two characters`,
	} {
		config := filepath.Join(folder, "config.toml")
		require.NoError(t, os.WriteFile(config, []byte(content), 0o600))
		status, _, errs := gramcup(t, "", "scale", "try", config, "replay:"+capture)
		require.NotZero(t, status)
		require.Contains(t, errs, says, content)
		require.NotContains(t, errs, "scale.OwnLine", "no word of the code")
	}
}
