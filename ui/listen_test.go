package ui

import (
	"context"
	"net"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCheckListen(t *testing.T) {
	for _, address := range []string{"localhost:8080", "127.0.0.1:8080", "127.0.0.1:0", "127.9.9.9:80", "[::1]:8080", "[::ffff:127.0.0.1]:8080"} {
		assert.NoError(t, CheckListen(address), address)
	}
	for _, address := range []string{
		"", "8080", "localhost", ":8080", "0.0.0.0:8080", "[::]:8080", "192.0.2.7:8080", "10.0.0.1:80", "[fe80::1%lo]:8080", "[2001:db8::1]:8080",
		"169.254.1.1:80", "localhost:http", "localhost:-1", "localhost:65536", "localhost:", "no-such-name.invalid:8080", "::1:8080", "*:8080", "0:8080",
	} {
		err := CheckListen(address)
		if assert.Error(t, err, address) {
			assert.Contains(t, err.Error(), "localhost:", "it says what would be right: %s", address)
		}
	}
}

// Whatever opened the listener, the server looks where it really stands.
func TestServeRefusesAWideListener(t *testing.T) {
	listener, err := net.Listen("tcp", ":0")
	require.NoError(t, err)
	err = New(Config{Hub: NewHub(HubConfig{}), WebFS: emptyFS{}}).Serve(context.Background(), listener)
	require.Error(t, err)
	assert.Contains(t, err.Error(), "other machines")
	_, err = net.Dial("tcp", listener.Addr().String())
	assert.Error(t, err, "and closes it")
}

func TestServeSaysWhenItsListenerFails(t *testing.T) {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	require.NoError(t, listener.Close())
	err = New(Config{Hub: NewHub(HubConfig{}), WebFS: emptyFS{}}).Serve(context.Background(), listener)
	assert.ErrorIs(t, err, net.ErrClosed)
}
