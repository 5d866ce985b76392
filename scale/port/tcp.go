package port

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"syscall"
	"time"
)

// dialLimit is how long a host may take to answer. Serial servers stand in the
// same building; a longer wait only hides that the cable is out.
const dialLimit = 3 * time.Second

// tcpOpener opens a plain byte stream, as serial servers offer it.
func tcpOpener(hostPort string) Opener {
	return func(ctx context.Context) (io.ReadWriteCloser, error) {
		d := net.Dialer{Timeout: dialLimit}
		c, err := d.DialContext(ctx, "tcp", hostPort)
		if err != nil {
			return nil, explainDial(hostPort, err)
		}
		return c, nil
	}
}

func explainDial(hostPort string, err error) error {
	var dns *net.DNSError
	var timeout net.Error
	advice := "check the address and the network"
	switch {
	case errors.Is(err, syscall.ECONNREFUSED):
		advice = "the machine is there but nothing listens: is the serial server on, and the port number right?"
	case errors.As(err, &dns):
		advice = "the name is not known here: check its spelling or give the number"
	case errors.As(err, &timeout) && timeout.Timeout():
		advice = "no answer: is the machine on and the cable in?"
	}
	return fmt.Errorf("no connection to %s: %s (%w)", hostPort, advice, err)
}
