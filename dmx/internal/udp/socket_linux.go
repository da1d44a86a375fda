package udp

import (
	"net"
	"sync/atomic"

	"golang.org/x/net/ipv4"
	"golang.org/x/net/ipv6"
	"golang.org/x/sys/unix"
)

// batcher hands the system many packets in one call: as one that it cuts into segments, or by sendmmsg.
type batcher struct {
	*net.UDPConn
	packets interface {
		WriteBatch(msgs []Message, flags int) (int, error)
	}
	segments *segmenter // nil where there is none, or it was refused
	cut      func() error
	path     atomic.Pointer[string] // asked for while somebody writes
}

func newSocket(conn *net.UDPConn, v4 bool) Socket {
	s := &batcher{UDPConn: conn}
	if v4 {
		s.packets = ipv4.NewPacketConn(conn)
	} else {
		s.packets = ipv6.NewPacketConn(conn)
	}
	s.control(func(fd int) {
		// Without it the kernel keeps to itself that an address does not answer, that is, that a node is
		// off, and that a queue is full.
		if v4 {
			_ = unix.SetsockoptInt(fd, unix.IPPROTO_IP, unix.IP_RECVERR, 1)
		} else {
			_ = unix.SetsockoptInt(fd, unix.IPPROTO_IPV6, unix.IPV6_RECVERR, 1)
		}
	})
	s.say(batched)
	if raw, err := conn.SyscallConn(); err == nil && conn.RemoteAddr() != nil { // else every packet may go elsewhere
		if s.segments = newSegmenter(raw); s.segments != nil {
			s.cut = s.segments.give
			s.say(segmented)
		}
	}
	return s
}

func (s *batcher) Write(msgs []Message) (int, error) {
	if s.segments != nil {
		if n := s.segments.gather(msgs); n > 0 {
			err := s.cut()
			if err == nil {
				return n, nil
			}
			s.control(drain)
			why, ok := refusal(err)
			if !ok {
				return 0, err
			}
			s.plain(batched + ", as segments were refused: " + why) // once is enough to learn that
		}
	}
	return s.give(msgs[:min(Batch, len(msgs))])
}

// give never waits for room in a queue: what finds none is lost, as on any network, and the other
// receivers get theirs in time.
func (s *batcher) give(msgs []Message) (int, error) {
	n, err := s.packets.WriteBatch(msgs, unix.MSG_DONTWAIT)
	if err != nil {
		s.control(drain)
	}
	return n, err
}

func (s *batcher) plain(path string) {
	s.segments = nil
	s.say(path)
}

func (s *batcher) Path() string { return *s.path.Load() }

func (s *batcher) say(path string) { s.path.Store(&path) }

func (s *batcher) control(do func(fd int)) {
	if raw, err := s.SyscallConn(); err == nil {
		_ = raw.Control(func(fd uintptr) { do(int(fd)) })
	}
}

// drain throws away the kernel's notes on errors; what they say has been returned by a write.
func drain(fd int) {
	const most = 64 // of which each is one packet's; more come with the next error
	var packet [1]byte
	var note [512]byte
	for range most {
		if _, _, _, _, err := unix.Recvmsg(fd, packet[:], note[:], unix.MSG_ERRQUEUE|unix.MSG_DONTWAIT); err != nil {
			return
		}
	}
}
