package rdm

import (
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"strings"
)

// UID names one RDM device in the world: 2 bytes of its maker, 4 of the device (ANSI E1.20, 5.1).
type UID [uidLength]byte

const (
	uidLength   = 6
	makerLength = 2
)

// The addresses of many. Nobody answers to them, except while being discovered.
var (
	Everybody = UID{0xff, 0xff, 0xff, 0xff, 0xff, 0xff}
	// Lowest and Highest are the ends of the range that a search begins with.
	Lowest  = UID{}
	Highest = UID{0xff, 0xff, 0xff, 0xff, 0xff, 0xfe}
)

// Prototype is the maker id for what has no maker; devices and controllers of our own bear it.
const Prototype = 0x7ff0

// MakeUID puts a UID together.
func MakeUID(maker uint16, device uint32) UID {
	var u UID
	binary.BigEndian.PutUint16(u[:], maker)
	binary.BigEndian.PutUint32(u[makerLength:], device)
	return u
}

// Maker is the id of the maker.
func (u UID) Maker() uint16 { return binary.BigEndian.Uint16(u[:]) }

// Device is the number of the device.
func (u UID) Device() uint32 { return binary.BigEndian.Uint32(u[makerLength:]) }

// IsBroadcast says that the UID is that of many devices: all, or all of one maker.
func (u UID) IsBroadcast() bool { return u.Device() == 0xffff_ffff }

// isDevice says that the UID can be that of a device.
func (u UID) isDevice() bool { return !u.IsBroadcast() && u != UID{} }

// String writes it as it is printed on devices: "7ff0:00000001".
func (u UID) String() string { return fmt.Sprintf("%04x:%08x", u.Maker(), u.Device()) }

// ParseUID reads what String writes, in either case. The colon may be left out.
func ParseUID(s string) (UID, error) {
	digits := s
	if maker, device, ok := strings.Cut(s, ":"); ok && len(maker) == 2*makerLength {
		digits = maker + device
	}
	var u UID
	if b, err := hex.DecodeString(digits); err == nil && len(b) == uidLength {
		return UID(b), nil
	}
	return u, fmt.Errorf("%q is no UID of a device; write it as it is printed on it: 7ff0:00000001", s)
}
