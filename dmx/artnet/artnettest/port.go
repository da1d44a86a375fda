package artnettest

import (
	"net"
	"net/netip"
)

// FreePort finds a UDP port that nobody uses on loopback, for the nodes of one test and whoever polls them.
func FreePort() (uint16, error) {
	c, err := net.ListenUDP("udp4", net.UDPAddrFromAddrPort(netip.MustParseAddrPort("127.0.0.1:0")))
	if err != nil {
		return 0, err
	}
	defer c.Close()
	return c.LocalAddr().(*net.UDPAddr).AddrPort().Port(), nil
}
