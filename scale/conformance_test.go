package scale_test

import (
	"testing"

	"gramcup/scale"
	"gramcup/scale/scaletest"
)

func TestCodecs(t *testing.T) {
	for _, c := range scale.Codecs() {
		t.Run(c.Name(), func(t *testing.T) { scaletest.Codec(t, c) })
	}
	for _, column := range []byte("abcd") {
		t.Run("csv with columns "+string(column), func(t *testing.T) { scaletest.Codec(t, scale.CSV{Map: column}) })
	}
}
