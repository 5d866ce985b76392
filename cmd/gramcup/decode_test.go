package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/alecthomas/kong"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// The frames follow the column table of SMA SCP-0499, as public notes and five
// manuals reproduce it, and the comma shape as manuals of several makers
// describe it. The weights are invented; 1 lb is 453.59237 g and 1 oz is
// 28.349523125 g (NIST Handbook 44 appendix C).
func TestDecodePrints(t *testing.T) {
	for _, c := range []struct{ line, sent, want string }{
		{"sma", "\n 1G       412.6g  \r", `{"value":"412.6","unit":"g","grams":"412.6","mode":"gross","stable":true,"status":"ok"}`},
		{"sma", "\nZ1N         0.0g  \r", `{"value":"0.0","unit":"g","grams":"0.0","mode":"net","stable":true,"status":"zero"}`},
		{"sma", "\n 1NM       -3.2lb \r", `{"value":"-3.2","unit":"lb","grams":"-1451.495584","mode":"net","stable":false,"status":"ok"}`},
		{"sma", "\n 1g     1.25044kg \r", `{"value":"1.25044","unit":"kg","grams":"1250.44","mode":"gross","stable":true,"status":"ok","high_resolution":true}`},
		{"sma", "\n 1T       185.0g  \r", `{"value":"185.0","unit":"g","grams":"185.0","mode":"tare","stable":true,"status":"ok"}`},
		{"sma", "\nO1GM     6200.5g  \r", `{"value":"6200.5","unit":"g","grams":null,"mode":"gross","stable":false,"status":"over"}`},
		{"sma", "\nT1GM ----------g  \r", `{"value":null,"unit":"g","grams":null,"mode":"gross","stable":false,"status":"tare-error"}`},
		{"sma", "\n 1G  ----------   \r", `{"value":null,"unit":null,"grams":null,"mode":"gross","stable":true,"status":"not-ready"}`},
		{"sma", "\n 1G         24pcs\r", `{"value":"24","unit":"pc","grams":null,"mode":"gross","stable":true,"status":"count"}`},
		{"sma", "\n?\r", `{"value":null,"unit":null,"grams":null,"mode":null,"stable":null,"status":"unknown-command"}`},
		{"sma", "\nSMA:2/1.0\r", `{"value":null,"unit":null,"grams":null,"mode":null,"stable":null,"status":"info"}`},
		{"sma", "6g  \r\n 1G       412.6g  \r", `{"fault":"a fragment: the line feed that begins a frame is missing","bytes":"6g  \\r","at":0}
{"value":"412.6","unit":"g","grams":"412.6","mode":"gross","stable":true,"status":"ok"}`},
		{"sma", "\n 1G       412.6g  \r\n 1G    ", `{"value":"412.6","unit":"g","grams":"412.6","mode":"gross","stable":true,"status":"ok"}
{"fault":"a fragment: the carriage return that ends a frame is missing","bytes":"\\n 1G    ","at":20}`},
		{"csv", "ST,GS,+      1oz\r\n", `{"value":"1","unit":"oz","grams":"28.349523125","mode":"gross","stable":true,"status":"ok"}`},
		{"csv", "US,NT,-   3.25 g\r\n", `{"value":"-3.25","unit":"g","grams":"-3.25","mode":"net","stable":false,"status":"ok"}`},
		{"csv", "ST,TR,+  185.0 g\r\n", `{"value":"185.0","unit":"g","grams":"185.0","mode":"tare","stable":true,"status":"ok"}`},
		{"csv", "OL,GS,+ 9999.9 g\r\n", `{"value":null,"unit":"g","grams":null,"mode":"gross","stable":null,"status":"over"}`},
		{"csv", "OL,GS,-     .  g\r\n", `{"value":null,"unit":"g","grams":null,"mode":"gross","stable":null,"status":"under"}`},
		{"echo", "SI ? -     3.25 g  \r\n", `{"value":"-3.25","unit":"g","grams":"-3.25","mode":null,"stable":false,"status":"ok"}`},
		{"signed", "-     3.25    \r\n", `{"value":"-3.25","unit":null,"grams":null,"mode":null,"stable":false,"status":"ok"}`},
		{"polarity-wide", "+ 1234.50 g  \r\n", `{"value":"1234.50","unit":"g","grams":"1234.50","mode":null,"stable":null,"status":"ok"}`},
		{"csv", "ST,TW,+  412.6 g\r\n", `{"fault":"a total line, not the live weight","bytes":"ST,TW,+  412.6 g\\r","at":0}`},
		{"csv", "\"\xff\\\r\n", `{"fault":"a byte that is no text: noise on the line, or the wrong speed","bytes":"\"\\xff\\\\\\r","at":0}`},
		{"csv", "\r\n\r\nST,GS,+  4ST,GS,+  412.6 g\r\nST", `{"fault":"a fragment: the line end is missing","bytes":"ST,GS,+  4","at":4}
{"value":"412.6","unit":"g","grams":"412.6","mode":"gross","stable":true,"status":"ok"}
{"fault":"a fragment: the line end is missing","bytes":"ST","at":32}`},
		{"sma", "", ""},
	} {
		codec, err := scale.CodecByName(c.line)
		require.NoError(t, err)
		for _, in := range []io.Reader{strings.NewReader(c.sent), iotest.OneByteReader(strings.NewReader(c.sent))} {
			var out bytes.Buffer
			require.NoError(t, decodeStream(codec, in, &out))
			assert.Equal(t, c.want, strings.TrimSuffix(out.String(), "\n"), "%q", c.sent)
		}
	}
}

// Every line is JSON, and what a refused piece shows leads back to the bytes of
// the file, whatever they are.
func TestDecodeIsJSON(t *testing.T) {
	var sent []byte
	for b := range 256 {
		sent = append(sent, "\n 1G     "...)
		sent = append(sent, byte(b), '"', '\\', '\r')
	}
	var out bytes.Buffer
	require.NoError(t, decodeStream(scale.SMA{}, bytes.NewReader(sent), &out))
	n := 0
	for line := range strings.Lines(out.String()) {
		var got struct {
			Fault *string
			Bytes string
			At    int
			Grams *string
		}
		require.NoError(t, json.Unmarshal([]byte(line), &got), line)
		require.NotNil(t, got.Fault, line)
		require.Nil(t, got.Grams)
		assert.True(t, strings.HasPrefix(string(scale.AppendEscaped(nil, sent[got.At:])), got.Bytes), line)
		n++
	}
	assert.GreaterOrEqual(t, n, 256)
}

// A live stream is printed as it comes, and not when it ends.
func TestDecodeDoesNotWaitForTheEnd(t *testing.T) {
	in, sent := io.Pipe()
	printed, out := io.Pipe()
	done := make(chan error, 1)
	go func() { done <- decodeStream(scale.SMA{}, in, out) }()
	_, err := sent.Write([]byte("\n?\r"))
	require.NoError(t, err)
	buf := make([]byte, 1024)
	n, err := printed.Read(buf)
	require.NoError(t, err)
	assert.Contains(t, string(buf[:n]), "unknown-command")
	require.NoError(t, printed.Close())
	_, _ = sent.Write([]byte("\n?\r"))
	assert.ErrorIs(t, <-done, io.ErrClosedPipe)
}

func TestDecodeErrors(t *testing.T) {
	broken := errors.New("the disk is gone")
	var out bytes.Buffer
	err := decodeStream(scale.SMA{}, io.MultiReader(strings.NewReader("\n?\r\n 1G"), iotest.ErrReader(broken)), &out)
	assert.ErrorIs(t, err, broken)
	assert.Equal(t, 2, strings.Count(out.String(), "\n"), "what came before is printed")

	missing := decodeCmd{Line: "sma", File: filepath.Join(t.TempDir(), "none")}
	assert.ErrorIs(t, missing.Run(nil, io.Discard), os.ErrNotExist)
	unknown := decodeCmd{Line: "morse", File: "-"}
	assert.ErrorContains(t, unknown.Run(nil, io.Discard), "known are sma, csv")
}

// The command line takes a file or -, and exactly the shapes that exist.
func TestDecodeCommandLine(t *testing.T) {
	path := filepath.Join(t.TempDir(), "sent")
	require.NoError(t, os.WriteFile(path, []byte("\n?\r"), 0o600))
	for _, file := range []string{path, "-"} {
		var cmd decodeCmd
		parser, err := kong.New(&cmd)
		require.NoError(t, err)
		_, err = parser.Parse([]string{"--line", "sma", file})
		require.NoError(t, err)
		var out bytes.Buffer
		require.NoError(t, cmd.Run(strings.NewReader("\n?\r"), &out))
		assert.Contains(t, out.String(), "unknown-command")
	}
	for _, c := range scale.Codecs() {
		var cmd decodeCmd
		parser, err := kong.New(&cmd)
		require.NoError(t, err)
		_, err = parser.Parse([]string{"--line", c.Name(), "-"})
		assert.NoError(t, err)
		_, err = parser.Parse([]string{"--line", c.Name() + "x", "-"})
		assert.Error(t, err)
	}
}
