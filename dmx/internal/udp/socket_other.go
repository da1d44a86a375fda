//go:build !linux

package udp

import "net"

// single sends one packet a call: elsewhere than on Linux there are no batches.
type single struct{ *net.UDPConn }

func newSocket(conn *net.UDPConn, _ bool) Socket { return single{conn} }

func (s single) Write(msgs []Message) (int, error) {
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

func (s single) Path() string { return "single packets" }
