package scale

import (
	"bytes"
	"testing"
)

func FuzzSMA(f *testing.F) {
	for _, seed := range []string{
		"\n 1G       412.6g  \r", "\nZ1NM        0.0kg \r", "\nT1GM ----------g  \r", "\n 1g     1.25044kg_\r", "\n?\r", "\n    \r",
		"\nSMA:2/1.0\r", "\nCAP:kg :15.000:5:3\r", "\n 1G    8:08.5l/o\r", "\nW\r\x1b",
	} {
		f.Add([]byte(seed), []byte("junk"))
	}
	f.Fuzz(func(t *testing.T, data, junk []byte) { fuzzCodec(t, SMA{}, data, junk) })
}

func FuzzCSV(f *testing.F) {
	for _, seed := range []string{
		"ST,GS,+  412.6 g\r\n", "US,NT,-   3.25, g\r\n", "ST,GS+  412.6, g\r\n", "ST,GS    412.6 g  \r\n",
		"OL,GS,+ 9999.9 g\r\n", "QT,GS,+     24pc\r\n", "ST,TR,+  185.0 g\r\n", "ST,TW,+  185.0 g\x03",
	} {
		f.Add([]byte(seed), []byte("junk"))
	}
	f.Fuzz(func(t *testing.T, data, junk []byte) {
		for _, column := range []byte("abcd") {
			fuzzCodec(t, CSV{Map: column}, data, junk)
		}
	})
}

func FuzzHeader(f *testing.F) {
	fuzzLines(f, []Codec{Header{}}, "ST,+00412.60  g\r\n", "US,-00003.25 kg\r\n", "QT,+00000024 PC\r\n", "OL,-99999.99  g\r\n")
}

func FuzzLetters(f *testing.F) {
	fuzzLines(f, []Codec{Letters{}}, "S S     412.60 g\r\n", "S D  -    0.45 kg\r\n", "S I\r\n", "S +\r\n", "ES\r\n", "TAC\r\n")
}

func FuzzEcho(f *testing.F) {
	fuzzLines(f, []Codec{Echo{}, Echo{Wide: true}}, "SI        412.6 g  \r\n", "SI ? -     3.25 g  \r\n", "SUI ?     412.6 kg \r\n", "SI ^     6200.5 g  \r\n", "S A\r\n")
}

func FuzzSigned(f *testing.F) {
	fuzzLines(f, []Codec{Signed{}, Signed{Label: true}}, "+   412.60 g  \r\n", "-     3.25    \r\n", "     H        \r\n", "N     +   412.60 kg \r\n", "   Err 054    \r\n")
}

func FuzzTrailing(f *testing.F) {
	fuzzLines(f, []Codec{Trailing{}}, "     412.60 g  \r\n", "      -3.25 g ?\r\n", "     1.2500 kg    NET\r\n", "     412.60 g    12:34:56\r\n", "ES\r\n")
}

func FuzzPolarity(f *testing.F) {
	fuzzLines(f, []Codec{Polarity{}, Polarity{Wide: true}}, "+ 412.60 g S\r\n", "-   3.25 gHU\r\n", "+        g E\r\n", "+  412.60 g S\r\n")
}

// fuzzLines fuzzes codecs from seeds.
func fuzzLines(f *testing.F, codecs []Codec, seeds ...string) {
	for _, seed := range seeds {
		f.Add([]byte(seed), []byte("junk"))
	}
	f.Fuzz(func(t *testing.T, data, junk []byte) {
		for _, c := range codecs {
			fuzzCodec(t, c, data, junk)
		}
	})
}

// fuzzCodec: nothing panics, what reads as a weight is written and read as the
// same weight, and junk in front of a frame changes nothing about it.
func fuzzCodec(t *testing.T, c Codec, data, junk []byte) {
	_, _ = ParseRange(data)
	if _, n := c.ParseRequest(data); n < 0 || n > len(data) {
		t.Fatalf("ParseRequest took %d of %d bytes", n, len(data))
	}
	r, err := c.Decode(data)
	if err != nil && r != (Reading{}) {
		t.Fatalf("%q is refused and read: %+v", data, r)
	}
	if _, ok := r.Weight(); !ok {
		return
	}
	switch c.(type) {
	case Signed:
		// Only the form with a label can say the mode, and a label is no junk.
		c = Signed{Label: r.Mode != ModeUnknown}
		junk = append(bytes.Clone(junk), '\r')
	case Trailing:
		junk = append(bytes.Clone(junk), '\r') // nothing marks the beginning of a line
	}
	frame := c.Encode(nil, r)
	if again, err := c.Decode(frame); err != nil || again != r {
		t.Fatalf("%q is %+v, written as %q it is %+v (%v)", data, r, frame, again, err)
	}
	framer := NewFramer(c)
	framer.Feed(bytes.Join([][]byte{junk, frame}, nil))
	framer.Flush()
	var last Reading
	for got, _, ok := framer.Next(); ok; got, _, ok = framer.Next() {
		last = got
		if _, usable := got.Weight(); !usable {
			last = Reading{}
		}
	}
	if last != r {
		t.Fatalf("behind %q the frame %q is %+v", junk, frame, last)
	}
}

func FuzzCapture(f *testing.F) {
	f.Add([]byte("# shape: sma\n# made: by script\n+0.000 \\n 1G       412.6g\n+31.250 \\x20\\x20\\r\n"))
	f.Add([]byte("+1 a\r\n\n# remark\n+0.5 \\\\\\x00\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		c, err := ReadCapture(bytes.NewReader(text))
		if err != nil {
			return
		}
		var out bytes.Buffer
		if err := c.Write(&out); err != nil {
			t.Fatal(err)
		}
		again, err := ReadCapture(&out)
		if err != nil {
			t.Fatalf("what was written can not be read: %v", err)
		}
		if !bytes.Equal(c.Bytes(), again.Bytes()) || len(again.Chunks) < len(c.Chunks) || len(c.Header) != len(again.Header) {
			t.Fatalf("%q came back as %+v", text, again)
		}
		if n := len(c.Chunks); n > 0 && c.Chunks[n-1].At != again.Chunks[len(again.Chunks)-1].At {
			t.Fatal("the times moved")
		}
	})
}
