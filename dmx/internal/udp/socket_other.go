//go:build !linux

package udp

import "net"

// loner sends one packet a call: elsewhere than on Linux there are no batches.
type loner struct{ *net.UDPConn }

func newSocket(conn *net.UDPConn, _ bool) Socket { return loner{conn} }

func (s loner) Write(msgs []Message) (int, error) {
	var err error
	if to := msgs[0].Addr; to != nil {
		_, err = s.WriteTo(msgs[0].Buffers[0], to)
	} else {
		_, err = s.UDPConn.Write(msgs[0].Buffers[0])
	}
	if err != nil {
		return 0, err
	}
	return 1, nil
}

func (s loner) Path() string { return single }
