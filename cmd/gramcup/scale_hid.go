package main

import (
	"fmt"

	"gramcup/scale"
	"gramcup/scale/port"
)

// lineOf is the name of the shape to read an address with. A USB weighing device
// sends reports and no lines, so the default of --line is none for it.
func lineOf(address, line string) (string, error) {
	hid := scale.HID{}.Name()
	a, err := port.ParseAddress(address)
	if err != nil || a.Kind != port.KindHID {
		return line, nil // the address is judged where it is opened
	}
	if line != "" && line != hid && line != (scale.SMA{}).Name() {
		return "", fmt.Errorf("%s is a USB weighing device and sends no lines of the shape %s: leave the line out", address, line)
	}
	return hid, nil
}
