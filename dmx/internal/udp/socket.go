package udp

import (
	"net"
	"net/netip"

	"golang.org/x/net/ipv4"
	"golang.org/x/net/ipv6"
)

// Batch is how many packets go to the system in one call. From 16 on there is little more to gain.
const Batch = 64

// Message is a packet and, on a socket that is not connected, where it goes. Of Buffers, the first counts.
type Message = ipv4.Message

// Socket sends packets.
type Socket interface {
	// Write sends some of the messages, the first ones, and says how many; an error
	// says that the first was not sent.
	Write(msgs []Message) (int, error)
	// Path says in words by which way packets are handed to the system, and why not by a better
	// one that was tried. Any goroutine may ask.
	Path() string
	Close() error
}

// Ways that packets are handed to the system, as Path tells them.
const (
	segmented = "segmentation by the system" // UDP_SEGMENT
	batched   = "batches"                    // sendmmsg
	single    = "single packets"
)

// Plain makes a socket send in batches at most, where the system's cutting is not wanted. It is given back.
func Plain(s Socket) Socket {
	if p, ok := s.(interface{ plain(path string) }); ok {
		p.plain(batched)
	}
	return s
}

// Dial makes a socket connected to one address, which therefore learns that nobody listens there. Its port is of
// the system's choice, so that several programs can send from one machine.
func Dial(to netip.AddrPort) (Socket, error) {
	conn, err := net.DialUDP("udp", nil, net.UDPAddrFromAddrPort(to))
	if err != nil {
		return nil, err
	}
	return newSocket(conn, to.Addr().Unmap().Is4()), nil
}

// DialMulticast makes a socket whose packets to groups leave by one interface, and reach
// this computer's own listeners too. hops is how many routers they may pass, plus one.
func DialMulticast(by *net.Interface, v4 bool, hops int) (Socket, error) {
	if v4 {
		// No address of its own: the system takes the interface's present one for each packet.
		conn, err := net.ListenUDP("udp4", nil)
		if err != nil {
			return nil, err
		}
		p := ipv4.NewPacketConn(conn)
		return prepared(conn, true, p.SetMulticastInterface(by), p.SetMulticastTTL(hops), p.SetMulticastLoopback(true))
	}
	conn, err := net.ListenUDP("udp6", nil)
	if err != nil {
		return nil, err
	}
	p := ipv6.NewPacketConn(conn)
	return prepared(conn, false, p.SetMulticastInterface(by), p.SetMulticastHopLimit(hops), p.SetMulticastLoopback(true))
}

func prepared(conn *net.UDPConn, v4 bool, errs ...error) (Socket, error) {
	for _, err := range errs {
		if err != nil {
			conn.Close()
			return nil, err
		}
	}
	return newSocket(conn, v4), nil
}
