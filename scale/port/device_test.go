package port

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bus is a made-up system with the tree that Linux has: the tty under its USB
// interface, that under the USB device, and links from /dev/serial.
type bus struct {
	host
	t *testing.T
}

func newBus(t *testing.T) bus {
	dir := t.TempDir()
	return bus{host: host{dev: filepath.Join(dir, "dev"), sys: filepath.Join(dir, "sys")}, t: t}
}

func (b bus) write(path, content string) {
	require.NoError(b.t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(b.t, os.WriteFile(path, []byte(content), 0o644))
}

func (b bus) link(target, path string) {
	require.NoError(b.t, os.MkdirAll(filepath.Dir(path), 0o755))
	_ = os.Remove(path)
	require.NoError(b.t, os.Symlink(target, path))
}

// plug puts an adaptor into a socket; the system names it tty.
func (b bus) plug(tty, socket, id, serial string) {
	b.write(filepath.Join(b.dev, tty), "")
	device := filepath.Join(b.sys, "devices/usb1", socket)
	b.write(filepath.Join(device, "idVendor"), "1234\n")
	b.write(filepath.Join(device, "idProduct"), "0001\n")
	b.write(filepath.Join(device, "product"), "USB line\n")
	if serial != "" {
		b.write(filepath.Join(device, "serial"), serial+"\n")
	}
	b.write(filepath.Join(device, "if0", "bInterfaceNumber"), "00\n")
	b.write(filepath.Join(device, "if0", tty, "tty", tty, "dev"), "188:0\n")
	b.link(filepath.Join(device, "if0", tty), filepath.Join(device, "if0", tty, "tty", tty, "device"))
	b.link(filepath.Join(device, "if0", tty, "tty", tty), filepath.Join(b.sys, "class/tty", tty))
	b.link("../../"+tty, filepath.Join(b.dev, "serial/by-id", id))
	b.link("../../"+tty, filepath.Join(b.dev, "serial/by-path", "pci-usb-"+socket))
}

func TestPresentTellsHardwareFromPseudoTerminals(t *testing.T) {
	b := newBus(t)
	assert.Empty(t, b.present())
	assert.Equal(t, "no serial port is present", b.presentSentence())

	b.plug("ttyUSB0", "1-1", "usb-line-A", "A")
	b.write(filepath.Join(b.sys, "class/tty/tty0/uevent"), "") // a console: nothing behind it
	b.write(filepath.Join(b.dev, "tty0"), "")
	b.write(filepath.Join(b.sys, "class/tty/ttyS0/device/x"), "") // a chip on the board
	b.write(filepath.Join(b.sys, "class/tty/ttyS0/type"), "4\n")
	b.write(filepath.Join(b.dev, "ttyS0"), "")
	b.write(filepath.Join(b.sys, "class/tty/ttyS1/device/x"), "") // a place without a chip
	b.write(filepath.Join(b.sys, "class/tty/ttyS1/type"), "0\n")
	b.write(filepath.Join(b.dev, "ttyS1"), "")

	stable := filepath.Join(b.dev, "serial/by-id/usb-line-A")
	assert.Equal(t, []Device{
		{Node: filepath.Join(b.dev, "ttyS0")},
		{Node: filepath.Join(b.dev, "ttyUSB0"), Stable: stable, Product: "USB line", Serial: "A", USB: true},
	}, b.present())
	assert.Equal(t, stable, b.present()[1].Name())
	assert.Equal(t, filepath.Join(b.dev, "ttyS0"), b.present()[0].Name())
	assert.Contains(t, b.presentSentence(), stable)
}

func TestTwinsAreToldApartByTheirSockets(t *testing.T) {
	b := newBus(t)
	b.plug("ttyUSB0", "1-1", "usb-line", "")
	assert.Equal(t, filepath.Join(b.dev, "serial/by-id/usb-line"), b.stable(filepath.Join(b.dev, "ttyUSB0")))

	b.plug("ttyUSB1", "1-2", "usb-line", "") // says the same of itself, takes the link over
	assert.Equal(t, filepath.Join(b.dev, "serial/by-path/pci-usb-1-1"), b.stable(filepath.Join(b.dev, "ttyUSB0")))
	assert.Equal(t, filepath.Join(b.dev, "serial/by-path/pci-usb-1-2"), b.stable(filepath.Join(b.dev, "ttyUSB1")))

	b.plug("ttyUSB2", "1-3", "usb-line-B", "B") // has a number, is nobody's twin
	assert.Equal(t, filepath.Join(b.dev, "serial/by-id/usb-line-B"), b.stable(filepath.Join(b.dev, "ttyUSB2")))
}

func TestIdentityIsKeptOverReplugging(t *testing.T) {
	b := newBus(t)
	a, err := ParseAddress(filepath.Join(b.dev, "ttyUSB0"))
	require.NoError(t, err)
	o := &serialOpener{address: a, host: b.host}
	assert.Equal(t, a.Path, o.identity(), "not plugged in: nothing is known but the path")

	b.plug("ttyUSB0", "1-1", "usb-line-A", "A")
	stable := filepath.Join(b.dev, "serial/by-id/usb-line-A")
	assert.Equal(t, stable, o.identity())

	// It comes back as ttyUSB1, and something else takes its old name.
	b.plug("ttyUSB0", "1-2", "usb-other-B", "B")
	b.plug("ttyUSB1", "1-1", "usb-line-A", "A")
	assert.Equal(t, stable, o.identity())
}

func TestALinkThatSomebodyChoseIsKept(t *testing.T) {
	b := newBus(t)
	b.plug("ttyUSB0", "1-1", "usb-line-A", "A")
	chosen := filepath.Join(b.dev, "serial/by-path/pci-usb-1-1")
	o := &serialOpener{address: Address{Kind: KindSerial, Path: chosen}, host: b.host}
	assert.Equal(t, chosen, o.identity())
}

// The real tree of this machine is readable, whatever is in it.
func TestPresentOnThisMachine(t *testing.T) {
	for _, d := range Present() {
		info, err := os.Stat(d.Node)
		require.NoError(t, err)
		assert.NotZero(t, info.Mode()&os.ModeCharDevice, d.Node)
	}
}
