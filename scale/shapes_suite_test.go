package scale

import (
	"bufio"
	"bytes"
	"io"
	"math/bits"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestShapes holds every shape to the rules that scaletest.Codec has for lines
// that say everything.
func TestShapes(t *testing.T) {
	for _, s := range shapes() {
		t.Run(s.name, func(t *testing.T) {
			t.Run("a weight comes back as it went", s.roundTrip)
			t.Run("what is no weight never becomes one", s.unusable)
			t.Run("zero and full scale", s.ends)
			t.Run("any chunking gives the same pieces", s.chunking)
			t.Run("junk costs no whole frame", s.junk)
			t.Run("a truncated frame is no weight", s.truncated)
			t.Run("a damaged byte is no other weight", s.damaged)
			t.Run("parity read as data is told", s.parity)
			t.Run("nothing panics and pieces are bounded", s.anything)
			t.Run("requests come back as they went", s.requests)
			t.Run("a good frame costs no allocation", s.allocations)
		})
	}
}

type shapePiece struct {
	r   Reading
	bad string
	at  int64
}

func (s shape) drain(t require.TestingT, in io.Reader) (all []shapePiece) {
	f := NewFramer(s.codec)
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
			p := shapePiece{r: r, at: f.At()}
			if bad != nil {
				var fault *FrameError
				require.ErrorAs(t, bad, &fault)
				require.LessOrEqual(t, len(fault.Piece), MaxPiece)
				require.GreaterOrEqual(t, fault.Offset, 0)
				require.Less(t, fault.Offset, len(fault.Piece), "%q", fault.Piece)
				require.Equal(t, Reading{}, r, "a refused piece carries no reading")
				p.bad = bad.Error()
			}
			all = append(all, p)
		}
		if err == io.EOF {
			return all
		}
	}
}

// numbers are the readings that carry a number, zeros in front forgotten.
func (s shape) numbers(t require.TestingT, stream []byte) (all []Reading) {
	for _, p := range s.drain(t, bytes.NewReader(stream)) {
		if p.r.HasNumber {
			all = append(all, unled(p.r))
		}
	}
	return all
}

func drawReading(t *rapid.T) Reading {
	number := rapid.StringMatching(`-?([0-9]{1,6}|[0-9]{1,3}\.[0-9]{1,3}|\.[0-9]{1,5})`).Draw(t, "number")
	d, err := ParseDecimal(number)
	require.NoError(t, err)
	return Reading{
		Number: d, HasNumber: true,
		Unit:   rapid.SampledFrom([]Unit{UnitGram, UnitKilogram, UnitPound, UnitOunce}).Draw(t, "unit"),
		Mode:   rapid.SampledFrom([]Mode{ModeGross, ModeNet}).Draw(t, "mode"),
		Motion: rapid.SampledFrom([]Motion{MotionStill, MotionMoving}).Draw(t, "motion"),
	}
}

func gramsOf(t require.TestingT, number string) Reading {
	d, err := ParseDecimal(number)
	require.NoError(t, err)
	return Reading{Number: d, HasNumber: true, Unit: UnitGram, Mode: ModeGross, Motion: MotionStill}
}

// usual is a reading that every setting of the shape can send.
func (s shape) usual(t require.TestingT, number string) Reading {
	r := gramsOf(t, number)
	if c, ok := s.codec.(Labelled); ok {
		r.Mode = c.wanted()
	}
	return r
}

func (s shape) roundTrip(t *testing.T) {
	sent := 0
	rapid.Check(t, func(t *rapid.T) {
		r := drawReading(t)
		frame := s.codec.Encode([]byte("kept"), r)
		require.Equal(t, "kept", string(frame[:4]))
		got := s.numbers(t, frame[4:])
		if !s.sends(r) {
			require.Empty(t, got, "%+v has no room and became %q", r, frame)
			return
		}
		sent++
		require.Equal(t, []Reading{s.want(r)}, got, "%q", frame)
		m, ok := got[0].Weight()
		require.True(t, ok)
		exact, err := ParseMass(r.Number.String(), got[0].Unit)
		require.NoError(t, err)
		require.Equal(t, exact, m)
		r.Mode = ModeTare
		for _, tare := range s.drain(t, bytes.NewReader(s.codec.Encode(nil, r))) {
			_, usable := tare.r.Weight()
			require.False(t, usable, "a tare became a weight")
		}
	})
	assert.Greater(t, sent, 10, "too little was sent to say anything")
}

func (s shape) unusable(t *testing.T) {
	for status := StatusOver; status <= StatusInfo; status++ {
		for _, has := range []bool{true, false} {
			r := s.usual(t, "412.6")
			r.Status, r.HasNumber, r.Number.Negative = status, has, status == StatusUnder
			all := s.drain(t, bytes.NewReader(s.codec.Encode(nil, r)))
			for _, p := range all {
				_, usable := p.r.Weight()
				assert.False(t, usable, "%s, number %v: %+v", status, has, p)
				assert.Equal(t, status, p.r.Status)
			}
			if status == StatusOver && !s.silent {
				assert.Len(t, all, 1, "overload has a word here")
			}
		}
	}
	for _, r := range []Reading{{}, {Unit: UnitGram}, {HasNumber: true}, {HasNumber: true, Unit: UnitPieces}, {HasNumber: true, Unit: UnitPercent}} {
		assert.Empty(t, s.numbers(t, s.codec.Encode(nil, r)), "%+v", r)
	}
}

func (s shape) ends(t *testing.T) {
	for _, number := range []string{"0", "0.0", "-0.0", "0.000", "00.00", "9999.9", "-999.9", "1", "0.001"} {
		r := s.usual(t, number)
		require.True(t, s.sends(r), number)
		got := s.numbers(t, s.codec.Encode(nil, r))
		require.Equal(t, []Reading{s.want(r)}, got, number)
	}
	r := s.usual(t, "999999")
	if s.sends(r) {
		require.Equal(t, []Reading{s.want(r)}, s.numbers(t, s.codec.Encode(nil, r)))
	}
}

// stream is frames with junk before, between and after, and what they mean.
func (s shape) stream(t *rapid.T) (data []byte, want []Reading) {
	noise := rapid.OneOf(
		rapid.SliceOfN(rapid.Byte(), 0, 3*MaxPiece),
		rapid.SliceOfN(rapid.SampledFrom([]byte(s.marks)), 0, 3*MaxPiece),
	)
	if s.free {
		// Digits would be lines, and a piece of a line would be part of the next.
		noise = rapid.Map(rapid.SliceOfN(rapid.SampledFrom([]byte("xyz.-+ \x00\xff\r\n")), 0, 3*MaxPiece), func(b []byte) []byte { return append(b, '\r') })
	}
	for range rapid.IntRange(0, 8).Draw(t, "frames") {
		if rapid.Bool().Draw(t, "junk") {
			data = append(data, noise.Draw(t, "junk")...)
		}
		r := drawReading(t)
		if s.sends(r) {
			data = s.codec.Encode(data, r)
			want = append(want, s.want(r))
		}
	}
	return append(data, noise.Draw(t, "tail")...), want
}

func (s shape) junk(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data, want := s.stream(t)
		require.Equal(t, want, s.numbers(t, data), "%q", data)
	})
}

type shapeCutter struct {
	data   []byte
	random *rand.Rand
}

func (c *shapeCutter) Read(p []byte) (int, error) {
	if len(c.data) == 0 {
		return 0, io.EOF
	}
	n := copy(p, c.data[:c.random.IntN(min(len(c.data), 90)+1)])
	c.data = c.data[n:]
	return n, nil
}

func (s shape) chunking(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data, _ := s.stream(t)
		want := s.drain(t, bytes.NewReader(data))
		require.Equal(t, want, s.drain(t, iotest.OneByteReader(bytes.NewReader(data))), "byte by byte")
		require.Equal(t, want, s.drain(t, iotest.HalfReader(bytes.NewReader(data))), "by halves")
		require.Equal(t, want, s.drain(t, iotest.DataErrReader(bytes.NewReader(data))), "the end with the last bytes")
		seed := rapid.Uint64().Draw(t, "cuts")
		require.Equal(t, want, s.drain(t, &shapeCutter{data: data, random: rand.New(rand.NewPCG(seed, 1))}), "cut at random")
		scanner := bufio.NewScanner(iotest.OneByteReader(bytes.NewReader(data)))
		scanner.Split(s.codec.Split)
		n := 0
		for ; scanner.Scan(); n++ {
			require.Less(t, n, len(want))
			r, _ := s.codec.Decode(scanner.Bytes())
			require.Equal(t, want[n].r, r)
		}
		require.NoError(t, scanner.Err())
		require.Len(t, want, n)
	})
}

// truncated cuts a frame at every byte, from both sides: alone, it is no
// weight, and with whole frames behind it there is no other weight than theirs.
func (s shape) truncated(t *testing.T) {
	r := s.usual(t, "-23.4")
	frame := s.codec.Encode(nil, r)
	require.NotEmpty(t, frame)
	c, bare := s.codec.(Bare)
	loose := bare && c.Width == 0 && !c.Dollar // a fragment is a line, which is the reason for Width
	for i := range frame {
		if i < len(frame)-s.tail {
			assert.Empty(t, s.numbers(t, frame[:i]), "%q", frame[:i])
		}
		if i > 0 && !bare {
			assert.Empty(t, s.numbers(t, frame[i:]), "%q", frame[i:])
		}
		for _, fragment := range [][]byte{frame[:i], frame[i:]} {
			if loose || bare && c.Dollar && len(fragment) < len(frame) && bytes.HasSuffix(fragment, []byte("\r")) {
				continue
			}
			got := s.numbers(t, bytes.Join([][]byte{fragment, frame, frame}, nil))
			least := 2
			if bare && !c.Dollar {
				least = 1 // what is glued to a line is refused together with it
			}
			assert.GreaterOrEqual(t, len(got), least, "%q costs a whole frame", fragment)
			for _, other := range got {
				assert.Equal(t, s.want(r), other, "%q", fragment)
			}
		}
	}
}

// damaged sets the high bit of every byte, and every byte to zero; where there
// is a checksum, it flips every bit.
func (s shape) damaged(t *testing.T) {
	r := s.usual(t, "23.4")
	good := s.codec.Encode(nil, r)
	for i := range good {
		for _, c := range []byte{good[i] | 0x80, 0} {
			frame := append(append([]byte(nil), good...), good...)
			frame[i] = c
			for _, other := range s.numbers(t, frame) {
				assert.Equal(t, s.want(r), other, "byte %d is %#x", i, c)
			}
		}
		if !s.check {
			continue
		}
		for bit := range 8 {
			frame := append([]byte(nil), good...)
			frame[i] ^= 1 << bit
			assert.Empty(t, s.numbers(t, frame), "bit %d of byte %d", bit, i)
		}
	}
	if !s.check {
		return
	}
	wrong := append([]byte(nil), good...)
	at := bytes.IndexByte(wrong, '3')
	wrong[at] = '4'
	all := s.drain(t, bytes.NewReader(wrong))
	require.Len(t, all, 1)
	assert.Regexp(t, "check(sum)? is wrong", all[0].bad)
}

// parity sends frames as 7 bits with parity and reads them as 8 bits.
func (s shape) parity(t *testing.T) {
	for odd, name := range []string{"even", "odd"} {
		frames := bytes.Repeat(s.codec.Encode(nil, s.usual(t, "23.4")), 6)
		for i, b := range frames {
			frames[i] = b | byte(bits.OnesCount8(b)&1^odd)<<7
		}
		told := 0
		for _, p := range s.drain(t, bytes.NewReader(frames)) {
			assert.NotEmpty(t, p.bad)
			if strings.Contains(p.bad, "looks like 7 data bits with parity read as 8 bits") {
				told++
			}
		}
		assert.Positive(t, told, "%s parity", name)
	}
}

func (s shape) anything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data, _ := s.stream(t)
		for _, at := range rapid.SliceOfN(rapid.IntRange(0, max(len(data)-1, 0)), 0, 5).Draw(t, "damage") {
			if at < len(data) {
				data[at] = rapid.Byte().Draw(t, "byte")
			}
		}
		_, _ = s.codec.Decode(data)
		for rest, end := data, false; ; {
			advance, piece, err := s.codec.Split(rest, end)
			require.NoError(t, err)
			require.LessOrEqual(t, len(piece), MaxPiece)
			require.LessOrEqual(t, len(piece), advance)
			require.LessOrEqual(t, advance, len(rest))
			rest = rest[advance:]
			if advance == 0 && end {
				require.Empty(t, rest, "at the end of the data nothing may be left")
				break
			}
			if advance == 0 {
				require.Less(t, len(rest), MaxPiece, "it waits for more although there is a piece")
			}
			end = advance == 0
		}
		_, n := s.codec.ParseRequest(data)
		require.True(t, 0 <= n && n <= len(data))
	})
}

func (s shape) requests(t *testing.T) {
	for want := RequestUnknown; want <= RequestInfoNext; want++ {
		sent, ok := s.codec.Request([]byte("kept"), want)
		require.Equal(t, "kept", string(sent[:4]))
		if sent = sent[4:]; !ok {
			assert.Empty(t, sent)
			continue
		}
		require.NotEqual(t, RequestUnknown, want)
		got, n := s.codec.ParseRequest(sent)
		assert.Equal(t, want, got)
		assert.Equal(t, len(sent), n)
		for i := range sent {
			_, n := s.codec.ParseRequest(sent[:i])
			assert.Zero(t, n, "%q is not whole", sent[:i])
		}
	}
}

func (s shape) allocations(t *testing.T) {
	r := s.usual(t, "-23.4")
	frame := s.codec.Encode(nil, r)
	var buf [2 * MaxPiece]byte
	f := NewFramer(s.codec)
	assert.Zero(t, testing.AllocsPerRun(1000, func() {
		advance, piece, _ := s.codec.Split(frame, false)
		if got, err := s.codec.Decode(piece); err != nil || !got.HasNumber || advance == 0 {
			t.Error("the frame is good")
		}
		s.codec.Encode(buf[:0], r)
		f.Feed(frame)
		for _, _, ok := f.Next(); ok; _, _, ok = f.Next() {
		}
	}))
}
