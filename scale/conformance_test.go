package scale_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
	"gramcup/scale/scaletest"
)

func TestCodecs(t *testing.T) {
	for _, c := range append(scale.Codecs(), scale.Variants()...) {
		t.Run(c.Name(), func(t *testing.T) { scaletest.Codec(t, c) })
	}
}

// TestConformance prints what each shape can say, found out by writing readings
// and reading them back, and keeps the table in testdata true.
func TestConformance(t *testing.T) {
	var table strings.Builder
	table.WriteString("| shape | still or moving | gross, net, tare | unit | overload | sign apart | checksum | commands |\n|---|---|---|---|---|---|---|---|\n")
	for _, c := range append(scale.Codecs(), scale.Variants()...) {
		f := scaletest.Probe(c)
		row := []string{c.Name(), yes(f.Still), modes(f), unit(f), overload(c, f), yes(f.SignFar), yes(f.Checksum), commands(f)}
		table.WriteString("| " + strings.Join(row, " | ") + " |\n")
	}
	t.Log("\n" + table.String())

	const path = "../testdata/conformance.md"
	if update := flag.Lookup("update"); update.Value.String() == "true" {
		require.NoError(t, os.WriteFile(path, []byte(table.String()), 0o644))
	}
	kept, err := os.ReadFile(path)
	require.NoError(t, err, "go test ./scale -update writes it")
	assert.Equal(t, string(kept), table.String(), "a shape says more or less than before: if that is meant, go test ./scale -update rewrites the table")
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func modes(f scaletest.Features) string {
	var s []string
	for _, m := range []struct {
		told bool
		name string
	}{{f.Gross, "gross"}, {f.Net, "net"}, {f.Tare, "tare"}} {
		if m.told {
			s = append(s, m.name)
		}
	}
	if len(s) == 0 {
		return "no"
	}
	return strings.Join(s, ", ")
}

func unit(f scaletest.Features) string {
	switch {
	case f.BlankUnit:
		return "letters, none while moving"
	case f.UnitText:
		return "letters"
	case len(f.Units) > 1:
		return "bits"
	}
	return "set by hand"
}

// overload is what becomes of a weight above the capacity.
func overload(c scale.Codec, f scaletest.Features) string {
	switch {
	case f.Says[scale.StatusOver] && f.Says[scale.StatusUnder]:
		return "both ends"
	case f.Says[scale.StatusOver]:
		return "above"
	}
	sent := c.Encode(nil, scale.Reading{Unit: f.Units[0], Status: scale.StatusOver})
	if len(sent) == 0 {
		return "silence"
	}
	r, err := c.Decode(sent)
	if err != nil {
		return "refused"
	}
	return "as " + r.Status.String()
}

func commands(f scaletest.Features) string {
	names := map[scale.Request]string{
		scale.RequestWeight: "weight", scale.RequestStream: "stream", scale.RequestZero: "zero", scale.RequestTare: "tare",
		scale.RequestClearTare: "clear tare", scale.RequestReset: "reset", scale.RequestAbout: "about", scale.RequestInfo: "capacity",
	}
	var s []string
	for _, r := range f.Asks {
		if names[r] != "" {
			s = append(s, names[r])
		}
	}
	if len(s) == 0 {
		return "none"
	}
	return strings.Join(s, ", ")
}

// The suite must be able to fail: a codec with a mistake is caught.
func TestTheSuiteSeesMistakes(t *testing.T) {
	honest := scaletest.Probe(scale.CSV{})
	for name, c := range map[string]scale.Codec{
		"the sign is lost": spoilt{scale.CSV{}, func(r *scale.Reading) { r.Number.Negative = false }},
		"always still":     spoilt{scale.CSV{}, func(r *scale.Reading) { r.Motion = scale.MotionStill }},
		"always grams":     spoilt{scale.CSV{}, func(r *scale.Reading) { r.Unit = scale.UnitGram }},
		"always gross":     spoilt{scale.CSV{}, func(r *scale.Reading) { r.Mode = scale.ModeGross }},
		"never over":       spoilt{scale.CSV{}, func(r *scale.Reading) { r.Status = scale.StatusOK }},
	} {
		assert.NotEqual(t, fmt.Sprint(honest), fmt.Sprint(scaletest.Probe(c)), name)
	}
}

// spoilt is a codec with a mistake in what it reads.
type spoilt struct {
	scale.Codec
	spoil func(r *scale.Reading)
}

func (s spoilt) Decode(piece []byte) (scale.Reading, error) {
	r, err := s.Codec.Decode(piece)
	if err == nil {
		s.spoil(&r)
	}
	return r, err
}
