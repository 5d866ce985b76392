package scale_test

import (
	"bytes"
	"strings"
	"testing"

	"gramcup/scale"
	"gramcup/scale/scaletest"
)

// One target for each family, so that each gets its time.

func FuzzSMA(f *testing.F) {
	scaletest.Fuzz(f, family("sma"), "\n 1G       412.6g  \r", "\nZ1NM        0.0kg \r", "\nT1GM ----------g  \r", "\n 1g     1.25044kg_\r", "\n?\r", "\n    \r", "\nSMA:2/1.0\r", "\nCAP:kg :15.000:5:3\r", "\n 1G    8:08.5l/o\r", "\nW\r\x1b")
}

func FuzzCSV(f *testing.F) {
	scaletest.Fuzz(f, family("csv"), "ST,GS,+  412.6 g\r\n", "US,NT,-   3.25, g\r\n", "ST,GS+  412.6, g\r\n", "ST,GS    412.6 g  \r\n", "OL,GS,+ 9999.9 g\r\n", "QT,GS,+     24pc\r\n", "ST,TR,+  185.0 g\r\n", "ST,TW,+  185.0 g\x03")
}

func FuzzHeader(f *testing.F) {
	scaletest.Fuzz(f, family("header"), "ST,+00412.60  g\r\n", "US,-00003.25 kg\r\n", "QT,+00000024 PC\r\n", "OL,-99999.99  g\r\n")
}

func FuzzLetters(f *testing.F) {
	scaletest.Fuzz(f, family("letters"), "S S     412.60 g\r\n", "S D  -    0.45 kg\r\n", "S I\r\n", "S +\r\n", "ES\r\n", "TAC\r\n")
}

func FuzzEcho(f *testing.F) {
	scaletest.Fuzz(f, family("echo"), "SI        412.6 g  \r\n", "SI ? -     3.25 g  \r\n", "SUI ?     412.6 kg \r\n", "SI ^     6200.5 g  \r\n", "S A\r\n")
}

func FuzzSigned(f *testing.F) {
	scaletest.Fuzz(f, family("signed"), "+   412.60 g  \r\n", "-     3.25    \r\n", "     H        \r\n", "N     +   412.60 kg \r\n", "   Err 054    \r\n")
}

func FuzzTrailing(f *testing.F) {
	scaletest.Fuzz(f, family("trailing"), "     412.60 g  \r\n", "      -3.25 g ?\r\n", "     1.2500 kg    NET\r\n", "     412.60 g    12:34:56\r\n", "ES\r\n")
}

func FuzzPolarity(f *testing.F) {
	scaletest.Fuzz(f, family("polarity"), "+ 412.60 g S\r\n", "-   3.25 gHU\r\n", "+        g E\r\n", "+  412.60 g S\r\n")
}

func FuzzStatusBytes(f *testing.F) {
	scaletest.Fuzz(f, family("status-bytes"), "\x02+1!004126001850\r", "\x02+1!004126001850\r\x19", "\x02+<!000000000000\r", "\x02kqa  4126     0\r")
}

func FuzzPolled(f *testing.F) {
	scaletest.Fuzz(f, family("polled"), "\n 0412.6g \r\n00\r\x03", "\n^^^^^^^g \r\n0p8\r\x03", "\n?\r\x03", "\n10\r\x03")
}

func FuzzHandshake(f *testing.F) {
	scaletest.Fuzz(f, family("handshake"), "\x01\x02S 0.4126kg\x60\x03\x04", "\x06\x01\x02S 00.4126kg\x50\x03", "\x01\x02SFFFFFFFkg\x19\x03\x04")
}

func FuzzXorDigits(f *testing.F) {
	scaletest.Fuzz(f, family("xor-digits"), "\x02+00412611B\x03", "\x02-00003211D\x03")
}

func FuzzReversed(f *testing.F) {
	scaletest.Fuzz(f, family("reversed"), "=6.214000=52.3000-", "=00.1000-")
}

func FuzzPrefix(f *testing.F) {
	scaletest.Fuzz(f, family("prefix"), "ww00000.413kg\r\n", "wn-0000.003lb")
}

func FuzzFramed(f *testing.F) {
	scaletest.Fuzz(f, family("framed"), "\x02   412.6G\x03", "\x02   412.6NM 1   \x03", "\x02-     3.2M\x03")
}

func FuzzCRFirst(f *testing.F) {
	scaletest.Fuzz(f, family("cr-first"), "\r-  003.2Mg N\x03", "\r 99999.9O gG\x03")
}

func FuzzLabelled(f *testing.F) {
	scaletest.Fuzz(f, family("labelled"), "2031-05-04 10:22\r\nGross: 412.6 g\r\nTare: 185.0 g\r\nNet: 227.6 g\r\n\r\n", "GS-3.2kg\r")
}

func FuzzBare(f *testing.F) {
	scaletest.Fuzz(f, family("bare"), "$000412\r412.6\r\n", "   -12.5\r\n")
}

// family lists the usual and the other settings of a family.
func family(name string) (all []scale.Codec) {
	for _, c := range append(scale.Codecs(), scale.Variants()...) {
		if c.Name() == name || strings.HasPrefix(c.Name(), name+"-") {
			all = append(all, c)
		}
	}
	return all
}

// FuzzRangeAndBinary is for what else is read from a line.
func FuzzRangeAndBinary(f *testing.F) {
	for _, seed := range []string{"CAP:kg :15.000:5:3", "\xff\x41\x26\x41\x00\x00\xff\x41\x26\x41\x00\x00"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		_, _ = scale.ParseRange(data)
		_ = scale.BinaryFrames(data)
	})
}

func FuzzCapture(f *testing.F) {
	f.Add([]byte("# shape: sma\n# made: by script\n+0.000 \\n 1G       412.6g\n+31.250 \\x20\\x20\\r\n"))
	f.Add([]byte("+1 a\r\n\n# remark\n+0.5 \\\\\\x00\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		c, err := scale.ReadCapture(bytes.NewReader(text))
		if err != nil {
			return
		}
		var out bytes.Buffer
		if err := c.Write(&out); err != nil {
			t.Fatal(err)
		}
		again, err := scale.ReadCapture(&out)
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
