package udp

import (
	"net"

	"golang.org/x/net/ipv4"
	"golang.org/x/net/ipv6"
)

// batcher hands the system many packets in one call (sendmmsg).
type batcher struct {
	*net.UDPConn
	packets interface {
		WriteBatch(msgs []Message, flags int) (int, error)
	}
}

func newSocket(conn *net.UDPConn, v4 bool) Socket {
	if v4 {
		return &batcher{conn, ipv4.NewPacketConn(conn)}
	}
	return &batcher{conn, ipv6.NewPacketConn(conn)}
}

func (s *batcher) Write(msgs []Message) (int, error) {
	return s.packets.WriteBatch(msgs[:min(Batch, len(msgs))], 0)
}
