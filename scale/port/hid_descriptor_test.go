package port

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// scaleDescriptor describes a weighing device, written by hand from the format
// of items in the Device Class Definition for HID 1.11, section 6.2.2, with the
// usages of page 8D. Its input report has number 3 and the five bytes behind
// it, its output report number 2 and two bits.
const scaleDescriptor = "" +
	"\x05\x8d" + // Usage Page (Weighing Devices)
	"\x09\x20" + // Usage (Scale Device)
	"\xa1\x01" + // Collection (Application)
	"\x85\x03" + //   Report ID (3)
	"\x09\x32\xa1\x02" + //   Usage (Data Report), Collection (Logical)
	"\x09\x70\x15\x01\x25\x08\x75\x08\x95\x01\x81\x00" + // Status 1 to 8, 8 bits, 1 of them, Input (Array)
	"\x09\x50\x25\x0c\x81\x00" + //     Weight Unit 1 to 12
	"\x09\x41\x15\x81\x25\x7f\x81\x02" + //     Data Scaling -127 to 127, Input (Variable)
	"\x09\x40\x15\x00\x27\xff\xff\x00\x00\x75\x10\x81\x02" + // Data Weight, 16 bits
	"\xc0" + //   End Collection
	"\x85\x02\x09\x31\xa1\x02" + //   Report ID (2), Usage (Control Report), Collection (Logical)
	"\x09\x81\x09\x80\x15\x00\x25\x01\x75\x01\x95\x02\x91\x02" + // two bits, Output
	"\x75\x06\x95\x01\x91\x03" + //     six more that mean nothing
	"\xc0\xc0"

// mouseDescriptor is the example of a mouse in the same document, appendix E.10.
const mouseDescriptor = "\x05\x01\x09\x02\xa1\x01\x09\x01\xa1\x00\x05\x09\x19\x01\x29\x03\x15\x00\x25\x01\x95\x03\x75\x01" +
	"\x81\x02\x95\x01\x75\x05\x81\x01\x05\x01\x09\x30\x09\x31\x15\x81\x25\x7f\x75\x08\x95\x02\x81\x06\xc0\xc0"

func TestWeighs(t *testing.T) {
	for _, c := range []struct {
		name, descriptor string
		want             bool
	}{
		{"a scale", scaleDescriptor, true},
		{"a mouse", mouseDescriptor, false},
		{"nothing", "", false},
		{"the page in two bytes", "\x06\x8d\x00\x09\x01\xa1\x01\xc0", true},
		{"the page in four bytes", "\x07\x8d\x00\x00\x00\x09\x01\xa1\x01\xc0", true},
		{"a maker's page that ends alike", "\x06\x8d\xff\x09\x01\xa1\x01\xc0", false},
		{"the page in the usage", "\x05\x01\x0b\x20\x00\x8d\x00\xa1\x01\xc0", true},
		{"another page in the usage", "\x05\x8d\x0b\x02\x00\x01\x00\xa1\x01\xc0", false},
		{"the page comes behind the usage", "\x05\x01\x09\x20\x05\x8d\xa1\x01\xc0", true}, // 6.2.2.8: combined at the main item
		{"no application", "\x05\x8d\x09\x20\xa1\x02\xc0", false},
		{"behind a mouse", mouseDescriptor + scaleDescriptor, true},
		{"pushed and taken back", "\x05\x8d\xa4\x05\x01\xb4\x09\x20\xa1\x01\xc0", true},
		{"pushed away", "\x05\x8d\xa4\x05\x01\x09\x20\xa1\x01\xc0\xb4", false},
		{"behind a long item", "\xfe\x02\x10\x05\x8d" + "\x05\x01\x09\x02\xa1\x01\xc0", false},
		{"a scale behind a long item", "\xfe\x03\x10\xa1\x01\xff" + scaleDescriptor, true},
	} {
		got, err := weighs([]byte(c.descriptor))
		require.NoError(t, err, c.name)
		assert.Equal(t, c.want, got, c.name)
	}
}

// A descriptor that is cut is an error unless the cut falls between two items.
func TestWeighsRefusesDamage(t *testing.T) {
	between := map[int]bool{}
	for at := 0; at < len(scaleDescriptor); {
		between[at] = true
		_, data, err := descriptorItem([]byte(scaleDescriptor), at)
		require.NoError(t, err)
		at += 1 + len(data)
	}
	require.Len(t, between, 40, "counted in the text above")
	for cut := range len(scaleDescriptor) {
		_, err := weighs([]byte(scaleDescriptor[:cut]))
		assert.Equal(t, between[cut], err == nil, "cut at byte %d", cut)
	}
	for descriptor, says := range map[string]string{
		"\xb4":                 "byte 0",
		"\x05\x8d\xa4\xb4\xb4": "byte 4",
		"\xfe":                 "middle of the item at byte 0",
		"\xfe\x02\x10\x05":     "middle of the item at byte 0",
		"\x05\x8d\x07\x00\x00": "middle of the item at byte 2",
	} {
		found, err := weighs([]byte(descriptor))
		require.ErrorContains(t, err, says)
		assert.False(t, found)
	}
}

func FuzzWeighs(f *testing.F) {
	f.Add([]byte(scaleDescriptor))
	f.Add([]byte(mouseDescriptor))
	f.Add([]byte("\xfe\xff\x10"))
	f.Fuzz(func(t *testing.T, d []byte) {
		if found, err := weighs(d); err == nil && found {
			again, err := weighs(append(d, mouseDescriptor...))
			require.True(t, err == nil && again, "what stands behind it changes nothing")
		}
	})
}
