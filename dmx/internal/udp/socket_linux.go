package udp

import (
	"net"

	"golang.org/x/net/ipv4"
	"golang.org/x/net/ipv6"
)

// batcher hands the system many packets in one call: as one that it cuts into segments, or by sendmmsg.
type batcher struct {
	*net.UDPConn
	packets interface {
		WriteBatch(msgs []Message, flags int) (int, error)
	}
	segments *segmenter // nil where the system has none, or has refused
}

func newSocket(conn *net.UDPConn, v4 bool) Socket {
	s := &batcher{UDPConn: conn, segments: newSegmenter(conn)}
	if v4 {
		s.packets = ipv4.NewPacketConn(conn)
	} else {
		s.packets = ipv6.NewPacketConn(conn)
	}
	return s
}

func (s *batcher) Write(msgs []Message) (int, error) {
	if s.segments != nil {
		if n := s.segments.gather(msgs); n > 0 {
			_, err := s.packets.WriteBatch(s.segments.message, 0)
			switch {
			case err == nil:
				return n, nil
			case !refusesSegments(err):
				return 0, err
			}
			s.segments = nil // the way there cannot do it: once is enough to learn that
		}
	}
	return s.packets.WriteBatch(msgs[:min(Batch, len(msgs))], 0)
}

func (s *batcher) Path() string {
	if s.segments != nil {
		return "segmentation by the system"
	}
	return "batches"
}
