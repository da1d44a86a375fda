package artnet

import (
	"fmt"

	"limn/dmx"
)

// MaxPortAddress is the highest Port-Address: 7 bits of Net, 4 of Sub-Net, 4 of Universe.
const MaxPortAddress = 32767

// PortAddress is where a universe goes: its number plus the output's offset. An offset of 0 is
// the usual one; -1 is for nodes that print "universe 1" on Port-Address 0.
func PortAddress(u dmx.Universe, offset int) (uint16, error) {
	n := int(u) + offset
	if n >= 0 && n <= MaxPortAddress {
		return uint16(n), nil
	}
	if offset == 0 {
		return 0, fmt.Errorf("universe %d is beyond Art-Net's Port-Addresses; number it 0..%d or give the output an offset", u, MaxPortAddress)
	}
	return 0, fmt.Errorf("universe %d with offset %d makes Port-Address %d; Art-Net has 0..%d, so change the universe or the offset", u, offset, n, MaxPortAddress)
}

// FormatPortAddress writes a Port-Address as Net:Sub-Net:Universe and as its number, because devices
// show one or the other: "0:1:2 (18)".
func FormatPortAddress(p uint16) string {
	return fmt.Sprintf("%d:%d:%d (%d)", p>>8, p>>4&15, p&15, p)
}
