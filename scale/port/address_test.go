package port

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParseAddress(t *testing.T) {
	serial := func(path string, baud, bits int, parity Parity, stop int) Address {
		return Address{Kind: KindSerial, Path: path, Baud: baud, DataBits: bits, Parity: parity, StopBits: stop}
	}
	for in, want := range map[string]Address{
		"/dev/ttyUSB0":                                     serial("/dev/ttyUSB0", 9600, 8, ParityNone, 1),
		"serial:/dev/ttyUSB0":                              serial("/dev/ttyUSB0", 9600, 8, ParityNone, 1),
		"serial:/dev/ttyS1?baud=2400&format=7e1":           serial("/dev/ttyS1", 2400, 7, ParityEven, 1),
		"serial:/dev/ttyS1?format=8O1":                     serial("/dev/ttyS1", 9600, 8, ParityOdd, 1),
		"serial:/dev/ttyS1?format=7n2":                     serial("/dev/ttyS1", 9600, 7, ParityNone, 2),
		"/dev/serial/by-id/usb-a_b-if00-port0?baud=115200": serial("/dev/serial/by-id/usb-a_b-if00-port0", 115200, 8, ParityNone, 1),
		"tcp://192.0.2.7:4001":                             {Kind: KindTCP, HostPort: "192.0.2.7:4001"},
		"tcp:bench.local:23":                               {Kind: KindTCP, HostPort: "bench.local:23"},
		"tcp://[::1]:4001":                                 {Kind: KindTCP, HostPort: "[::1]:4001"},
		"replay:pour.cap":                                  {Kind: KindReplay, Path: "pour.cap", Speed: 1},
		"replay:a/pour.cap?speed=10&loop=1":                {Kind: KindReplay, Path: "a/pour.cap", Speed: 10, Loop: true},
		"hid:/dev/hidraw0":                                 {Kind: KindHID, Path: "/dev/hidraw0"},
		"hid:0922:800A":                                    {Kind: KindHID, ID: "0922:800a"},
		"hid:0922:8003?serial=a+b%26c":                     {Kind: KindHID, ID: "0922:8003", Serial: "a b&c"},
		"hid:0922:8003?socket=usb-0000:00:14.0-2/input0":   {Kind: KindHID, ID: "0922:8003", Socket: "usb-0000:00:14.0-2/input0"},
		"replay:pour.cap?speed=max":                        {Kind: KindReplay, Path: "pour.cap", Speed: 0},
		"replay:pour.cap?speed=0&loop=0":                   {Kind: KindReplay, Path: "pour.cap", Speed: 0},
	} {
		t.Run(in, func(t *testing.T) {
			got, err := ParseAddress(in)
			require.NoError(t, err)
			assert.Equal(t, want, got)
		})
	}
}

func TestParseAddressRefuses(t *testing.T) {
	for in, says := range map[string]string{
		"":                                 "empty",
		"ttyUSB0":                          "no scheme",
		"usb:1234":                         `scheme "usb" is unknown`,
		"serial:":                          "path is missing",
		"replay: ":                         "path is missing",
		"serial:?baud=9600":                "path is missing",
		"serial:/dev/x?baud=fast":          "baud=fast is no speed",
		"serial:/dev/x?baud=0":             "baud=0 is no speed",
		"serial:/dev/x?baud=-9600":         "no speed",
		"serial:/dev/x?baud=":              `"baud" needs exactly one value`,
		"serial:/dev/x?baud=9600&baud=300": `"baud" needs exactly one value`,
		"serial:/dev/x?format=9n1":         "format=9n1 is no line format",
		"serial:/dev/x?format=8n":          "no line format",
		"serial:/dev/x?format=8x1":         "no line format",
		"serial:/dev/x?format=8n3":         "no line format",
		"serial:/dev/x?speed=2":            `key "speed" is unknown: known are baud and format`,
		"serial:/dev/x?baud=%zz":           "no list of key=value",
		"tcp://":                           "needs a host and a port",
		"tcp://bench":                      "needs a host and a port",
		"tcp://:4001":                      "needs a host and a port",
		"tcp://bench:0":                    `"0" is no port number`,
		"tcp://bench:70000":                "no port number",
		"tcp://bench:scale":                "no port number",
		"tcp://bench:1?x=1":                "nothing else",
		"replay:":                          "path is missing",
		"hid:":                             "path is missing",
		"hid:hidraw0":                      "vendor and product",
		"hid:0922:80":                      "vendor and product",
		"hid:0922:80033":                   "vendor and product",
		"hid:/dev/hidraw0?baud=9600":       "no speed and no format",
		"hid:0922:8003?baud=9600":          `key "baud" is unknown`,
		"replay:a?speed=-1":                "speed=-1 is no speed",
		"replay:a?speed=NaN":               "speed=NaN is no speed",
		"replay:a?speed=Inf":               "speed=Inf is no speed",
		"replay:a?loop=yes":                "loop=yes is unclear",
		"replay:a?baud=9600":               `key "baud" is unknown`,
	} {
		t.Run(in, func(t *testing.T) {
			_, err := ParseAddress(in)
			require.ErrorContains(t, err, says)
			assert.ErrorIs(t, err, errAddress)
			assert.ErrorContains(t, err, fmt.Sprintf("%q", in), "the message shows what was given")
			assert.NotContains(t, err.Error(), "\n", "one sentence")
			_, _, err = Open(in)
			assert.Error(t, err)
		})
	}
}

// What is printed is read back, whatever the address.
func TestAddressRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		path := rapid.StringMatching(`/[a-zA-Z0-9_.:/ -]{1,30}`).Draw(t, "path")
		var a Address
		switch rapid.IntRange(0, 4).Draw(t, "kind") {
		case 0:
			a = Address{Kind: KindSerial, Path: path,
				Baud:     rapid.IntRange(baudMin, baudMax).Draw(t, "baud"),
				DataBits: rapid.IntRange(7, 8).Draw(t, "bits"),
				Parity:   rapid.SampledFrom([]Parity{ParityNone, ParityEven, ParityOdd}).Draw(t, "parity"),
				StopBits: rapid.IntRange(1, 2).Draw(t, "stop")}
		case 1:
			a = Address{Kind: KindTCP, HostPort: fmt.Sprintf("h%d.local:%d", rapid.Uint8().Draw(t, "host"), rapid.IntRange(1, 65535).Draw(t, "port"))}
		case 2:
			a = Address{Kind: KindReplay, Path: path, Loop: rapid.Bool().Draw(t, "loop"),
				Speed: rapid.SampledFrom([]float64{0, 0.01, 0.5, 1, 10, 123.456, 10_000}).Draw(t, "speed")}
		case 3:
			a = Address{Kind: KindHID, Path: path}
		case 4:
			word := rapid.String()
			a = Address{Kind: KindHID, ID: rapid.StringMatching(`[0-9a-f]{4}:[0-9a-f]{4}`).Draw(t, "id"),
				Serial: word.Draw(t, "serial"), Socket: word.Draw(t, "socket")}
		}
		got, err := ParseAddress(a.String())
		if err != nil || got != a {
			t.Fatalf("%s: got %+v, %v", a, got, err)
		}
	})
}

// No input makes the parser fall over, and what it accepts it can print.
func FuzzParseAddress(f *testing.F) {
	for _, s := range []string{"/dev/ttyUSB0", "serial:/dev/x?baud=1&format=7e1", "tcp://a:1", "replay:x?speed=max&loop=1", "::?&=%"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		a, err := ParseAddress(s)
		if err != nil {
			return
		}
		b, err := ParseAddress(a.String())
		if err != nil || a != b {
			t.Fatalf("%q was read as %+v, printed as %q, read back as %+v, %v", s, a, a, b, err)
		}
		if strings.TrimSpace(a.Path+a.HostPort) == "" {
			t.Fatalf("%q was read as an address of nothing", s)
		}
	})
}
