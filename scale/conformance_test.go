package scale_test

import (
	"testing"

	"gramcup/scale"
	"gramcup/scale/scaletest"
)

func TestCodecs(t *testing.T) {
	for _, c := range append(scale.Codecs(), scale.Variants()...) {
		t.Run(c.Name(), func(t *testing.T) { scaletest.Codec(t, c) })
	}
}
