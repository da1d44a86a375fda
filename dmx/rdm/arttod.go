package rdm

import (
	"encoding/binary"

	"limn/dmx/artnet"
)

// Art-Net's messages about the table of devices of a node's line (TOD).
const (
	rdmVersion  = 1 // RDM as in the standard, not in its draft
	rdmVerAt    = 12
	portNumAt   = 13
	bindIndexAt = 20
	netAt       = 21
	commandAt   = 22
	addressAt   = 23
	netBits     = 0x7f

	todUIDsAt       = 28
	todTotalAt      = 24
	todBlockAt      = 26
	todCountAt      = 27
	todRequestMax   = 32 // addresses
	todRequestLeast = 24
	todControlLen   = 24

	// MaxBlock is the most devices that one ArtTodData tells of.
	MaxBlock = 200
)

// TodRequest is ArtTodRequest: it asks the nodes with these Port-Addresses for their tables. All are of one Net.
type TodRequest struct {
	Net       byte   // 0..127
	Addresses []byte // the low bytes of the Port-Addresses, at most 32
}

// AppendTo appends the packet, in full length. More than 32 addresses are a programmer's mistake and panic.
func (r *TodRequest) AppendTo(dst []byte) []byte {
	if len(r.Addresses) > todRequestMax {
		panic("rdm: more addresses than an ArtTodRequest carries")
	}
	start := len(dst)
	dst = grown(dst, artnet.OpTodRequest, todRequestLeast+todRequestMax)
	b := dst[start:]
	b[netAt], b[addressAt] = r.Net&netBits, byte(len(r.Addresses))
	copy(b[todRequestLeast:], r.Addresses)
	return dst
}

// Decode reads the packet; Addresses is part of b. After an error r is as it was.
func (r *TodRequest) Decode(b []byte) error {
	if err := expect(b, artnet.OpTodRequest, todRequestLeast); err != nil {
		return err
	}
	n := int(b[addressAt])
	if n > todRequestMax || len(b) < todRequestLeast+n {
		return ErrCount
	}
	*r = TodRequest{Net: b[netAt], Addresses: b[todRequestLeast : todRequestLeast+n]}
	return nil
}

// Asks says that the table of a Port-Address is asked for.
func (r *TodRequest) Asks(portAddress uint16) bool {
	for _, a := range r.Addresses {
		if portAddress == uint16(r.Net)<<8|uint16(a) {
			return true
		}
	}
	return false
}

// TodControl is ArtTodControl. Flush makes the node forget its table and search its line anew.
type TodControl struct {
	PortAddress uint16
	Flush       bool
}

const commandFlush = 1

// AppendTo appends the packet.
func (c *TodControl) AppendTo(dst []byte) []byte {
	start := len(dst)
	dst = grown(dst, artnet.OpTodControl, todControlLen)
	b := dst[start:]
	b[netAt], b[addressAt] = byte(c.PortAddress>>8)&netBits, byte(c.PortAddress)
	if c.Flush {
		b[commandAt] = commandFlush
	}
	return dst
}

// Decode reads the packet. After an error c is as it was.
func (c *TodControl) Decode(b []byte) error {
	if err := expect(b, artnet.OpTodControl, todControlLen); err != nil {
		return err
	}
	*c = TodControl{PortAddress: portAddress(b), Flush: b[commandAt] == commandFlush}
	return nil
}

// TodData is ArtTodData: a part of a node's table.
type TodData struct {
	PortAddress uint16
	Port        byte // of the node, from 1
	BindIndex   byte
	NotReady    bool // the node has no table at the moment: it may be searching
	Total       int  // devices in the whole table
	Block       int  // which part this is, from 0
	UIDs        []UID
}

const notReady = 0xff

// AppendTo appends the packet. More than MaxBlock UIDs are a programmer's mistake and panic.
func (d *TodData) AppendTo(dst []byte) []byte {
	if len(d.UIDs) > MaxBlock {
		panic("rdm: more devices than an ArtTodData carries")
	}
	start := len(dst)
	dst = grown(dst, artnet.OpTodData, todUIDsAt)
	b := dst[start:]
	b[rdmVerAt], b[portNumAt], b[bindIndexAt] = rdmVersion, d.Port, d.BindIndex
	b[netAt], b[addressAt] = byte(d.PortAddress>>8)&netBits, byte(d.PortAddress)
	if d.NotReady {
		b[commandAt] = notReady
	}
	binary.BigEndian.PutUint16(b[todTotalAt:], uint16(d.Total))
	b[todBlockAt], b[todCountAt] = byte(d.Block), byte(len(d.UIDs))
	for _, u := range d.UIDs {
		dst = append(dst, u[:]...)
	}
	return dst
}

// Decode reads the packet into d, whose room for UIDs it uses again. After an error d is as it was.
func (d *TodData) Decode(b []byte) error {
	if err := expect(b, artnet.OpTodData, todUIDsAt); err != nil {
		return err
	}
	n := int(b[todCountAt])
	switch {
	case b[rdmVerAt] != rdmVersion:
		return ErrVersion
	case n > MaxBlock || len(b) < todUIDsAt+n*uidLength:
		return ErrCount
	}
	for i := range n {
		if !UID(b[todUIDsAt+i*uidLength:]).isDevice() {
			return ErrUID
		}
	}
	uids := d.UIDs[:0]
	for i := range n {
		uids = append(uids, UID(b[todUIDsAt+i*uidLength:]))
	}
	*d = TodData{
		PortAddress: portAddress(b), Port: b[portNumAt], BindIndex: b[bindIndexAt],
		NotReady: b[commandAt] == notReady,
		Total:    int(binary.BigEndian.Uint16(b[todTotalAt:])), Block: int(b[todBlockAt]), UIDs: uids,
	}
	return nil
}

// grown appends a header and zeros up to a length.
func grown(dst []byte, op artnet.OpCode, length int) []byte {
	end := len(dst) + length
	dst = artnet.AppendHeader(dst, op)
	for len(dst) < end {
		dst = append(dst, 0)
	}
	return dst
}

// expect checks that a packet is of one kind, long enough for it, and of a possible Net.
func expect(b []byte, want artnet.OpCode, length int) error {
	op, err := artnet.Kind(b)
	switch {
	case err != nil:
		return err
	case op != want:
		return artnet.ErrKind
	case len(b) < length:
		return artnet.ErrShort
	case b[netAt]&^netBits != 0:
		return ErrNet
	}
	return nil
}

func portAddress(b []byte) uint16 { return uint16(b[netAt])<<8 | uint16(b[addressAt]) }
