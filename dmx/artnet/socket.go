package artnet

import (
	"net"
	"net/netip"

	"golang.org/x/net/ipv4"
)

// batch is how many packets go to the system in one call. From 16 on there is little more to gain.
const batch = 64

// socket is a connected UDP socket.
type socket interface {
	// write sends some of the messages, the first ones, and says how many; an error
	// says that the first was not sent.
	write(msgs []ipv4.Message) (int, error)
	Close() error
}

func dial(to netip.AddrPort) (socket, error) {
	// Port 0 of our own: the system picks one, so that several programs can send from one machine.
	conn, err := net.DialUDP("udp4", nil, net.UDPAddrFromAddrPort(to))
	if err != nil {
		return nil, err
	}
	return newSocket(conn), nil
}
