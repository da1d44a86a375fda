package artnet

import (
	"net"

	"golang.org/x/net/ipv4"
	"golang.org/x/sys/unix"
)

// batchSocket hands the system many packets in one call (sendmmsg).
type batchSocket struct {
	*net.UDPConn
	packets *ipv4.PacketConn
}

func newSocket(conn *net.UDPConn) socket {
	s := &batchSocket{UDPConn: conn, packets: ipv4.NewPacketConn(conn)}
	// Without it the kernel keeps to itself that an address does not answer ARP, that is, that a node is off.
	s.control(func(fd int) { _ = unix.SetsockoptInt(fd, unix.IPPROTO_IP, unix.IP_RECVERR, 1) })
	return s
}

func (s *batchSocket) write(msgs []ipv4.Message) (int, error) {
	n, err := s.packets.WriteBatch(msgs[:min(batch, len(msgs))], 0)
	if err != nil {
		s.control(drain)
	}
	return n, err
}

func (s *batchSocket) control(do func(fd int)) {
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
