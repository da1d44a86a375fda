package artnet

import (
	"net"

	"golang.org/x/net/ipv4"
)

// batchSocket hands the system many packets in one call (sendmmsg).
type batchSocket struct {
	*net.UDPConn
	packets *ipv4.PacketConn
}

func newSocket(conn *net.UDPConn) socket {
	return &batchSocket{UDPConn: conn, packets: ipv4.NewPacketConn(conn)}
}

func (s *batchSocket) write(msgs []ipv4.Message) (int, error) {
	return s.packets.WriteBatch(msgs[:min(batch, len(msgs))], 0)
}
