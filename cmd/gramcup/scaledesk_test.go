package main

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"gramcup/scale"
)

func TestWhetherAScaleIsAsked(t *testing.T) {
	assert.True(t, station{Codec: scale.SMA{}, Stream: true}.asks())
	assert.False(t, station{Codec: scale.SMA{}}.asks(), "--no-ask")
	assert.True(t, station{Codec: scale.Signed{}, Stream: true}.asks(), "it can only be asked for one weight at a time")
	assert.False(t, station{Codec: scale.CSV{}, Stream: true}.asks(), "such a scale is not spoken to")
}
