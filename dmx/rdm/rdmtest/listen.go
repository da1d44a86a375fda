package rdmtest

import (
	"fmt"
	"net"
	"net/netip"
	"sync"
)

// Server puts virtual nodes on loopback.
type Server struct {
	conn  *net.UDPConn
	nodes []*Node
	end   sync.WaitGroup
}

// Listen makes nodes answer at an address of loopback; port 0 picks one. Several nodes at one address are the outputs of one
// device.
func Listen(at netip.AddrPort, nodes ...*Node) (*Server, error) {
	s, err := open(at, nodes)
	if err != nil {
		return nil, err
	}
	s.end.Go(s.read)
	return s, nil
}

// Beside makes nodes answer from an address at which something else listens, which gives them what it hears by
// [Server.OnDatagram].
func Beside(at netip.Addr, nodes ...*Node) (*Server, error) {
	return open(netip.AddrPortFrom(at, 0), nodes)
}

func open(at netip.AddrPort, nodes []*Node) (*Server, error) {
	if !at.Addr().IsLoopback() {
		return nil, fmt.Errorf("a virtual node stays on loopback, and %v is not there", at)
	}
	conn, err := net.ListenUDP("udp", net.UDPAddrFromAddrPort(at))
	if err != nil {
		return nil, err
	}
	return &Server{conn: conn, nodes: nodes}, nil
}

// Addr is where it answers from.
func (s *Server) Addr() netip.AddrPort {
	a := s.conn.LocalAddr().(*net.UDPAddr).AddrPort()
	return netip.AddrPortFrom(a.Addr().Unmap(), a.Port())
}

// OnDatagram answers a datagram, if it is for one of the nodes.
func (s *Server) OnDatagram(from netip.AddrPort, b []byte) {
	if !from.Addr().IsLoopback() {
		return
	}
	for _, n := range s.nodes {
		for _, a := range n.Answer(b) {
			// A controller that has left is its own affair.
			_, _ = s.conn.WriteToUDPAddrPort(a, from)
		}
	}
}

func (s *Server) read() {
	buf := make([]byte, 1500)
	for {
		n, from, err := s.conn.ReadFromUDPAddrPort(buf)
		if err != nil {
			return
		}
		s.OnDatagram(netip.AddrPortFrom(from.Addr().Unmap(), from.Port()), buf[:n])
	}
}

// Close ends it.
func (s *Server) Close() error {
	err := s.conn.Close()
	s.end.Wait()
	return err
}
