package scale

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// said is a reading in words: number, unit, mode, motion, status.
func said(r Reading, err error) string {
	if err != nil {
		return "refused: " + err.(*FrameError).Reason
	}
	number := "none"
	if r.HasNumber {
		number = r.Number.String()
	}
	words := []string{number, r.Unit.String(), r.Mode.String(), [...]string{"", "still", "moving"}[r.Motion], r.Status.String()}
	return strings.Join(strings.Fields(strings.Join(words, " ")), " ")
}

// quirks are lines and what they say. What is in want after "refused: " is a
// part of the reason.
func quirks(t *testing.T, c Codec, lines ...[2]string) {
	t.Helper()
	for _, l := range lines {
		got := said(c.Decode([]byte(l[0])))
		if strings.HasPrefix(l[1], "refused: ") {
			assert.True(t, strings.HasPrefix(got, "refused: "), "%q is %s", l[0], got)
			assert.Contains(t, got, strings.TrimPrefix(l[1], "refused: "), "%q", l[0])
			continue
		}
		assert.Equal(t, l[1], got, "%q", l[0])
		f := NewFramer(c)
		f.Feed([]byte(l[0]))
		f.Flush()
		r, err, ok := f.Next()
		require.True(t, ok, "%q", l[0])
		assert.Equal(t, l[1], said(r, err), "%q is one piece of a stream", l[0])
	}
}

// Shape S8, described on a public page and in two manuals; clones disagree
// about bits 5 and 6 of the status bytes. The first three frames are examples
// made from those descriptions.
func TestStatusBytesQuirks(t *testing.T) {
	quirks(t, StatusBytes{Checksum: true},
		[2]string{"\x02+1!004126001850\r\x19", "00412.6 g net still ok"},
		[2]string{"\x02,:!000325000000\r\x20", "-0003.25 g gross moving ok"},
		[2]string{"\x02+1!004126001850\r\x18", "refused: the checksum is wrong"},
		[2]string{"\x02+1!004136001850\r\x19", "refused: the checksum is wrong"},
		[2]string{"\x02+1!004126001850\r", "refused: the checksum is missing"},
	)
	quirks(t, StatusBytes{},
		[2]string{"\x02+<!000000000000\r", "none g gross moving over"},
		[2]string{"\x02+>!000000000000\r", "none g gross moving under"},
		// Bits 5 and 6: one clone sets both, another 6 alone, here neither.
		[2]string{"\x02kqa004126001850\r", "00412.6 g net still ok"},
		[2]string{"\x02KQA004126001850\r", "00412.6 g net still ok"},
		[2]string{"\x02\x0b\x11\x01004126001850\r", "00412.6 g net still ok"},
		// The decimals, 1 to 6, and the codes that no description has.
		[2]string{"\x02)0!004126000000\r", "0041260 g gross still ok"},
		[2]string{"\x02*0!004126000000\r", "004126 g gross still ok"},
		[2]string{"\x02,0!004126000000\r", "0041.26 g gross still ok"},
		[2]string{"\x02-0!004126000000\r", "004.126 g gross still ok"},
		[2]string{"\x02.0!004126000000\r", "00.4126 g gross still ok"},
		[2]string{"\x02(0!004126000000\r", "refused: the number of decimals"},
		[2]string{"\x02/0!004126000000\r", "refused: the number of decimals"},
		// The units.
		[2]string{"\x02+0 004126000000\r", "00412.6 kg gross still ok"},
		[2]string{"\x02+  004126000000\r", "00412.6 lb gross still ok"},
		[2]string{"\x02+0\"004126000000\r", "00412.6 t gross still ok"},
		[2]string{"\x02+0#004126000000\r", "00412.6 oz gross still ok"},
		[2]string{"\x02+0$004126000000\r", "refused: the unit is not known"},
		// The print key changes nothing; the extended display is refused.
		[2]string{"\x02+0)004126000000\r", "00412.6 g gross still ok"},
		[2]string{"\x02+01004126000000\r", "refused: the display is extended"},
		// Blanks for zeros in front.
		[2]string{"\x02+0!  4126     0\r", "412.6 g gross still ok"},
		[2]string{"\x02.0!    12000000\r", ".0012 g gross still ok"},
		[2]string{"\x02+0!      000000\r", "refused: the weight is no number"},
		[2]string{"\x02+0!41 126000000\r", "refused: the weight is not a plain decimal number"},
		[2]string{"\x02+0!00412a000000\r", "refused: a fragment or another shape"},
		[2]string{"\x02+\x00!004126000000\r", "refused: a zero byte"},
		[2]string{"\x19", "refused: a single byte"},
		[2]string{"", "refused: a fragment"},
	)
	// The clone that uses bit 0 of C for kg or lb: the unit is set.
	quirks(t, StatusBytes{Unit: UnitKilogram}, [2]string{"\x02-0!004126000000\r", "004.126 kg gross still ok"})
}

// Shape S9, described in a public simulator and five manuals; one of them has
// motion and zero the other way round, one variant sends the status alone.
func TestPolledQuirks(t *testing.T) {
	quirks(t, Polled{},
		[2]string{"\n 0412.6g \r\n00\r\x03", "0412.6 g still ok"},
		[2]string{"\n 0412.6g \r\n10\r\x03", "0412.6 g moving ok"},
		[2]string{"\n 0000.0g \r\n20\r\x03", "0000.0 g still zero"},
		[2]string{"\n-0003.2g \r\n00\r\x03", "-0003.2 g still ok"},
		[2]string{"\n   -3.2kg\r\n00\r\x03", "-3.2 kg still ok"},
		[2]string{"\n-   3.2lb\r\n00\r\x03", "-3.2 lb still ok"},
		[2]string{"\n 00412.6 oz\r\n00\r\x03", "00412.6 oz still ok"},
		[2]string{"\n^^^^^^^g \r\n02\r\x03", "none g still over"},
		[2]string{"\n_______g \r\n01\r\x03", "none g still under"},
		[2]string{"\n-------g \r\n00\r\x03", "none g still zero-error"},
		[2]string{"\n^^^^^^^g \r\n00\r\x03", "none g still over"},
		// The status counts where the field shows a number all the same.
		[2]string{"\n 0412.6g \r\n02\r\x03", "0412.6 g still over"},
		[2]string{"\n 0412.6g \r\n01\r\x03", "0412.6 g still under"},
		// Errors of its memories and of its calibration.
		[2]string{"\n 0412.6g \r\n40\r\x03", "0412.6 g still not-ready"},
		[2]string{"\n 0412.6g \r\n80\r\x03", "0412.6 g still not-ready"},
		[2]string{"\n 0412.6g \r\n04\r\x03", "0412.6 g still not-ready"},
		[2]string{"\n 0412.6g \r\n08\r\x03", "0412.6 g still not-ready"},
		// The third byte.
		[2]string{"\n 0412.6g \r\n0p4\r\x03", "0412.6 g net still ok"},
		[2]string{"\n 0412.6g \r\n0p1\r\x03", "0412.6 g gross still ok"},
		[2]string{"\n 0412.6g \r\n0p8\r\x03", "0412.6 g gross still initial-zero-error"},
		[2]string{"\n 0412.6g \r\n0p\r\x03", "refused: the third status byte is missing"},
		[2]string{"\n 0412.6g \r\n 0\r\x03", "refused: a status byte lacks the bits"},
		[2]string{"\n?\r\x03", "none unknown-command"},
		[2]string{"\n00\r\x03", "refused: a fragment, or a status alone"},
		[2]string{"\n 0412.6  \r\n00\r\x03", "refused: the unit is missing"},
		[2]string{"\n 0412.6g 3\r\n00\r\x03", "refused: the unit is missing or not known, or there is more"},
		[2]string{"\n 04 2.6g \r\n00\r\x03", "refused: the value is not a plain"},
		[2]string{"\n 0412.6pc\r\n00\r\x03", "0412.6 pc still count"},
		[2]string{"\n 04\x002.6g \r\n00\r\x03", "refused: a zero byte"},
		[2]string{"\n 0412.6g \r\n00\r", "refused: a fragment"},
	)
	quirks(t, Polled{Reversed: true},
		[2]string{"\n 0412.6g \r\n30\r\x03", "0412.6 g still ok"},
		[2]string{"\n 0412.6g \r\n20\r\x03", "0412.6 g moving ok"},
		[2]string{"\n 0000.0g \r\n10\r\x03", "0000.0 g still zero"},
	)
	quirks(t, Polled{Alone: true},
		[2]string{"\n10\r\x03", "none moving not-ready"},
		[2]string{"\n02\r\x03", "none still over"},
		[2]string{"\n01\r\x03", "none still under"},
		[2]string{"\n20\r\x03", "none still not-ready"},
		[2]string{"\n0 \r\x03", "refused: a status byte lacks"},
		[2]string{"\n0000\r\x03", "refused: a fragment"},
	)
}

// Shape S10, described on a public protocol page; a public list of drivers has
// the variant with seven characters and no EOT. The frames are examples made
// from those descriptions.
func TestHandshakeQuirks(t *testing.T) {
	quirks(t, Handshake{},
		[2]string{"\x01\x02S 0.4126kg\x60\x03\x04", "0.4126 kg still ok"},
		[2]string{"\x01\x02U-0.0032kg\x6b\x03\x04", "-0.0032 kg moving ok"},
		[2]string{"\x01\x02SFFFFFFFkg\x19\x03\x04", "none kg still over"},
		[2]string{"\x01\x02S   12.5 g\x2c\x03\x04", "12.5 g still ok"},
		[2]string{"\x01\x02S 00.4126kg\x50\x03", "00.4126 kg still ok"},
		[2]string{"\x01\x02SFFFFFFFFkg\x5f\x03", "none kg still over"},
		[2]string{"\x01\x02S 0.0073kg\x65\x03\x04", "0.0073 kg still ok"},
		// A check that is ETX is no end of the frame.
		[2]string{"\x01\x02S 000073 g\x03\x03\x04", "refused: the block check is wrong"},
		[2]string{"\x01\x02S 0.4126kg\x61\x03\x04", "refused: the block check is wrong"},
		[2]string{"\x01\x02S 0.4136kg\x60\x03\x04", "refused: the block check is wrong"},
		[2]string{"\x01\x02X 0.4126kg\x6b\x03\x04", "refused: the status is neither"},
		[2]string{"\x01\x02S+0.4126kg\x6b\x03\x04", "refused: the sign is none"},
		[2]string{"\x01\x02SF0.4126kg\x06\x03\x04", "refused: overload with a value"},
		[2]string{"\x01\x02S 0.4126xy\x6d\x03\x04", "refused: the unit is not known"},
		[2]string{"\x01\x02S 0.4-26kg\x7c\x03\x04", "refused: the value is not a plain"},
		[2]string{"\x01\x02S 0.4126kg\x60\x03", "refused: a fragment"},
		[2]string{"\x06", "none info"},
	)
	assert.Equal(t, []byte{byteDC1}, Handshake{}.Reply([]byte{byteACK}))
	assert.Nil(t, Handshake{}.Reply([]byte("\x01\x02S 0.4126kg\x60\x03\x04")))
	assert.Nil(t, Handshake{}.Reply(nil))
	var _ Replier = Handshake{}
	// A check that is the ACK stays in its frame, an ACK in front is a piece.
	f := NewFramer(Handshake{})
	f.Feed([]byte("\x06\x01\x02S 0.4120kg\x66\x03\x04xx\x06\x01\x02U 000002kg\x06\x03\x04"))
	var got []string
	for r, err, ok := f.Next(); ok; r, err, ok = f.Next() {
		got = append(got, said(r, err))
	}
	assert.Equal(t, []string{"none info", "0.4120 kg still ok", "refused: a fragment or another shape: SOH, STX, status, sign, value, unit, BCC, ETX are expected", "none info", "refused: the block check is wrong: the frame was damaged on the line"}, got)
}

// Shape S11, described in one manual: examples made from it.
func TestXorDigitsQuirks(t *testing.T) {
	quirks(t, XorDigits{Unit: UnitGram},
		[2]string{"\x02+00412611B\x03", "00412.6 g ok"},
		[2]string{"\x02-00003211D\x03", "-00003.2 g ok"},
		[2]string{"\x02+01250441D\x03", "01.2504 g ok"},
		[2]string{"\x02+00412611b\x03", "refused: a fragment"},
		[2]string{"\x02+00412611C\x03", "refused: the checksum is wrong"},
		[2]string{"\x02+00413611B\x03", "refused: the checksum is wrong"},
		[2]string{"\x02+00412651F\x03", "refused: more than four decimals"},
		[2]string{"\x02 00412611B\x03", "refused: a fragment"},
		[2]string{"\x02A0041261B1\x03", "refused: a fragment"}, // the sibling with addresses
	)
	// Without the setting nothing is usable.
	r, err := XorDigits{}.Decode([]byte("\x02+00412611B\x03"))
	assert.Equal(t, "00412.6 ok", said(r, err))
	_, usable := r.Weight()
	assert.False(t, usable)
}

// Shape S12, described in one manual, whose own example is -1.00 as =00.1000- .
func TestReversedQuirks(t *testing.T) {
	quirks(t, Reversed{Unit: UnitGram},
		[2]string{"=00.1000-", "-0001.00 g ok"},
		[2]string{"=6.214000", "00412.6 g ok"},
		[2]string{"=52.3000-", "-0003.25 g ok"},
		[2]string{"=4052.100", "01.2504 g ok"},
		[2]string{"=62140000", "0004126 g ok"},
		[2]string{"=6.2.4000", "refused: read backwards, the number is not a plain"},
		[2]string{"=.......0", "refused: read backwards, the number is"},
		[2]string{"=6.21400", "refused: a fragment"},
		[2]string{"=6.214+00", "refused: a fragment"},
		[2]string{"=6.214001", "refused: a fragment"},
	)
	f := NewFramer(Reversed{Unit: UnitGram})
	f.Feed([]byte("214000=4052.100=4052.100=40"))
	var got []string
	for r, err, ok := f.Next(); ok; r, err, ok = f.Next() {
		got = append(got, said(r, err))
	}
	require.Len(t, got, 3, "a fragment, two frames, and one that is not whole yet: %q", got)
	assert.Equal(t, []string{"01.2504 g ok", "01.2504 g ok"}, got[1:])
	r, err := Reversed{}.Decode([]byte("=6.214000"))
	require.NoError(t, err)
	_, usable := r.Weight()
	assert.False(t, usable, "no unit")
}
