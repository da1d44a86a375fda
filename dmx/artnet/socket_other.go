//go:build !linux

package artnet

import (
	"net"

	"golang.org/x/net/ipv4"
)

// singleSocket sends one packet a call: elsewhere than on Linux there are no batches.
type singleSocket struct{ *net.UDPConn }

func newSocket(conn *net.UDPConn) socket { return singleSocket{conn} }

func (s singleSocket) write(msgs []ipv4.Message) (int, error) {
	if _, err := s.Write(msgs[0].Buffers[0]); err != nil {
		return 0, err
	}
	return 1, nil
}
