package ui

import (
	"net"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A browser opens connections beforehand. The daemon ends well though nothing is ever
// asked on them.
func TestStopDoesNotWaitForASpareConnection(t *testing.T) {
	r := newRig(t, nil)
	spare, err := net.Dial("tcp", r.address)
	require.NoError(t, err)
	defer spare.Close()
	read(t, r.page()) // came after it, so it was taken
	require.NoError(t, r.stop())
	n, err := spare.Read(make([]byte, 1))
	assert.Zero(t, n)
	assert.Error(t, err, "it is closed")
}
