package port

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/url"
	"slices"
	"strconv"
	"strings"
)

// Opener opens a wire to a scale. Opening again after Close must give a fresh
// wire. The context bounds the opening only, not the life of the wire. An
// error says in one sentence what is wrong and what to do.
type Opener func(ctx context.Context) (io.ReadWriteCloser, error)

// Kind is the sort of wire that an address names.
type Kind uint8

// The kinds of wire.
const (
	KindSerial Kind = iota + 1
	KindTCP
	KindReplay
	KindHID
)

// Parity is the parity bit of a serial line.
type Parity byte

// The parities, as the letter in a format such as 8n1.
const (
	ParityNone Parity = 'n'
	ParityEven Parity = 'e'
	ParityOdd  Parity = 'o'
)

// Address is a parsed address. Only the fields of its Kind are set.
type Address struct {
	Kind Kind

	Path     string // serial and hid: the device node; replay: the recording
	Baud     int    // serial: bits a second
	DataBits int    // serial: 7 or 8
	Parity   Parity // serial
	StopBits int    // serial: 1 or 2

	HostPort string // tcp: "host:port"

	ID     string // hid without a Path: vendor and product, "0922:8003"
	Serial string // hid without a Path: the device's own number, or "" for any
	Socket string // hid without a Path: where it is plugged in, or "" for anywhere

	Speed float64 // replay: how many times faster than recorded; 0 is as fast as it can be read
	Loop  bool    // replay: begin again at the end
}

// Limits of a serial line: the slowest and the fastest that a bench scale or
// an adaptor is likely to speak (common practice, no source).
const (
	baudMin     = 110
	baudMax     = 921600
	baudDefault = 9600
)

// errAddress is wrapped by every error of ParseAddress.
var errAddress = errors.New("bad port address")

// forms lists what an address may look like, for messages.
const forms = "give /dev/ttyUSB0, serial:/dev/ttyUSB0?baud=9600&format=8n1, tcp://host:port, hid:/dev/hidraw0 or replay:file?speed=1"

// ParseAddress reads an address as it stands in a configuration:
//
//	/dev/ttyUSB0
//	serial:/dev/ttyUSB0?baud=9600&format=8n1
//	tcp://host:port
//	hid:/dev/hidraw0
//	hid:0922:8003?serial=7
//	replay:path?speed=10&loop=1
//
// A serial line is 9600 8n1 unless it says otherwise. An error names the part
// that is wrong and what would be right.
func ParseAddress(s string) (Address, error) {
	scheme, rest, found := strings.Cut(s, ":")
	switch {
	case strings.HasPrefix(s, "/"):
		return parseSerial(s, s)
	case s == "":
		return Address{}, addressError(s, "it is empty: "+forms)
	case !found:
		return Address{}, addressError(s, "it has no scheme: "+forms)
	}
	switch scheme {
	case "serial":
		return parseSerial(s, rest)
	case "tcp":
		return parseTCP(s, strings.TrimPrefix(rest, "//"))
	case "replay":
		return parseReplay(s, rest)
	case "hid":
		return parseHID(s, rest)
	}
	return Address{}, addressError(s, fmt.Sprintf("the scheme %q is unknown: %s", scheme, forms))
}

func addressError(s, what string) error {
	return fmt.Errorf("%w %q: %s", errAddress, s, what)
}

func parseSerial(whole, rest string) (Address, error) {
	a := Address{Kind: KindSerial, Baud: baudDefault, DataBits: 8, Parity: ParityNone, StopBits: 1}
	path, options, err := splitOptions(whole, rest, "baud", "format")
	if err != nil {
		return Address{}, err
	}
	a.Path = path
	if v, ok := options["baud"]; ok {
		n, err := strconv.Atoi(v)
		if err != nil || n < baudMin || n > baudMax {
			return Address{}, addressError(whole, fmt.Sprintf("baud=%s is no speed: give a whole number from %d to %d, mostly 9600", v, baudMin, baudMax))
		}
		a.Baud = n
	}
	if v, ok := options["format"]; ok {
		if !a.setFormat(v) {
			return Address{}, addressError(whole, fmt.Sprintf("format=%s is no line format: give data bits 7 or 8, parity n, e or o, and stop bits 1 or 2, such as 8n1 or 7e1", v))
		}
	}
	return a, nil
}

// setFormat reads "8n1" and its like, in either case.
func (a *Address) setFormat(v string) bool {
	v = strings.ToLower(v)
	if len(v) != 3 || (v[0] != '7' && v[0] != '8') || !strings.Contains("neo", v[1:2]) || (v[2] != '1' && v[2] != '2') {
		return false
	}
	a.DataBits, a.Parity, a.StopBits = int(v[0]-'0'), Parity(v[1]), int(v[2]-'0')
	return true
}

func parseTCP(whole, rest string) (Address, error) {
	if strings.ContainsAny(rest, "?/") {
		return Address{}, addressError(whole, "tcp takes a host and a port and nothing else, such as tcp://192.0.2.7:4001")
	}
	host, port, err := net.SplitHostPort(rest)
	if err != nil || strings.TrimSpace(host) == "" {
		return Address{}, addressError(whole, "tcp needs a host and a port, such as tcp://192.0.2.7:4001")
	}
	if n, err := strconv.ParseUint(port, 10, 16); err != nil || n == 0 {
		return Address{}, addressError(whole, fmt.Sprintf("%q is no port number: give 1 to 65535", port))
	}
	return Address{Kind: KindTCP, HostPort: rest}, nil
}

func parseReplay(whole, rest string) (Address, error) {
	path, options, err := splitOptions(whole, rest, "speed", "loop")
	if err != nil {
		return Address{}, err
	}
	a := Address{Kind: KindReplay, Path: path, Speed: 1}
	if v, ok := options["speed"]; ok && v == "max" {
		a.Speed = 0
	} else if ok {
		f, err := strconv.ParseFloat(v, 64)
		if err != nil || !(f == 0 || f >= 0.01 && f <= 10_000) {
			return Address{}, addressError(whole, fmt.Sprintf("speed=%s is no speed: give a factor from 0.01 to 10000, or max", v))
		}
		a.Speed = f
	}
	switch v := options["loop"]; v {
	case "", "0":
	case "1":
		a.Loop = true
	default:
		return Address{}, addressError(whole, fmt.Sprintf("loop=%s is unclear: give 1 to begin again at the end, or 0", v))
	}
	return a, nil
}

// splitOptions takes "path?key=value&key=value" apart. Every key must be one
// of known and stand there once, with a value.
func splitOptions(whole, rest string, known ...string) (path string, options map[string]string, err error) {
	path, query, asked := strings.Cut(rest, "?")
	if strings.TrimSpace(path) == "" {
		return "", nil, addressError(whole, "the path is missing: "+forms)
	}
	if !asked {
		return path, nil, nil
	}
	values, err := url.ParseQuery(query)
	if err != nil {
		return "", nil, addressError(whole, "the part after ? is no list of key=value joined by &")
	}
	options = map[string]string{}
	for key, v := range values {
		switch {
		case !slices.Contains(known, key):
			return "", nil, addressError(whole, fmt.Sprintf("the key %q is unknown: known are %s", key, strings.Join(known, " and ")))
		case len(v) != 1 || v[0] == "":
			return "", nil, addressError(whole, fmt.Sprintf("the key %q needs exactly one value", key))
		}
		options[key] = v[0]
	}
	return path, options, nil
}

// String is the address in full; ParseAddress reads it back.
func (a Address) String() string {
	switch a.Kind {
	case KindSerial:
		return fmt.Sprintf("serial:%s?baud=%d&format=%d%c%d", a.Path, a.Baud, a.DataBits, a.Parity, a.StopBits)
	case KindTCP:
		return "tcp://" + a.HostPort
	case KindHID:
		return a.hidString()
	case KindReplay:
		s := "replay:" + a.Path + "?speed=" + strconv.FormatFloat(a.Speed, 'g', -1, 64)
		if a.Loop {
			s += "&loop=1"
		}
		return s
	}
	return "no address"
}

// Open reads an address and returns the way to open it and a name for people
// and logs. It opens nothing by itself. For a serial port that is plugged in
// the name is the link that survives replugging, if the system keeps one.
func Open(address string) (Opener, string, error) {
	a, err := ParseAddress(address)
	if err != nil {
		return nil, "", err
	}
	switch a.Kind {
	case KindSerial:
		s := &serialOpener{address: a, host: thisHost()}
		return s.open, s.identity(), nil
	case KindTCP:
		return tcpOpener(a.HostPort), a.String(), nil
	case KindHID:
		h := &hidOpener{address: a, host: thisHost()}
		return h.open, h.identity(), nil
	}
	r := &replayOpener{address: a}
	return r.open, "replay:" + a.Path, nil
}
