package scaletest

import (
	"bufio"
	"bytes"
	"io"
	"math/rand/v2"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/scale"
)

// Codec checks what every family of lines must hold, whatever its shape. What a
// shape has no way to say (a mode, a motion mark, a unit, a sign apart from its
// digits) is found out first, with Probe, and is then not asked for; the tests
// of each codec pin what it must say.
func Codec(t *testing.T, c scale.Codec) {
	t.Helper()
	s := codec{c, Probe(c)}
	require.NotEmpty(t, s.can.Units, "a shape that carries no weight in any unit is none")
	for _, rule := range s.rules() {
		t.Run(rule.name, func(t *testing.T) { rule.holds(t) })
	}
}

// rule is something that holds for every codec.
type rule struct {
	name  string
	holds func(t rapid.TB)
}

func (c codec) rules() []rule {
	return []rule{
		{"it has room for what a bench scale shows", c.room},
		{"a weight comes back as it went", c.roundTrip},
		{"a number that does not fit is no other number", c.unfit},
		{"what is no weight never becomes one", c.unusable},
		{"zero and full scale", c.ends},
		{"overload has no weight", c.overload},
		{"the sign may stand far from the digits", c.signFarOff},
		{"an unknown unit is refused", c.unknownUnit},
		{"a line has one unit", c.oneUnit},
		{"a count is no weight", c.count},
		{"a total is no weight", c.total},
		{"any chunking gives the same frames", c.chunking},
		{"junk costs no whole frame", c.junk},
		{"a truncated frame is no weight", c.truncated},
		{"a byte with the high bit is no weight", c.highBit},
		{"a zero byte in a number is no weight", c.zeroByte},
		{"the checksum sees every changed byte", c.checksum},
		{"parity read as data is told", c.parity},
		{"nothing panics and pieces are bounded", c.anything},
		{"requests come back as they went", c.requests},
		{"a good frame costs no allocation", c.allocations},
	}
}

type codec struct {
	scale.Codec
	can Features
}

func (c codec) room(t rapid.TB) {
	assert.GreaterOrEqual(t, c.can.Digits, 4, "fewer digits than a bench scale shows")
}

// piece is what one stretch of the stream became. Errors are kept as text, so
// that pieces compare.
type piece struct {
	r   scale.Reading
	bad string
	at  int64
}

// drain reads a stream to its end through a Framer.
func (c codec) drain(t require.TestingT, in io.Reader) (all []piece) {
	f := scale.NewFramer(c)
	buf := make([]byte, 512)
	for {
		n, err := in.Read(buf)
		f.Feed(buf[:n])
		if err == io.EOF {
			f.Flush()
		} else {
			require.NoError(t, err)
		}
		for {
			r, bad, ok := f.Next()
			if !ok {
				break
			}
			p := piece{r: r, at: f.At()}
			if bad != nil {
				var fault *scale.FrameError
				require.ErrorAs(t, bad, &fault)
				require.LessOrEqual(t, len(fault.Piece), scale.MaxPiece)
				require.GreaterOrEqual(t, fault.Offset, 0)
				require.Less(t, fault.Offset, len(fault.Piece))
				require.Equal(t, scale.Reading{}, r, "a refused piece carries no reading")
				p.bad = bad.Error()
			}
			all = append(all, p)
		}
		if err == io.EOF {
			return all
		}
	}
}

// numbers are the readings of a stream that carry a number.
func (c codec) numbers(t require.TestingT, stream []byte) (all []scale.Reading) {
	for _, p := range c.drain(t, bytes.NewReader(stream)) {
		if p.r.HasNumber {
			all = append(all, p.r)
		}
	}
	return all
}

// one decodes a stream that must hold exactly one piece.
func (c codec) one(t require.TestingT, frame []byte) scale.Reading {
	all := c.drain(t, bytes.NewReader(frame))
	require.Len(t, all, 1, "%q", frame)
	require.Empty(t, all[0].bad)
	return all[0].r
}

func (c codec) roundTrip(t rapid.TB) {
	rapid.Check(t, func(t *rapid.T) {
		r := c.weight().Draw(t, "reading")
		got := c.one(t, c.Encode([]byte("kept"), r)[4:])
		require.Equal(t, c.can.say(r), c.plain(got))
		m, usable := got.Weight()
		require.Equal(t, r.Mode != scale.ModeTare && got.Unit.IsMass(), usable)
		if usable {
			exact, err := scale.ParseMass(r.Number.String(), got.Unit)
			require.NoError(t, err)
			require.Equal(t, exact, m)
		}
	})
}

// unfit sends numbers of any size: what does not fit the field must not come
// back as another weight.
func (c codec) unfit(t rapid.TB) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`-?([0-9]{1,14}|[0-9]{0,8}\.[0-9]{1,9})`).Draw(t, "number")
		r := c.reading(t, text)
		sent, _ := r.Weight()
		for _, p := range c.drain(t, bytes.NewReader(c.Encode(nil, r))) {
			if got, ok := p.r.Weight(); ok {
				require.Equal(t, sent, got, "%s is %+v", text, p.r)
			}
		}
	})
}

func (c codec) unusable(t rapid.TB) {
	for status := scale.StatusOver; status <= scale.StatusInfo; status++ {
		for _, has := range []bool{true, false} {
			r := c.reading(t, "412.6")
			r.Status, r.HasNumber = status, has
			for _, p := range c.drain(t, bytes.NewReader(c.Encode(nil, r))) {
				_, usable := p.r.Weight()
				assert.False(t, usable, "%s, number %v: %+v", status, has, p)
			}
		}
	}
	tare := c.reading(t, "412.6")
	tare.Mode = scale.ModeTare // never a live weight
	for _, r := range []scale.Reading{tare, {}, {Unit: c.can.Units[0]}, {HasNumber: true, Unit: scale.UnitPieces}} {
		for _, p := range c.drain(t, bytes.NewReader(c.Encode(nil, r))) {
			_, usable := p.r.Weight()
			assert.False(t, usable, "%+v became %+v", r, p)
		}
	}
}

func (c codec) ends(t rapid.TB) {
	for _, number := range []string{"0", "0.0", "-0.0", "0.000", "00.00", "999999", "99999.9", "-9999.9", "99999", "9999.9", "-999.9", "1", "0.001"} {
		want := c.reading(t, number)
		if !c.fits(want.Number) {
			continue
		}
		got := c.one(t, c.Encode(nil, want))
		assert.Equal(t, want, c.plain(got))
		if c.can.Lead {
			assert.Equal(t, number, got.Number.String())
		}
		m, ok := got.Weight()
		assert.True(t, ok)
		exact, err := scale.ParseMass(number, want.Unit)
		require.NoError(t, err)
		assert.Equal(t, exact, m)
	}
}

func (c codec) overload(t rapid.TB) {
	for _, status := range []scale.Status{scale.StatusOver, scale.StatusUnder} {
		if !c.can.Says[status] {
			continue // then it is covered by what is no weight
		}
		for _, has := range []bool{true, false} {
			r := c.reading(t, "6200.5")
			r.Status, r.HasNumber, r.Number.Negative = status, has, status == scale.StatusUnder
			got := c.one(t, c.Encode(nil, r))
			assert.Equal(t, status, got.Status)
			_, ok := got.Weight()
			assert.False(t, ok)
		}
	}
}

func (c codec) junk(t rapid.TB) {
	rapid.Check(t, func(t *rapid.T) {
		data, want := c.stream(t)
		got := c.numbers(t, data)
		require.True(t, c.account(want, got), "%q is %+v, and was %+v", data, got, want)
	})
}

// account reports whether the readings are those that were sent. Where nothing
// marks the beginning of a frame, one right behind junk may be lost.
func (c codec) account(want []sent, got []scale.Reading) bool {
	if len(want) == 0 {
		return len(got) == 0
	}
	if len(got) > 0 && c.plain(got[0]) == want[0].r && c.account(want[1:], got[1:]) {
		return true
	}
	resync := c.can.Resync && (want[0].r.Mode != scale.ModeTare || c.can.ResyncTare)
	return want[0].exposed && !resync && c.account(want[1:], got)
}

func (c codec) chunking(t rapid.TB) {
	rapid.Check(t, func(t *rapid.T) {
		data, _ := c.stream(t)
		want := c.drain(t, bytes.NewReader(data))
		require.Equal(t, want, c.drain(t, iotest.OneByteReader(bytes.NewReader(data))), "byte by byte")
		require.Equal(t, want, c.drain(t, iotest.HalfReader(bytes.NewReader(data))), "by halves")
		require.Equal(t, want, c.drain(t, iotest.DataErrReader(bytes.NewReader(data))), "the end with the last bytes")
		seed := rapid.Uint64().Draw(t, "cuts")
		require.Equal(t, want, c.drain(t, &cutter{data: data, random: rand.New(rand.NewPCG(seed, 1))}), "cut at random")

		scanner := bufio.NewScanner(iotest.OneByteReader(bytes.NewReader(data)))
		scanner.Split(c.Split)
		n := 0
		for ; scanner.Scan(); n++ {
			require.Less(t, n, len(want))
			r, _ := c.Decode(scanner.Bytes())
			require.Equal(t, want[n].r, r)
		}
		require.NoError(t, scanner.Err())
		require.Len(t, want, n)
	})
}

// anything throws noise and damaged frames at every method.
func (c codec) anything(t rapid.TB) {
	rapid.Check(t, func(t *rapid.T) {
		data, _ := c.stream(t)
		for _, at := range rapid.SliceOfN(rapid.IntRange(0, max(len(data)-1, 0)), 0, 5).Draw(t, "damage") {
			if at < len(data) {
				data[at] = rapid.Byte().Draw(t, "byte")
			}
		}
		_, _ = c.Decode(data)
		require.Empty(t, c.bounded(data))
	})
	for _, b := range append(bytes.Clone(c.can.Frames), 0, 'x', 0xFF) {
		long := bytes.Repeat([]byte{b}, 3*scale.MaxPiece)
		assert.Empty(t, c.bounded(long), "%q again and again", b)
		assert.Empty(t, c.numbers(t, long))
	}
}

// bounded says what Split and ParseRequest do that their callers do not expect.
// It is called for every input of a fuzzer, and asserts nothing itself.
func (c codec) bounded(data []byte) (wrong string) {
	for rest, end := data, false; ; {
		advance, piece, err := c.Split(rest, end)
		switch {
		case err != nil:
			return "Split gives an error: " + err.Error()
		case len(piece) > scale.MaxPiece:
			return "a piece is too long"
		case advance < len(piece) || advance > len(rest):
			return "Split takes less than its piece, or more than there is"
		}
		rest = rest[advance:]
		switch {
		case advance > 0:
		case end && len(rest) > 0:
			return "at the end of the data something is left"
		case end:
			if _, n := c.ParseRequest(data); n < 0 || n > len(data) {
				return "ParseRequest takes more than there is"
			}
			return ""
		case len(rest) > scale.MaxPiece:
			return "it waits for more although there is more than a piece"
		}
		end = advance == 0
	}
}

func (c codec) requests(t rapid.TB) {
	for want := scale.RequestUnknown; want <= scale.RequestInfoNext; want++ {
		sent, ok := c.Request(nil, want)
		if !ok {
			assert.Empty(t, sent, "no bytes for a command that does not exist")
			continue
		}
		require.NotEqual(t, scale.RequestUnknown, want)
		got, n := c.ParseRequest(sent)
		assert.Equal(t, want, got)
		assert.Equal(t, len(sent), n)
		for i := range sent {
			_, n := c.ParseRequest(sent[:i])
			assert.Zero(t, n, "%q is not whole", sent[:i])
		}
	}
}

func (c codec) allocations(t rapid.TB) {
	frame := c.Encode(nil, c.reading(t, "-123.4"))
	var buf [2 * scale.MaxPiece]byte
	f := scale.NewFramer(c)
	assert.Zero(t, testing.AllocsPerRun(1000, func() {
		advance, piece, _ := c.Split(frame, false)
		if r, err := c.Decode(piece); err != nil || !r.HasNumber || advance == 0 {
			t.Error("the frame is good")
		}
		c.Encode(buf[:0], scale.Reading{Unit: c.can.Units[0]})
		f.Feed(frame)
		for _, _, ok := f.Next(); ok; _, _, ok = f.Next() {
		}
	}))
}
