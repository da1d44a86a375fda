package sacn

import "net/netip"

// Group4 is the IPv4 multicast group of a universe on the wire: 239.255.hi.lo (ANSI E1.31-2018, 9.3.1).
func Group4(universe uint16) netip.Addr {
	return netip.AddrFrom4([4]byte{239, 255, byte(universe >> 8), byte(universe)})
}

// Group6 is the IPv6 multicast group of a universe on the wire: ff18::83:00:hi:lo (ANSI E1.31-2018, 9.3.2).
func Group6(universe uint16) netip.Addr {
	return netip.AddrFrom16([16]byte{0: 0xff, 1: 0x18, 12: 0x83, 13: 0x00, 14: byte(universe >> 8), 15: byte(universe)})
}
