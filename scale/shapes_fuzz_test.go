package scale

import (
	"bytes"
	"strings"
	"testing"
)

func FuzzStatusBytes(f *testing.F) {
	fuzzShapes(f, "status-bytes", "\x02+1!004126001850\r", "\x02+1!004126001850\r\x19", "\x02+<!000000000000\r", "\x02kqa  4126     0\r")
}

func FuzzPolled(f *testing.F) {
	fuzzShapes(f, "polled", "\n 0412.6g \r\n00\r\x03", "\n^^^^^^^g \r\n0p8\r\x03", "\n?\r\x03", "\n10\r\x03")
}

func FuzzHandshake(f *testing.F) {
	fuzzShapes(f, "handshake", "\x01\x02S 0.4126kg\x60\x03\x04", "\x06\x01\x02S 00.4126kg\x50\x03", "\x01\x02SFFFFFFFkg\x19\x03\x04")
}

func FuzzXorDigits(f *testing.F) {
	fuzzShapes(f, "xor-digits", "\x02+00412611B\x03", "\x02-00003211D\x03")
}

func FuzzReversed(f *testing.F) {
	fuzzShapes(f, "reversed", "=6.214000=52.3000-", "=00.1000-")
}

func FuzzPrefix(f *testing.F) {
	fuzzShapes(f, "prefix", "ww00000.413kg\r\n", "wn-0000.003lb")
}

func FuzzFramed(f *testing.F) {
	fuzzShapes(f, "framed", "\x02   412.6G\x03", "\x02   412.6NM 1   \x03", "\x02-     3.2M\x03")
}

func FuzzCRFirst(f *testing.F) {
	fuzzShapes(f, "cr-first", "\r-  003.2Mg N\x03", "\r 99999.9O gG\x03")
}

func FuzzLabelled(f *testing.F) {
	fuzzShapes(f, "labelled", "2031-05-04 10:22\r\nGross: 412.6 g\r\nTare: 185.0 g\r\nNet: 227.6 g\r\n\r\n", "GS-3.2kg\r")
}

func FuzzBare(f *testing.F) {
	fuzzShapes(f, "bare", "$000412\r412.6\r\n", "   -12.5\r\n")
}

// fuzzShapes: whichever settings of the shape read the bytes, nothing panics,
// any cut of the stream gives the same pieces, what reads as a weight is written
// and read as the same weight, and junk in front of a frame that has a mark at
// its start changes nothing about it.
func fuzzShapes(f *testing.F, name string, seeds ...string) {
	for _, seed := range seeds {
		f.Add([]byte(seed), []byte("junk"))
	}
	var settings []shape
	for _, s := range shapes() {
		if strings.HasPrefix(s.codec.Name(), name) {
			settings = append(settings, s)
		}
	}
	f.Fuzz(func(t *testing.T, data, junk []byte) {
		_ = BinaryFrames(data)
		for _, s := range settings {
			fuzzShape(t, s, data, junk)
		}
	})
}

func fuzzShape(t *testing.T, s shape, data, junk []byte) {
	if _, n := s.codec.ParseRequest(data); n < 0 || n > len(data) {
		t.Fatalf("ParseRequest took %d of %d bytes", n, len(data))
	}
	if r, err := s.codec.Decode(data); err != nil && r != (Reading{}) {
		t.Fatalf("%q is refused and read: %+v", data, r)
	}
	whole, cut := NewFramer(s.codec), NewFramer(s.codec)
	whole.Feed(data)
	whole.Flush()
	var want, got []string
	for r, err, ok := whole.Next(); ok; r, err, ok = whole.Next() {
		want = append(want, said(r, err))
		if m, usable := r.Weight(); usable {
			fuzzAgain(t, s, r, m, junk)
		}
	}
	fetch := func() {
		for r, err, ok := cut.Next(); ok; r, err, ok = cut.Next() {
			got = append(got, said(r, err))
		}
	}
	for i := range data {
		cut.Feed(data[i : i+1])
		fetch()
	}
	cut.Flush()
	fetch()
	if len(want) != len(got) {
		t.Fatalf("%q is %q whole and %q byte by byte", data, want, got)
	}
	for i := range want {
		if want[i] != got[i] {
			t.Fatalf("%q is %q whole and %q byte by byte", data, want, got)
		}
	}
}

// fuzzAgain writes and reads a weight again. Fields that the shape writes more
// narrowly than it reads them may have no room for it.
func fuzzAgain(t *testing.T, s shape, r Reading, m Mass, junk []byte) {
	frame := s.codec.Encode(nil, r)
	if len(frame) == 0 {
		return
	}
	again, err := s.codec.Decode(frame)
	if got, usable := again.Weight(); err != nil || !usable || got != m || again.Motion != r.Motion || again.Number.Places != r.Number.Places {
		t.Fatalf("%+v, written as %q, is %+v (%v)", r, frame, again, err)
	}
	if s.free {
		return
	}
	framer := NewFramer(s.codec)
	framer.Feed(bytes.Join([][]byte{junk, frame}, nil))
	framer.Flush()
	var last Reading
	for got, _, ok := framer.Next(); ok; got, _, ok = framer.Next() {
		last = got
	}
	if last != again {
		t.Fatalf("behind %q the frame %q is %+v", junk, frame, last)
	}
}
