package port

import (
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"
)

// Device is a serial port, or a weighing device, that is plugged in now.
type Device struct {
	Node    string // "/dev/ttyUSB0"; may belong to another adaptor after replugging
	Stable  string // a name that survives replugging, or "" where the system keeps none
	Product string // what the adaptor or the device calls itself, or ""
	Serial  string // its own number, or "" where it has none
	USB     bool   // an adaptor or a device on a cable; false: a port of the computer itself
	HID     bool   // a weighing device; Stable is its address
	Twin    bool   // another one that is plugged in says the same of itself
}

// Name is the best name to put into a configuration: Stable, else Node.
func (d Device) Name() string {
	if d.Stable != "" {
		return d.Stable
	}
	return d.Node
}

// Present lists the serial ports and then the weighing devices that are plugged in. It reads the file system
// only and opens no port: opening one, as the serial library's own listing
// does, changes the settings of a port that may be in use. Where nothing can
// be read the list is empty.
func Present() []Device { return thisHost().present() }

// host is where the system describes its devices; tests build their own.
type host struct {
	dev string // "/dev"
	sys string // "/sys"
}

func thisHost() host { return host{dev: "/dev", sys: "/sys"} }

// present walks /sys/class/tty: an entry with a device behind it is hardware,
// the others are consoles and pseudo-terminals.
func (h host) present() []Device {
	entries, _ := filepath.Glob(filepath.Join(h.sys, "class/tty/*/device"))
	var list []Device
	for _, e := range entries {
		dir := filepath.Dir(e)
		// Type 0 is a socket on the board without a chip in it (from memory;
		// PCs announce four or more of those).
		if kind, err := os.ReadFile(filepath.Join(dir, "type")); err == nil && strings.TrimSpace(string(kind)) == "0" {
			continue
		}
		node := filepath.Join(h.dev, filepath.Base(dir))
		if _, err := os.Stat(node); err != nil {
			continue
		}
		usb := h.usb(node)
		list = append(list, Device{
			Node: node, Stable: h.stable(node), Product: usb.product, Serial: usb.serial,
			USB: usb.vendor != "", Twin: h.hasTwin(node),
		})
	}
	sort.Slice(list, func(i, j int) bool { return list[i].Node < list[j].Node })
	for _, d := range h.weighing() {
		list = append(list, Device{Node: d.node, Stable: d.stable(), Product: d.name, Serial: d.serial, USB: true, HID: true, Twin: d.twin})
	}
	return list
}

// stable finds the link that leads to the node after replugging as well: by
// what the adaptor says it is, or, where a twin that says the same is plugged
// in too, by the socket it sits in.
func (h host) stable(node string) string {
	real, err := filepath.EvalSymlinks(node)
	if err != nil {
		return ""
	}
	folders := []string{"by-id", "by-path"}
	if h.hasTwin(real) {
		folders = []string{"by-path"}
	}
	for _, folder := range folders {
		links, _ := filepath.Glob(filepath.Join(h.dev, "serial", folder, "*"))
		for _, link := range links {
			if target, err := filepath.EvalSymlinks(link); err == nil && target == real {
				return link
			}
		}
	}
	return ""
}

// usbIdentity is what a USB adaptor says about itself.
type usbIdentity struct{ vendor, product, productID, serial, iface string }

// usb reads the identity of the adaptor behind a node. The tty hangs under its
// USB interface, which hangs under the USB device.
func (h host) usb(node string) usbIdentity {
	dir, err := filepath.EvalSymlinks(filepath.Join(h.sys, "class/tty", filepath.Base(node), "device"))
	if err != nil {
		return usbIdentity{}
	}
	read := func(name string) string {
		b, _ := os.ReadFile(filepath.Join(dir, name))
		return strings.TrimSpace(string(b))
	}
	iface := ""
	for range 4 {
		if n := read("bInterfaceNumber"); n != "" {
			iface = n
		}
		if v := read("idVendor"); v != "" {
			return usbIdentity{vendor: v, productID: read("idProduct"), product: read("product"), serial: read("serial"), iface: iface}
		}
		dir = filepath.Dir(dir)
	}
	return usbIdentity{}
}

func (h host) hasTwin(node string) bool {
	own := h.usb(node)
	if own.vendor == "" {
		return false
	}
	entries, _ := filepath.Glob(filepath.Join(h.sys, "class/tty/*/device"))
	for _, e := range entries {
		name := filepath.Base(filepath.Dir(e))
		if name != filepath.Base(node) && h.usb(name) == own {
			return true
		}
	}
	return false
}

// presentSentence says which serial ports there are, for the message that one is
// not.
func (h host) presentSentence() string {
	list := slices.DeleteFunc(h.present(), func(d Device) bool { return d.HID })
	if len(list) == 0 {
		return "no serial port is present"
	}
	names := make([]string, len(list))
	for i, d := range list {
		names[i] = d.Node
		if d.Stable != "" {
			names[i] += " (" + d.Stable + ")"
		}
	}
	return "these are present: " + strings.Join(names, ", ")
}
