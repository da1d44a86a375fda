package sacn

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"slices"
	"time"

	"golang.org/x/net/ipv4"
	"golang.org/x/net/ipv6"
)

// groupsPerSocket is how many groups one socket joins at most: Linux's igmp_max_memberships.
const groupsPerSocket = 20

// open makes the sockets: one for single addresses; for groups, as many as they need.
func (c *ListenConfig) open() ([]*net.UDPConn, error) {
	for _, u := range c.Universes {
		if u == 0 || u > MaxUniverse {
			return nil, fmt.Errorf("there is no universe %d; sACN has 1 to %d", u, MaxUniverse)
		}
	}
	if c.interfaces == nil {
		c.interfaces = Interfaces
	}
	if c.Groups == 0 {
		if !c.Addr.Addr().IsValid() {
			return nil, errors.New("no address to listen on; name an own address, or multicast")
		}
		conn, err := net.ListenUDP("udp", net.UDPAddrFromAddrPort(c.Addr))
		if err != nil {
			return nil, err
		}
		return []*net.UDPConn{conn}, nil
	}
	universes := slices.Clone(c.Universes)
	if c.Discovery {
		universes = append(universes, DiscoveryUniverse)
	}
	if len(universes) == 0 {
		return nil, errors.New("no universes to hear; multicast must be told which")
	}
	by, err := c.choose()
	if err != nil {
		return nil, err
	}
	var conns []*net.UDPConn
	for _, g := range [...]Groups{Groups4, Groups6} {
		if c.Groups&g == 0 {
			continue
		}
		for part := range slices.Chunk(universes, groupsPerSocket) {
			conn, err := c.openGroups(g, &by.Interface, part)
			if err != nil {
				for _, other := range conns {
					other.Close()
				}
				return nil, err
			}
			conns = append(conns, conn)
		}
	}
	return conns, nil
}

func (c *ListenConfig) choose() (Interface, error) {
	all, err := c.interfaces()
	if err != nil {
		return Interface{}, err
	}
	return choose(c.Interface, all)
}

// openGroups makes a socket that has joined the groups of some universes.
func (c *ListenConfig) openGroups(g Groups, by *net.Interface, universes []uint16) (*net.UDPConn, error) {
	network, wildcard := "udp4", netip.IPv4Unspecified()
	if g == Groups6 {
		network, wildcard = "udp6", netip.IPv6Unspecified()
	}
	port := c.Addr.Port()
	if port == 0 {
		port = Port
	}
	lc := net.ListenConfig{Control: shareGroups}
	p, err := lc.ListenPacket(context.Background(), network, netip.AddrPortFrom(wildcard, port).String())
	if err != nil {
		return nil, err
	}
	conn := p.(*net.UDPConn)
	for _, u := range universes {
		if err := join(conn, g, by, u); err != nil {
			conn.Close()
			return nil, fmt.Errorf("joining universe %d on %s: %w", u, by.Name, err)
		}
	}
	return conn, nil
}

func join(conn *net.UDPConn, g Groups, by *net.Interface, universe uint16) error {
	if g == Groups4 {
		return ipv4.NewPacketConn(conn).JoinGroup(by, &net.UDPAddr{IP: Group4(universe).AsSlice()})
	}
	return ipv6.NewPacketConn(conn).JoinGroup(by, &net.UDPAddr{IP: Group6(universe).AsSlice()})
}

// stayEvery is how often it is made sure that the groups are still joined.
const stayEvery = 250 * time.Millisecond

// stay joins the groups again when the interface has been away and is another one, until done is closed.
func (c *ListenConfig) stay(conns []*net.UDPConn, done <-chan struct{}) {
	ticker := time.NewTicker(stayEvery)
	defer ticker.Stop()
	was, _ := c.choose()
	for {
		select {
		case <-done:
			return
		case <-ticker.C:
		}
		by, err := c.choose()
		if err != nil || by.Index == was.Index {
			continue
		}
		was = by
		c.joinAgain(conns, &by.Interface)
	}
}

// joinAgain joins every socket's groups on another interface.
func (c *ListenConfig) joinAgain(conns []*net.UDPConn, by *net.Interface) {
	universes := slices.Clone(c.Universes)
	if c.Discovery {
		universes = append(universes, DiscoveryUniverse)
	}
	parts := slices.Collect(slices.Chunk(universes, groupsPerSocket))
	for i, conn := range conns { // in the order they were made in
		g := Groups4
		if c.Groups&Groups4 == 0 || i >= len(parts) {
			g = Groups6
		}
		for _, u := range parts[i%len(parts)] {
			_ = join(conn, g, by, u) // the next look tries no more; what is joined already says so as an error
		}
	}
}
