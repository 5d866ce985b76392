package port

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// plugHID puts a device into a socket as the kernel would describe it under
// hidrawN. Its node is a FIFO, which can be opened, polled and read like it.
func (b bus) plugHID(node, socket, id, serial, descriptor string) {
	dir := filepath.Join(b.sys, "devices/usb1", socket, "0003."+node)
	b.write(filepath.Join(dir, "report_descriptor"), descriptor)
	b.write(filepath.Join(dir, "uevent"), fmt.Sprintf("DRIVER=hid-generic\nHID_ID=0003:0000%s:0000%s\nHID_NAME=Bench scale\nHID_PHYS=%s/input0\nHID_UNIQ=%s\nMODALIAS=hid:b0003\n",
		id[:4], id[5:], socket, serial))
	b.link(dir, filepath.Join(b.sys, "class/hidraw", node, "device"))
	require.NoError(b.t, os.MkdirAll(b.dev, 0o755))
	require.NoError(b.t, unix.Mkfifo(filepath.Join(b.dev, node), 0o600))
}

func (b bus) pullHID(node string) {
	require.NoError(b.t, os.RemoveAll(filepath.Join(b.sys, "class/hidraw", node)))
	require.NoError(b.t, os.Remove(filepath.Join(b.dev, node)))
}

func (b bus) hid(address string) *hidOpener {
	a, err := ParseAddress(address)
	require.NoError(b.t, err)
	return &hidOpener{address: a, host: b.host}
}

// opened opens, closes, and says which node it was.
func opened(t *testing.T, o *hidOpener) string {
	t.Helper()
	w, err := o.open(context.Background())
	require.NoError(t, err)
	defer func() { require.NoError(t, w.Close()) }()
	return filepath.Base(w.(*hidWire).file.Name())
}

func TestHIDScalesAreListedWithoutOpening(t *testing.T) {
	b := newBus(t)
	b.plug("ttyUSB0", "1-1", "usb-line-A", "A")
	b.plugHID("hidraw0", "1-2", "1234:0002", "", mouseDescriptor)
	b.plugHID("hidraw1", "1-3", "1234:00ab", "77", scaleDescriptor)
	b.plugHID("hidraw2", "1-4", "1234:00cd", "", scaleDescriptor)
	b.plugHID("hidraw3", "1-5", "1234:00cd", "", "\x05")
	b.write(filepath.Join(b.dev, "ttyUSB0"), "")
	list := b.present()
	require.Len(t, list, 3)
	assert.Equal(t, Device{Node: filepath.Join(b.dev, "hidraw1"), Stable: "hid:1234:00ab?serial=77", Product: "Bench scale", Serial: "77", USB: true, HID: true}, list[1])
	assert.Equal(t, "hid:1234:00cd?socket=1-4%2Finput0", list[2].Stable)
	assert.NotContains(t, b.presentSentence(), "hid", "that sentence is about serial ports")
	for _, d := range list[1:] {
		a, err := ParseAddress(d.Name())
		require.NoError(t, err)
		assert.Equal(t, d.Name(), a.String())
	}
}

func TestHIDIsFoundAgainUnderAnotherNode(t *testing.T) {
	for name, serial := range map[string]string{"with a number": "77", "without a number": ""} {
		t.Run(name, func(t *testing.T) {
			b := newBus(t)
			b.plugHID("hidraw0", "1-1", "1234:00ab", serial, scaleDescriptor)
			o := b.hid("hid:" + filepath.Join(b.dev, "hidraw0"))
			want := o.identity()
			assert.Equal(t, "hidraw0", opened(t, o))
			b.pullHID("hidraw0")
			_, err := o.open(context.Background())
			require.ErrorIs(t, err, fs.ErrNotExist)
			assert.Contains(t, err.Error(), "none is present")
			// Another scale of the same kind takes its node.
			b.plugHID("hidraw0", "1-2", "1234:00ab", serial+"other"[:len(serial)], scaleDescriptor)
			_, err = o.open(context.Background())
			require.ErrorIs(t, err, fs.ErrNotExist, "that is another scale")
			assert.Contains(t, err.Error(), "these are present: hid:1234:00ab")
			b.plugHID("hidraw7", "1-1", "1234:00ab", serial, scaleDescriptor)
			assert.Equal(t, "hidraw7", opened(t, o))
			assert.Equal(t, want, o.identity())
		})
	}
}

func TestHIDByItsIdentity(t *testing.T) {
	b := newBus(t)
	b.plugHID("hidraw4", "1-1", "1234:00ab", "", scaleDescriptor)
	assert.Equal(t, "hidraw4", opened(t, b.hid("hid:1234:00ab")))
	_, err := b.hid("hid:1234:00ac").open(context.Background())
	require.ErrorIs(t, err, fs.ErrNotExist)

	b.plugHID("hidraw5", "1-2", "1234:00ab", "", scaleDescriptor)
	_, err = b.hid("hid:1234:00ab").open(context.Background())
	require.ErrorContains(t, err, "2 scales that look the same")
	require.ErrorContains(t, err, "hid:1234:00ab?socket=1-1%2Finput0")
	assert.Equal(t, "hidraw5", opened(t, b.hid("hid:1234:00ab?socket=1-2/input0")))

	// Two that share a number are told apart by their sockets.
	b.plugHID("hidraw6", "1-3", "1234:00ef", "1", scaleDescriptor)
	b.plugHID("hidraw7", "1-4", "1234:00ef", "1", scaleDescriptor)
	o := b.hid("hid:" + filepath.Join(b.dev, "hidraw6"))
	assert.Equal(t, "hidraw6", opened(t, o))
	assert.Equal(t, "hid:1234:00ef?serial=1&socket=1-3%2Finput0", o.identity())
	b.pullHID("hidraw6")
	_, err = o.open(context.Background())
	require.ErrorIs(t, err, fs.ErrNotExist, "its twin is not it")
}

func TestHIDRefusesWhatIsNoScale(t *testing.T) {
	b := newBus(t)
	b.plugHID("hidraw0", "1-2", "1234:0002", "", mouseDescriptor)
	b.plugHID("hidraw1", "1-2", "1234:0002", "", scaleDescriptor[:5])
	for node, says := range map[string]string{
		"hidraw0": "no weighing device", "hidraw1": "damaged", "hidraw9": "no weighing device",
	} {
		_, err := b.hid("hid:" + filepath.Join(b.dev, node)).open(context.Background())
		require.ErrorContains(t, err, says, node)
		assert.NotContains(t, err.Error(), "\n")
	}
	// The system may describe a device badly.
	b.plugHID("hidraw2", "1-3", "1234:0002", "", scaleDescriptor)
	uevent := filepath.Join(b.sys, "class/hidraw/hidraw2/device/uevent")
	for _, text := range []string{"", "HID_ID=\n", "HID_ID=3:1:2\n", "HID_ID=0003:0000zzzz:00000002\n"} {
		b.write(uevent, text)
		_, err := b.hid("hid:" + filepath.Join(b.dev, "hidraw2")).open(context.Background())
		require.ErrorContains(t, err, "HID_ID", "%q", text)
	}
	b.write(filepath.Join(b.sys, "class/hidraw/hidraw2/device/report_descriptor"), string(make([]byte, descriptorMost+1)))
	_, err := b.hid("hid:" + filepath.Join(b.dev, "hidraw2")).open(context.Background())
	require.ErrorContains(t, err, "4097")
}

func TestHIDSaysWhatIsInTheWay(t *testing.T) {
	b := newBus(t)
	b.plugHID("hidraw0", "1-1", "1234:00ab", "", scaleDescriptor)
	o := b.hid("hid:" + filepath.Join(b.dev, "hidraw0"))
	w, err := o.open(context.Background())
	require.NoError(t, err)
	_, err = b.hid("hid:1234:00ab").open(context.Background())
	require.ErrorContains(t, err, "in use by another gramcup")
	require.NoError(t, w.Close())

	// Root may open anything, so the refusal itself is made here.
	d := o.host.weighing()[0]
	err = explainHID(d, fs.ErrPermission)
	require.ErrorIs(t, err, fs.ErrPermission)
	assert.Contains(t, err.Error(), `SUBSYSTEM=="hidraw", KERNELS=="0003:1234:00AB.*", GROUP="dialout", MODE="0660"`)
	assert.Contains(t, err.Error(), "/etc/udev/rules.d/")
	require.ErrorIs(t, explainHID(d, unix.ENODEV), fs.ErrNotExist)
	require.NoError(t, os.Remove(d.node))
	_, err = openHID(d)
	require.ErrorIs(t, err, fs.ErrNotExist)
}

// Devices that are really there can be listed, whatever they are.
func TestHIDOnThisMachine(t *testing.T) {
	list := thisHost().weighing()
	t.Logf("%d weighing devices on this machine", len(list))
	if _, err := os.Stat("/dev/uhid"); err != nil {
		t.Logf("no virtual device can be made here (%v): the tests read from FIFOs and sockets", err)
	}
	for _, d := range list {
		require.True(t, isHIDID(d.id), "%+v", d)
	}
}

// slow is long enough for the first report to be one of now.
func (w *hidWire) slow() *hidWire { w.opened = w.opened.Add(-time.Minute); return w }
