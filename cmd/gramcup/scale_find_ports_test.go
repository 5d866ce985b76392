package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
	"gramcup/scale/find"
	"gramcup/scale/port"
)

// A port of the computer itself is never opened unless it is named.
func TestScaleFindLeavesBuiltInPortsAlone(t *testing.T) {
	devices := []port.Device{
		{Node: "/dev/ttyAMA0"}, {Node: "/dev/ttyHS1"}, {Node: "/dev/ttyS0", Product: "x"},
		{Node: "/dev/ttyUSB0", Stable: "/dev/serial/by-id/usb-line-A", USB: true, Serial: "A"},
		{Node: "/dev/hidraw1", Stable: "hid:1234:00ab?serial=7", USB: true, HID: true},
	}
	var opened []string
	refused := errors.New("refused")
	var told bytes.Buffer
	f := finder{
		options: find.Options{Most: time.Second}, progress: &progress{to: &told},
		present: func() []port.Device { return devices },
		probe: func(_ context.Context, address string) (*port.Probe, error) {
			opened = append(opened, address)
			return nil, refused
		},
		open: func(address string) (port.Opener, string, error) {
			opened = append(opened, address)
			return nil, "", refused
		},
	}
	all, err := f.all(t.Context(), nil)
	require.NoError(t, err)
	require.Len(t, all, 5)
	assert.Equal(t, []string{"serial:/dev/ttyUSB0?baud=9600&format=8n1", "hid:/dev/hidraw1"}, opened)
	for _, r := range all[:3] {
		assert.Contains(t, r.Skipped, "name it: gramcup scale find "+r.Named)
	}
	assert.Equal(t, "refused", all[3].Problem)

	opened = nil
	all, err = f.all(t.Context(), []string{"/dev/ttyS0"})
	require.NoError(t, err)
	assert.Equal(t, []string{"serial:/dev/ttyS0?baud=9600&format=8n1"}, opened)
	assert.Equal(t, "x", all[0].Device.Product)
	for _, wrong := range []string{"replay:x.cap", "ttyS0", ""} {
		_, err = f.all(t.Context(), []string{wrong})
		require.Error(t, err)
	}
	devices = devices[:3]
	all, err = f.all(t.Context(), nil)
	require.NoError(t, err)
	var out bytes.Buffer
	require.NoError(t, printFound(&out, all, saveFlag{}))
	assert.Contains(t, out.String(), "No serial adaptor and no USB scale is plugged in now.")
}

// reports is a weighing device that says the given reports and then nothing.
func reports(said ...string) func(string) (port.Opener, string, error) {
	return func(string) (port.Opener, string, error) {
		return func(context.Context) (io.ReadWriteCloser, error) {
			near, far := net.Pipe()
			go func() {
				for _, r := range said {
					_, _ = io.WriteString(far, r)
				}
			}()
			return near, nil
		}, "hid:1234:00ab?serial=7", nil
	}
}

func TestScaleFindOnAUSBScale(t *testing.T) {
	synctest.Test(t, findOnAUSBScale) // it listens for a time that a loaded machine may be away
}

func findOnAUSBScale(t *testing.T) {
	f := finder{options: find.Options{Most: 200 * time.Millisecond}, progress: &progress{to: io.Discard}, present: func() []port.Device { return nil }}
	f.open = reports("\x03\x04\x02\xff\x3a\x10", "\x03\x04\x02\xff\x3b\x10", "\x03\x06\x02\xff\x00\x00")
	all, err := f.all(t.Context(), []string{"hid:1234:00ab"})
	require.NoError(t, err)
	require.Empty(t, all[0].Problem)
	assert.Equal(t, []configLine{{"scale", "hid:1234:00ab?serial=7"}, {"line", "hid"}, {"division", "0.1g"}}, all[0].config())
	var out bytes.Buffer
	require.NoError(t, printFound(&out, all, saveFlag{}))
	assert.Contains(t, out.String(), "found: a USB weighing device, in steps of 0.1 g, unit g, sure")
	assert.Contains(t, out.String(), "415.4 g, ok")

	f.open = reports()
	all, err = f.all(t.Context(), []string{"hid:1234:00ab"})
	require.NoError(t, err)
	out.Reset()
	require.NoError(t, printFound(&out, all, saveFlag{}))
	assert.Contains(t, out.String(), "no scale found: it is silent")
	assert.Contains(t, out.String(), "put something on its pan")
	assert.Empty(t, usable(all))
}

// What a person should know about the name under which it is found again.
func TestScaleFindHints(t *testing.T) {
	found := find.Report{Found: true, Sure: find.Sure, Line: "csv"}
	bare := found
	bare.Line, bare.TellUnit = "bare-8-kg", true
	for _, c := range []struct {
		says string
		t    tried
	}{
		{"known by its socket: leave each", tried{Report: found, Device: port.Device{USB: true, Twin: true}}},
		{"no number of its own: if a second", tried{Report: found, Device: port.Device{USB: true}}},
		{"known by its socket: leave it", tried{Report: found, Device: port.Device{USB: true, HID: true}}},
		{"no name for it that survives", tried{Report: found, Address: "serial:/dev/ttyUSB0?baud=9600&format=8n1", Device: port.Device{Node: "/dev/ttyUSB0", USB: true, Serial: "A"}}},
		{"another than kg", tried{Report: bare}},
	} {
		hints := c.t.hints()
		require.Len(t, hints, 1, c.says)
		assert.Contains(t, hints[0], c.says)
	}
	stable := tried{Report: found, Address: "serial:/dev/serial/by-id/usb-A?baud=9600&format=8n1", Device: port.Device{Node: "/dev/ttyUSB0", USB: true, Serial: "A"}}
	assert.Empty(t, stable.hints())
}

func TestUSBScaleHasItsOwnShape(t *testing.T) {
	for _, line := range []string{"", "sma", "hid"} {
		got, err := lineOf("hid:/dev/hidraw0", line)
		require.NoError(t, err)
		assert.Equal(t, "hid", got)
	}
	_, err := lineOf("hid:/dev/hidraw0", "csv")
	require.ErrorContains(t, err, "leave the line out")
	got, err := lineOf("/dev/ttyUSB0", "csv")
	require.NoError(t, err)
	assert.Equal(t, "csv", got)
	c, err := scale.CodecByName("hid")
	require.NoError(t, err)
	assert.Equal(t, scale.HID{}, c)
	status, _, errs := gramcup(t, "", "serve", "--scale", "hid:1234:5678")
	assert.NotZero(t, status)
	assert.Contains(t, errs, "no weighing device hid:1234:5678")
}
