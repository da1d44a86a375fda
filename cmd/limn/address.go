package main

import (
	"context"
	"fmt"
	"net"
	"net/netip"
	"strconv"
	"time"
)

// lookUpWithin is how long a host name may take to be found.
const lookUpWithin = 3 * time.Second

// parseAddress reads "host", "host:port" or ":port"; fallback is the port left
// out, and no host means this machine only. IPv4, as Art-Net is.
func parseAddress(ctx context.Context, text string, fallback uint16) (netip.AddrPort, error) {
	host, port := text, fallback
	if h, p, err := net.SplitHostPort(text); err == nil {
		n, err := strconv.ParseUint(p, 10, 16)
		if err != nil {
			return netip.AddrPort{}, fmt.Errorf("port %q is no number from 0 to 65535", p)
		}
		host, port = h, uint16(n)
	}
	switch host {
	case "", "localhost":
		host = "127.0.0.1"
	}
	if a, err := netip.ParseAddr(host); err == nil {
		if a = a.Unmap(); !a.Is4() {
			return netip.AddrPort{}, fmt.Errorf("%s is an IPv6 address; Art-Net runs on IPv4", a)
		}
		return netip.AddrPortFrom(a, port), nil
	}
	ctx, cancel := context.WithTimeout(ctx, lookUpWithin)
	defer cancel()
	found, err := net.DefaultResolver.LookupNetIP(ctx, "ip4", host)
	if err != nil || len(found) == 0 {
		return netip.AddrPort{}, fmt.Errorf("the host %q is not found", host)
	}
	return netip.AddrPortFrom(found[0].Unmap(), port), nil
}
