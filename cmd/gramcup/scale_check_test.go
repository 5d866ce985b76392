package main

import (
	"context"
	"encoding/json"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/scale/checkup"
	"gramcup/simulator"
)

// scaleOnTCP is a simulated scale behind a socket, as a serial server has it,
// with a hand that puts a weight of so many grams on and takes it off, again and
// again; a check that misses one waits for the next.
func scaleOnTCP(t *testing.T, weightG float64) (address string) {
	t.Helper()
	sim := simulator.New(simulator.Options{Seed: 31, Codec: scale.SMA{}})
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{}, 3)
	go func() { defer func() { done <- struct{}{} }(); sim.Run(ctx) }()
	go func() {
		defer func() { done <- struct{}{} }()
		for {
			conn, err := listener.Accept()
			if err != nil {
				return
			}
			wire, err := sim.Dial()
			if err != nil {
				_ = conn.Close()
				continue
			}
			stop := context.AfterFunc(ctx, func() { _ = conn.Close(); _ = wire.Close() })
			go func() { _, _ = io.Copy(wire, conn); _ = wire.Close() }()
			_, _ = io.Copy(conn, wire)
			stop()
			_ = conn.Close()
			_ = wire.Close()
		}
	}()
	go func() { // on for three and a half seconds, off for as long: each is taken after one and a half
		defer func() { done <- struct{}{} }()
		for on := false; ; on = !on {
			if on {
				sim.PlaceCup(weightG)
			} else {
				sim.LiftCup()
			}
			select {
			case <-ctx.Done():
				return
			case <-time.After(3500 * time.Millisecond):
			}
		}
	}()
	t.Cleanup(func() {
		cancel()
		_ = listener.Close()
		for range 3 {
			<-done
		}
	})
	return "tcp://" + listener.Addr().String()
}

func TestScaleCheckInTheTerminal(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		weightG float64
		status  int
		verdict string
	}{
		{"passes", 1000, 0, "Passed"},
		{"fails", 1002, 1, "Not passed: It shows 1002"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			folder := t.TempDir()
			status, out, errs := gramcup(t, "", "scale", "check", "--scale", scaleOnTCP(t, c.weightG), "--weight", "1kg", "--class", "F2",
				"--weight-id", "K-7", "--capacity", "6kg", "--data", folder)
			require.Equal(t, c.status, status, "%s\n%s", out, errs)
			for _, says := range []string{"> Put the 1 kg weight in the middle of the pan, time 1 of 3.", "> Lift the weight off", c.verdict, "Class II is a guess", checkup.Disclaimer, "Kept in the book as check 1"} {
				assert.Contains(t, out, says)
			}
			status, out, errs = gramcup(t, "", "scale", "checks", "--data", folder)
			require.Zero(t, status, errs)
			assert.Contains(t, out, "1 kg F2, K-7")
			status, out, _ = gramcup(t, "", "scale", "checks", "--data", folder, "--json", "--last")
			require.Zero(t, status)
			var list []checkup.Kept
			require.NoError(t, json.Unmarshal([]byte(out), &list))
			require.Len(t, list, 1)
			assert.Len(t, list[0].Readings, 7)
			assert.Equal(t, c.status == 0, list[0].Passed)
			assert.Contains(t, out, `"limit_g":0.2`)
		})
	}
}

func TestScaleCheckThatIsEndedKeepsNothing(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	status, out, errs := gramcupUntil(t, []string{"> Put the 1 kg weight"}, "scale", "check", "--scale", scaleOnTCP(t, 1000), "--weight", "1kg", "--class", "F2", "--capacity", "6kg", "--data", folder)
	assert.Equal(t, 1, status)
	assert.Contains(t, errs, "nothing is kept")
	assert.NotContains(t, out, "Kept")
	status, list, _ := gramcup(t, "", "scale", "checks", "--data", folder)
	assert.Zero(t, status)
	assert.Contains(t, list, "no scale was checked yet")
}

func TestScaleCheckRefuses(t *testing.T) {
	folder := t.TempDir()
	held, err := book.Open(folder)
	require.NoError(t, err)
	defer func() { require.NoError(t, held.Close()) }()
	base := []string{"scale", "check", "--data", t.TempDir()}
	for _, c := range []struct {
		args []string
		says string
	}{
		{append(base, "--weight", "1kg", "--class", "F2"), "which scale?"},
		{append(base, "--weight", "1", "--class", "F2", "--scale", "tcp://127.0.0.1:1"), "number above 0 with a unit"},
		{append(base, "--weight", "1kg", "--class", "Q", "--scale", "tcp://127.0.0.1:1"), "E1, E2"},
		{append(base, "--weight", "1kg", "--class", "F2", "--scale-class", "V", "--scale", "tcp://127.0.0.1:1"), "on the plate"},
		{append(base, "--weight", "1kg", "--class", "M3", "--division", "0.1g", "--capacity", "6kg", "--scale", "tcp://127.0.0.1:1"), "use class M1 or finer"},
		{append(base, "--weight", "1kg", "--class", "F2", "--division", "0.1g", "--scale", "tcp://127.0.0.1:1"), "stands on the plate as Max"},
		{append(base, "--weight", "1kg", "--class", "F2", "--capacity", "6kg", "--scale", "tcp://127.0.0.1:1"), "check on its page, under Scale"},
		{append(base, "--weight", "1kg", "--class", "F2", "--capacity", "1000000000000g", "--division", "0.1g", "--scale", "tcp://127.0.0.1:1"), "that of no bench scale: give what stands on the plate as Max, at most 1000 kg"},
		{append(base, "--weight", "1kg", "--class", "F2", "--capacity", "6kg", "--division", "1000000000000g", "--scale", "tcp://127.0.0.1:1"), "no bench scale has steps of more than 100 g"},
		{[]string{"serve", "--division", "101g", "--scale", "tcp://127.0.0.1:1", "--wait", "--data", t.TempDir()}, "no bench scale has steps of more than 100 g"},
		{[]string{"scale", "checks", "--data", filepath.Join(folder, "none")}, "there is no book"},
	} {
		status, _, errs := gramcup(t, "", c.args...)
		assert.Equal(t, 1, status, c.args)
		assert.Contains(t, errs, c.says)
	}
	status, _, errs := gramcup(t, "", "scale", "check", "--weight", "1kg", "--class", "F2", "--capacity", "6kg", "--scale", scaleOnTCP(t, 1000), "--data", folder)
	assert.Equal(t, 1, status)
	assert.Contains(t, errs, "a bench is running on the book")
	status, _, _ = gramcup(t, "", "scale", "check")
	assert.Equal(t, 2, status, "weight and class must be given")
}

func TestCheckEveryComesFromTheConfigFile(t *testing.T) {
	for text, says := range map[string]string{`check_every = "soon"`: "write it like 180d", `check_every = 180`: "another kind of value"} {
		file := filepath.Join(t.TempDir(), "config.toml")
		require.NoError(t, os.WriteFile(file, []byte("[serve]\n"+text+"\n"), 0o600))
		status, _, errs := gramcup(t, "", "serve", "--config", file, "--scale", "tcp://127.0.0.1:1", "--wait", "--data", t.TempDir())
		assert.NotZero(t, status)
		assert.Contains(t, errs, says)
	}
}

// A scale that sends and is not understood is not called silent.
func TestScaleCheckSaysWhyNothingIsHeard(t *testing.T) {
	t.Parallel()
	gramcupUntil(t, []string{"  The scale is not heard: nothing readable comes from the scale: the lines look like sma, not letters: set the line shape to sma\n"},
		"scale", "check", "--scale", scaleOnTCP(t, 1000), "--line", "letters", "--weight", "1kg", "--class", "F2", "--capacity", "6kg", "--data", t.TempDir())
}

// A setup that does not fit what the scale shows is refused before anybody is sent
// to warm the scale up; one that fits is told what to see to first.
func TestScaleCheckCautionsOnlyWhatCanBegin(t *testing.T) {
	t.Parallel()
	address := scaleOnTCP(t, 1000)
	status, out, errs := gramcup(t, "", "scale", "check", "--scale", address, "--weight", "1kg", "--class", "M3", "--capacity", "6kg", "--data", t.TempDir())
	assert.Equal(t, 1, status)
	assert.Contains(t, errs, "use class M1 or finer")
	assert.NotContains(t, out, checkup.Cautions()[0])
	_, said, _ := gramcupUntil(t, []string{"- " + checkup.Cautions()[0] + "\n- ", "> Take everything off"},
		"scale", "check", "--scale", address, "--weight", "1kg", "--class", "F2", "--capacity", "6kg", "--data", t.TempDir())
	assert.Less(t, strings.Index(said, "- "+checkup.Cautions()[0]), strings.Index(said, "> Take everything off"), "before anything is to be done")
}
