package artnet

import (
	"context"
	"net"
	"net/netip"
)

// Open binds a UDP port on a network's own address. Where the system hands broadcasts only to who is bound to the
// broadcast address (Linux does), a second socket hears the polls of other controllers and the
// answers of older devices, which come that way. Without it all goes on but for those.
func Open(n Network, port uint16) ([]*net.UDPConn, error) {
	own, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(netip.AddrPortFrom(n.Own.Addr(), port)))
	if err != nil {
		return nil, err
	}
	_ = own.SetReadBuffer(readBuffer) // whatever it grants will do
	conns := []*net.UDPConn{own}
	if all := n.Broadcast(); all != n.Own.Addr() {
		// Shared, as every program that listens to broadcasts has to share it.
		lc := net.ListenConfig{Control: shareAddress}
		if c, err := lc.ListenPacket(context.Background(), "udp4", netip.AddrPortFrom(all, port).String()); err == nil {
			conns = append(conns, c.(*net.UDPConn))
		}
	}
	return conns, nil
}

// openWires is Open for a [Discovery].
func openWires(n Network, port uint16) ([]wire, error) {
	conns, err := Open(n, port)
	if err != nil {
		return nil, err
	}
	wires := make([]wire, len(conns))
	for i, c := range conns {
		wires[i] = c
	}
	return wires, nil
}
