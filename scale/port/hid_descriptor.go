package port

import (
	"encoding/binary"
	"fmt"
)

// pageWeighing is the usage page of weighing devices (HID Usage Tables, page
// 8D).
const pageWeighing = 0x8D

// The items of a report descriptor that matter here, by their prefix without
// the size (Device Class Definition for HID 1.11, section 6.2.2). Everything
// else is stepped over by its size.
const (
	itemLong       = 0xFE // the whole prefix; its size stands in the next byte
	itemSize       = 0x03 // the bits of the size: 0, 1, 2, and 3 for four bytes
	itemUsagePage  = 0x04
	itemUsage      = 0x08
	itemCollection = 0xA0
	itemPush       = 0xA4
	itemPop        = 0xB4
)

const collectionApplication = 0x01

// weighs tells from a report descriptor whether the device is a scale: whether
// an application collection in it is of the page of weighing devices. A
// descriptor that is damaged is an error, whatever stood in front of the damage.
func weighs(descriptor []byte) (bool, error) {
	var page uint32
	var usages, stack []uint32
	found := false
	for at := 0; at < len(descriptor); {
		prefix, data, err := descriptorItem(descriptor, at)
		if err != nil {
			return false, err
		}
		switch prefix &^ itemSize {
		case itemUsagePage:
			page = itemValue(data)
		case itemUsage:
			u := itemValue(data)
			if len(data) < 4 { // a short usage is of the page that holds when the collection comes
				u &= 0xFFFF
			}
			usages = append(usages, u)
		case itemPush:
			stack = append(stack, page)
		case itemPop:
			if len(stack) == 0 {
				return false, fmt.Errorf("byte %d of the report descriptor takes back what was never put away", at)
			}
			page, stack = stack[len(stack)-1], stack[:len(stack)-1]
		case itemCollection:
			of := page
			if len(usages) > 0 && usages[0]>>16 != 0 {
				of = usages[0] >> 16
			}
			found = found || of == pageWeighing && itemValue(data)&0xFF == collectionApplication
		}
		if prefix&0x0C == 0 { // a main item ends what is said of its usages
			usages = usages[:0]
		}
		at += 1 + len(data)
		if prefix == itemLong {
			at += 2
		}
	}
	return found, nil
}

// descriptorItem is the item at a place: its prefix and its data. The data of a
// long item begin behind its size and tag.
func descriptorItem(d []byte, at int) (prefix byte, data []byte, err error) {
	prefix = d[at]
	from, size := at+1, int(prefix&itemSize)
	if size == 3 {
		size = 4
	}
	if prefix == itemLong {
		if from+2 > len(d) {
			return 0, nil, fmt.Errorf("the report descriptor ends in the middle of the item at byte %d", at)
		}
		from, size = from+2, int(d[from])
	}
	if from+size > len(d) {
		return 0, nil, fmt.Errorf("the report descriptor ends in the middle of the item at byte %d", at)
	}
	return prefix, d[from : from+size], nil
}

// itemValue is the unsigned number of an item, the low byte first.
func itemValue(data []byte) uint32 {
	var four [4]byte
	copy(four[:], data)
	return binary.LittleEndian.Uint32(four[:])
}
