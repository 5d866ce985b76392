package port

import (
	"context"
	"net"
	"os"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDialingSaysWhatIsWrong(t *testing.T) {
	server, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	address := server.Addr().String()
	server.Close()
	_, err = tryOpen("tcp://" + address)
	assert.ErrorIs(t, err, syscall.ECONNREFUSED)
	assert.ErrorContains(t, err, "no connection to "+address+": the machine is there but nothing listens")

	// No name server is asked for these two.
	assert.ErrorContains(t, explainDial("bench:1", &net.DNSError{Name: "bench", IsNotFound: true}), "the name is not known")
	assert.ErrorContains(t, explainDial("bench:1", os.ErrDeadlineExceeded), "is the machine on and the cable in?")
}

func TestDialingEndsWithItsContext(t *testing.T) {
	server, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer server.Close()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = opener(t, "tcp://"+server.Addr().String())(ctx)
	assert.ErrorIs(t, err, context.Canceled)
}
