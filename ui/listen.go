package ui

import (
	"fmt"
	"net"
	"net/netip"
	"strconv"
)

// CheckListen refuses an address to listen on that other machines can reach:
// as long as devices are not paired, only this one may speak to the bench.
// "localhost:8080", "127.0.0.1:8080" and "[::1]:8080" are right.
func CheckListen(address string) error {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return fmt.Errorf("address %q to listen on has no port: write host and port, as in localhost:8080", address)
	}
	if n, err := strconv.Atoi(port); err != nil || n < 0 || n > 65535 {
		return fmt.Errorf("address %q to listen on: port %q is not a number from 0 to 65535, as in localhost:8080", address, port)
	}
	if host == "" {
		return fmt.Errorf("address %q would listen on every network of this machine, and devices can not be paired yet: use localhost:%s", address, port)
	}
	ips, err := addressesOf(host)
	if err != nil {
		return fmt.Errorf("address %q to listen on: %q is not a name of this machine: use localhost:%s", address, host, port)
	}
	for _, ip := range ips {
		if !ip.Unmap().IsLoopback() {
			return fmt.Errorf("address %q can be reached from other machines (%v), and devices can not be paired yet: use localhost:%s", address, ip, port)
		}
	}
	return nil
}

func addressesOf(host string) ([]netip.Addr, error) {
	if ip, err := netip.ParseAddr(host); err == nil {
		return []netip.Addr{ip}, nil
	}
	names, err := net.LookupHost(host)
	if err != nil {
		return nil, err
	}
	var ips []netip.Addr
	for _, name := range names {
		ip, err := netip.ParseAddr(name)
		if err != nil {
			return nil, err
		}
		ips = append(ips, ip)
	}
	if len(ips) == 0 {
		return nil, fmt.Errorf("no address for %q", host)
	}
	return ips, nil
}

// checkBound is CheckListen for what is already listening. An address that is
// not of a network of machines (a pipe in a test) is right.
func checkBound(a net.Addr) error {
	if tcp, ok := a.(*net.TCPAddr); ok && !tcp.IP.IsLoopback() {
		return CheckListen(tcp.String())
	}
	return nil
}
