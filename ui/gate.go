package ui

import (
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"os"
	"strconv"
	"strings"
)

// The gates stand in front of every route in this order: the Host, the origin,
// the session, size and rate. A page of another site that has its name pointed
// at this machine passes all origin checks, so the list of hosts comes first.

// policy allows the page what comes from here and nothing else; 'self' covers
// the websocket too.
const policy = "default-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"

func setHeaders(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Referrer-Policy", "same-origin")
}

// hostNames are the names under which this machine may be called, besides its
// addresses: localhost, its own name on the local network, and those given in
// the configuration. A configured name may carry its own port ("bench.lan:80")
// where something in between changes it.
func hostNames(configured []string) map[string]bool {
	names := map[string]bool{"localhost": true}
	if own, err := os.Hostname(); err == nil && own != "" {
		label, _, _ := strings.Cut(strings.ToLower(own), ".")
		names[label+".local"] = true
	}
	for _, name := range configured {
		if name != "" {
			names[strings.ToLower(name)] = true
		}
	}
	return names
}

// hostAllowed reports whether the request was sent to this machine under a
// name or address that it really has, on the port where it listens.
func hostAllowed(names map[string]bool, r *http.Request) bool {
	local, ok := localAddress(r)
	if !ok {
		return false
	}
	host, port, ok := splitHost(r.Host)
	if !ok {
		return false
	}
	if names[host+":"+port] { // configured with its own port
		return true
	}
	if port != strconv.Itoa(int(local.Port())) {
		return false
	}
	ip, err := netip.ParseAddr(host)
	if err != nil {
		return names[host]
	}
	// The address at which the connection came in is one of our interfaces.
	return ip == local.Addr() || ip.IsLoopback()
}

// localAddress is where the connection came in.
func localAddress(r *http.Request) (netip.AddrPort, bool) {
	tcp, ok := r.Context().Value(http.LocalAddrContextKey).(*net.TCPAddr)
	if !ok {
		return netip.AddrPort{}, false
	}
	a := tcp.AddrPort()
	return netip.AddrPortFrom(a.Addr().Unmap().WithZone(""), a.Port()), true
}

// splitHost takes a Host header apart: in lower case, without brackets, with
// port 80 where none is named.
func splitHost(header string) (host, port string, ok bool) {
	u, err := url.Parse("http://" + header)
	if err != nil || header == "" || u.Host != header || u.User != nil {
		return "", "", false
	}
	host, port = strings.ToLower(u.Hostname()), u.Port()
	if port == "" {
		port = "80"
	}
	return host, port, host != ""
}

// originExact reports whether the page that sends the request was loaded from
// here: scheme, host and port. The Host was checked before. ok is false for
// two origins or a foreign one; there tells whether one was named at all.
func originExact(r *http.Request) (there, ok bool) {
	named := r.Header.Values("Origin")
	if len(named) == 0 {
		return false, true
	}
	scheme := "http://"
	if r.TLS != nil {
		scheme = "https://"
	}
	return true, len(named) == 1 && named[0] == scheme+r.Host
}

// foreign reports whether a browser says that another site's page sent this.
// Programs that are no browsers send neither header.
func foreign(r *http.Request) bool {
	if _, ok := originExact(r); !ok {
		return true
	}
	site := r.Header.Get("Sec-Fetch-Site")
	return site != "" && site != "same-origin" && site != "none"
}

// addressOf is the remote address without its port.
func addressOf(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}
