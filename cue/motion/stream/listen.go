package stream

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"strconv"
)

// maxDatagram is the most bytes of one datagram that are looked at: several lines.
const maxDatagram = 2048

// Listener hears azimuths in UDP datagrams, each of one line or several.
type Listener struct {
	Counts
	conn *net.UDPConn
}

// Listen opens a socket. The address is "host:port", ":port" or a port; without a host, and by default, that of
// this computer alone. One that others can reach is refused unless anyone is allowed.
func Listen(address string, anyone bool) (*Listener, error) {
	at, err := resolve(address)
	if err != nil {
		return nil, err
	}
	if !at.Addr().IsLoopback() && !anyone {
		return nil, fmt.Errorf("%s can be reached from other computers, and whoever sends there turns the light; listen at 127.0.0.1:%d, or ask for it in so many words", at, at.Port())
	}
	conn, err := net.ListenUDP("udp", net.UDPAddrFromAddrPort(at))
	if err != nil {
		return nil, fmt.Errorf("azimuths cannot be heard at %s: %w", at, err)
	}
	return &Listener{conn: conn}, nil
}

// resolve reads an address without asking a name server: names of hosts other than this one are refused.
func resolve(address string) (netip.AddrPort, error) {
	host, port := "", address
	if h, p, err := net.SplitHostPort(address); err == nil {
		host, port = h, p
	}
	n, err := strconv.ParseUint(port, 10, 16)
	if err != nil {
		return netip.AddrPort{}, fmt.Errorf("%q is no address to listen at; write a port as 9000, or 127.0.0.1:9000", address)
	}
	if host == "" || host == "localhost" {
		host = "127.0.0.1"
	}
	ip, err := netip.ParseAddr(host)
	if err != nil {
		return netip.AddrPort{}, fmt.Errorf("%q is no address to listen at; write the number of one of this computer's, as 127.0.0.1:%d", address, n)
	}
	return netip.AddrPortFrom(ip, uint16(n)), nil
}

// Addr is where it listens.
func (l *Listener) Addr() netip.AddrPort { return l.conn.LocalAddr().(*net.UDPAddr).AddrPort() }

// Run hears datagrams until the context ends or the listener is closed, which is no error.
func (l *Listener) Run(ctx context.Context, hear func(Sample)) error {
	stop := context.AfterFunc(ctx, func() { l.conn.Close() })
	defer stop()
	buffer := make([]byte, maxDatagram+1)
	for {
		n, _, err := l.conn.ReadFromUDPAddrPort(buffer)
		if errors.Is(err, net.ErrClosed) {
			return nil
		}
		if err != nil {
			return err
		}
		if n > maxDatagram {
			l.bad.Add(1)
			continue
		}
		for line := range bytes.Lines(buffer[:n]) {
			l.line(line, hear)
		}
	}
}

// Close ends it.
func (l *Listener) Close() error { return l.conn.Close() }
