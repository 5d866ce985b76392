package port

import (
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"sort"
	"strings"
)

// hidDevice is a weighing device as the system describes it in sysfs, which can
// be read without opening the device.
type hidDevice struct {
	node   string // "/dev/hidraw0"; may be another after replugging
	bus    string // "0003" is USB, "0005" Bluetooth
	id     string // vendor and product, "0922:8003"
	name   string // what it calls itself
	serial string // its own number; "" where it has none
	socket string // where it is plugged in
	twin   bool   // another one that is plugged in says the same of itself
}

// address finds the same device again, whatever its node is called then: by its
// own number, and where it has none or shares it, by where it is plugged in.
func (d hidDevice) address() Address {
	a := Address{Kind: KindHID, ID: d.id, Serial: d.serial}
	if d.serial == "" || d.twin {
		a.Socket = d.socket
	}
	return a
}

func (d hidDevice) stable() string { return d.address().String() }

// is reports whether an address by identity means this device.
func (d hidDevice) is(a Address) bool {
	return d.id == a.ID && (a.Serial == "" || d.serial == a.Serial) && (a.Socket == "" || d.socket == a.Socket)
}

// weighing lists the weighing devices that are plugged in, by node. One whose
// description can not be read or is damaged is left out.
func (h host) weighing() []hidDevice {
	entries, _ := filepath.Glob(filepath.Join(h.sys, "class/hidraw/*"))
	var list []hidDevice
	for _, e := range entries {
		d, err := h.hid(filepath.Base(e))
		if err != nil {
			continue
		}
		if _, err := os.Stat(d.node); err == nil {
			list = append(list, d)
		}
	}
	sort.Slice(list, func(i, j int) bool { return list[i].node < list[j].node })
	for i := range list {
		for j := range list {
			if i != j && list[i].id == list[j].id && list[i].serial == list[j].serial {
				list[i].twin = true
			}
		}
	}
	return list
}

// hidWithTwins is hid for a node that is plugged in, beside all the others.
func (h host) hidWithTwins(name string) (hidDevice, error) {
	d, err := h.hid(name)
	for _, other := range h.weighing() {
		if other.node == d.node {
			d.twin = other.twin
		}
	}
	return d, err
}

// descriptorMost bounds a report descriptor: the kernel takes no longer one
// (HID_MAX_DESCRIPTOR_SIZE, from memory).
const descriptorMost = 4096

// hid reads what the system says about a node, such as "hidraw0". A device that
// is no scale is an error that says so.
func (h host) hid(name string) (hidDevice, error) {
	dir := filepath.Join(h.sys, "class/hidraw", name, "device")
	node := filepath.Join(h.dev, name)
	descriptor, err := os.ReadFile(filepath.Join(dir, "report_descriptor"))
	if err != nil {
		return hidDevice{}, fmt.Errorf("the system does not describe %s: is it a USB scale, and plugged in? (%w)", node, err)
	}
	if len(descriptor) > descriptorMost {
		return hidDevice{}, fmt.Errorf("%s describes itself in %d bytes, more than the %d that are read", node, len(descriptor), descriptorMost)
	}
	switch ok, err := weighs(descriptor); {
	case err != nil:
		return hidDevice{}, fmt.Errorf("what %s says about itself is damaged: %w", node, err)
	case !ok:
		return hidDevice{}, fmt.Errorf("%s is no weighing device: give the scale's, gramcup scale list shows it", node)
	}
	d := hidDevice{node: node}
	event, err := os.ReadFile(filepath.Join(dir, "uevent"))
	if err != nil {
		return hidDevice{}, fmt.Errorf("the system does not say what %s is called: %w", node, err)
	}
	for line := range strings.Lines(string(event)) {
		key, value, _ := strings.Cut(strings.TrimRight(line, "\n"), "=")
		switch key {
		case "HID_ID":
			d.bus, d.id = splitHIDID(value)
		case "HID_NAME":
			d.name = strings.TrimSpace(value)
		case "HID_UNIQ":
			d.serial = strings.TrimSpace(value)
		case "HID_PHYS":
			d.socket = strings.TrimSpace(value)
		}
	}
	if d.id == "" {
		return hidDevice{}, fmt.Errorf("the system does not say which device %s is: HID_ID is missing in %s", node, filepath.Join(dir, "uevent"))
	}
	return d, nil
}

// splitHIDID takes "0003:00000922:00008003" apart: bus, vendor and product in
// hexadecimal.
func splitHIDID(s string) (bus, id string) {
	parts := strings.Split(strings.ToLower(s), ":")
	if len(parts) != 3 || len(parts[1]) != 8 || len(parts[2]) != 8 {
		return "", ""
	}
	id = parts[1][4:] + ":" + parts[2][4:]
	if !isHIDID(id) {
		return "", ""
	}
	return parts[0], id
}

// isHIDID reports four hexadecimal digits, a colon, and four more, lower case.
func isHIDID(s string) bool {
	if len(s) != 9 || s[4] != ':' {
		return false
	}
	return strings.Trim(s[:4]+s[5:], "0123456789abcdef") == ""
}

// udevRule is the line that lets a group use the device. Keys and operators are
// those of udev(7).
func (d hidDevice) udevRule(group string) string {
	return fmt.Sprintf(`SUBSYSTEM=="hidraw", KERNELS=="%s:%s.*", GROUP="%s", MODE="0660"`, strings.ToUpper(d.bus), strings.ToUpper(d.id), group)
}

// parseHID reads "/dev/hidraw0", or an identity such as "0922:8003?serial=7".
func parseHID(whole, rest string) (Address, error) {
	if strings.HasPrefix(rest, "/") {
		if strings.Contains(rest, "?") {
			return Address{}, addressError(whole, "a weighing device has no speed and no format: give hid:/dev/hidraw0")
		}
		return Address{Kind: KindHID, Path: rest}, nil
	}
	id, options, err := splitOptions(whole, rest, "serial", "socket")
	if err != nil {
		return Address{}, err
	}
	id = strings.ToLower(id)
	if !isHIDID(id) {
		return Address{}, addressError(whole, "a weighing device is named by its node, such as hid:/dev/hidraw0, or by vendor and product, such as hid:0922:8003")
	}
	return Address{Kind: KindHID, ID: id, Serial: options["serial"], Socket: options["socket"]}, nil
}

// hidString is the inverse of parseHID.
func (a Address) hidString() string {
	if a.Path != "" {
		return "hid:" + a.Path
	}
	q := url.Values{}
	if a.Serial != "" {
		q.Set("serial", a.Serial)
	}
	if a.Socket != "" {
		q.Set("socket", a.Socket)
	}
	if len(q) == 0 {
		return "hid:" + a.ID
	}
	return "hid:" + a.ID + "?" + q.Encode()
}
