package port

import (
	"net"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/scale/scaletest"
)

// talker is a scale that streams without being asked.
func talker() *benchScale {
	return &benchScale{codec: smaCodec(), talks: true, every: time.Millisecond, tenths: 4126}
}

func TestSerialIsASource(t *testing.T) {
	pty := newPTY(t)
	go talker().serve(pty)
	scaletest.Source(t, smaCodec(), opener(t, pty.Node))
}

func TestTCPIsASource(t *testing.T) {
	server, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer server.Close()
	go func() {
		for {
			c, err := server.Accept()
			if err != nil {
				return
			}
			go talker().serve(c)
		}
	}()
	scaletest.Source(t, smaCodec(), opener(t, "tcp://"+server.Addr().String()))
}
