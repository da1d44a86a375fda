package artnet

import (
	"encoding/binary"
	"fmt"
	"net/netip"

	"github.com/jsimonetti/go-artnet/packet"

	"limn/dmx"
)

// ArtDmx, the message that carries slots.
const (
	sequenceAt = 12
	physicalAt = 13
	subUniAt   = 14
	netAt      = 15
	lengthAt   = 16
	dataAt     = 18
	minLength  = 2
)

// Datagram is one ArtDmx as received.
type Datagram struct {
	From        netip.AddrPort
	PortAddress uint16
	Sequence    byte   // 1..255; 0: the sender does not count
	Physical    byte   // the input it came from; for information
	Data        []byte // slots from 1 on, 2..512 of them; valid until the handler returns
}

// Decode reads an ArtDmx and sets all of d but From. Data is a part of b. After an
// error, which is a [Malformed], d is as it was.
func (d *Datagram) Decode(b []byte) error {
	op, err := Kind(b)
	switch {
	case err != nil:
		return err
	case op != OpDmx:
		return ErrNotDmx
	case len(b) < dataAt:
		return ErrShort
	case b[netAt] > MaxPortAddress>>8: // masking it would light another universe
		return ErrNet
	}
	length := int(binary.BigEndian.Uint16(b[lengthAt:]))
	switch {
	case length < minLength || length > dmx.Slots || length%2 != 0:
		return ErrLength
	case len(b) < dataAt+length:
		return ErrIncomplete
	}
	d.Sequence = b[sequenceAt]
	d.Physical = b[physicalAt]
	d.PortAddress = uint16(b[netAt])<<8 | uint16(b[subUniAt])
	d.Data = b[dataAt : dataAt+length : dataAt+length] // senders may append more; it is nobody's
	return nil
}

// Encoder is an ArtDmx for one Port-Address, laid out once and filled for each frame.
type Encoder struct{ packet []byte }

// NewEncoder lays out the packet. physical is the input that a node would name as the
// source; a controller says 0.
func NewEncoder(portAddress uint16, physical byte) (*Encoder, error) {
	if portAddress > MaxPortAddress {
		return nil, fmt.Errorf("Port-Address %d is out of range; Art-Net has 0..%d", portAddress, MaxPortAddress)
	}
	// The library's layout, which is right and always of full length; filling
	// it would cost three allocations a frame there.
	b, err := (&packet.ArtDMXPacket{Physical: physical, SubUni: byte(portAddress), Net: byte(portAddress >> 8)}).MarshalBinary()
	if err != nil {
		return nil, err
	}
	return &Encoder{packet: b}, nil
}

// portAddress is the one it was made for.
func (e *Encoder) portAddress() uint16 {
	return uint16(e.packet[netAt])<<8 | uint16(e.packet[subUniAt])
}

// Encode fills in a sequence number and the slots, from slot 1 on, 1..512 of them, and gives the packet,
// which is the encoder's own and valid until the next call. An odd number of slots is
// made even with a zero, as Length must be. Another number of slots is a programmer's mistake.
func (e *Encoder) Encode(sequence byte, slots []byte) []byte {
	if len(slots) == 0 || len(slots) > dmx.Slots {
		panic(fmt.Sprintf("artnet: %d slots in a frame", len(slots)))
	}
	b := e.packet
	b[sequenceAt] = sequence
	n := copy(b[dataAt:], slots)
	if n%2 != 0 {
		b[dataAt+n] = 0
		n++
	}
	binary.BigEndian.PutUint16(b[lengthAt:], uint16(n))
	return b[:dataAt+n]
}
