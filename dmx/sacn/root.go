package sacn

import (
	"encoding/binary"
	"fmt"
)

// Port is the standard's UDP port (ACN_SDT_MULTICAST_PORT).
const Port = 5568

// The root layer, which every packet begins with (ANSI E1.31-2018, 5).
const (
	preambleSize  = 0x0010
	postambleSize = 0x0000
	acnID         = "ASC-E1.17\x00\x00\x00"

	postambleAt  = 2
	acnIDAt      = 4
	rootLengthAt = 16
	rootVectorAt = 18
	cidAt        = 22
	framingAt    = 38 // where the framing layer begins, with its length
	framingVecAt = 40
	afterVector  = 44

	vectorData     = 4 // VECTOR_ROOT_E131_DATA
	vectorExtended = 8 // VECTOR_ROOT_E131_EXTENDED

	vectorFramingData = 2 // VECTOR_E131_DATA_PACKET, below vectorData
	vectorSync        = 1 // VECTOR_E131_EXTENDED_SYNCHRONIZATION, below vectorExtended
	vectorDiscovery   = 2 // VECTOR_E131_EXTENDED_DISCOVERY, below vectorExtended

	pduFlags = 0x7000 // the four flag bits that every length carries
)

// Kind says what message a packet is.
type Kind byte

// The messages of E1.31.
const (
	KindData Kind = iota + 1
	KindSync
	KindDiscovery
)

// String names the message.
func (k Kind) String() string {
	switch k {
	case KindData:
		return "data"
	case KindSync:
		return "synchronization"
	case KindDiscovery:
		return "universe discovery"
	}
	return fmt.Sprintf("kind %d", byte(k))
}

// Malformed is why a packet is refused. A constant: a flood of bad packets costs no memory.
type Malformed string

func (m Malformed) Error() string { return "malformed packet: " + string(m) }

// Why packets are refused; the numbers are clauses of ANSI E1.31-2018.
const (
	ErrShort         Malformed = "shorter than its headers"
	ErrPreamble      Malformed = "preamble or post-amble size is not that of UDP (5.1, 5.2)"
	ErrID            Malformed = `does not carry the ACN identifier "ASC-E1.17" (5.3)`
	ErrRootLength    Malformed = "length of the root layer is not that of the datagram (5.4)"
	ErrRootVector    Malformed = "root vector is neither 4 nor 8 (5.5)"
	ErrFramingLength Malformed = "length of the framing layer is not that of the datagram (6.1)"
	ErrFramingVector Malformed = "no such framing vector (6.2.1, 6.3.1, 6.4.1)"
	ErrKind          Malformed = "another kind of message"
	ErrName          Malformed = "source name does not end with a zero (6.2.2)"
	ErrPriority      Malformed = "priority is above 200 (6.2.3)"
	ErrSyncAddress   Malformed = "synchronization address is beyond 63999 (6.2.4), or 0 in a synchronization packet (6.3.3.1)"
	ErrUniverse      Malformed = "universe is not from 1 to 63999 (6.2.7)"
	ErrDMPLength     Malformed = "length of the DMP layer is not that of the datagram (7.1)"
	ErrDMPHeader     Malformed = "DMP vector, address type, first address or increment is another (7.2 to 7.5)"
	ErrCount         Malformed = "property value count is not that of the slots, or not from 1 to 513 (7.6)"
	ErrListLength    Malformed = "length of the universe list is not that of the datagram (8.1), odd, or of more than 512 universes (8.5)"
	ErrListVector    Malformed = "vector of the universe list is not 1 (8.2)"
	ErrPage          Malformed = "page lies beyond the last (8.3, 8.4)"
	ErrListOrder     Malformed = "universe list does not ascend (8.5)"
)

// KindOf checks the root layer of a packet and the framing layer's length and vector, and says
// what message it is. The rest is not looked at.
func KindOf(b []byte) (Kind, error) {
	if len(b) < afterVector {
		return 0, ErrShort
	}
	if binary.BigEndian.Uint16(b) != preambleSize || binary.BigEndian.Uint16(b[postambleAt:]) != postambleSize {
		return 0, ErrPreamble
	}
	if string(b[acnIDAt:rootLengthAt]) != acnID {
		return 0, ErrID
	}
	if !reachesEnd(b, rootLengthAt) {
		return 0, ErrRootLength
	}
	// The root vector first: framing vector 2 is data below one and discovery below the other.
	root := binary.BigEndian.Uint32(b[rootVectorAt:])
	if root != vectorData && root != vectorExtended {
		return 0, ErrRootVector
	}
	if !reachesEnd(b, framingAt) {
		return 0, ErrFramingLength
	}
	switch framing := binary.BigEndian.Uint32(b[framingVecAt:]); {
	case root == vectorData && framing == vectorFramingData:
		return KindData, nil
	case root == vectorExtended && framing == vectorSync:
		return KindSync, nil
	case root == vectorExtended && framing == vectorDiscovery:
		return KindDiscovery, nil
	}
	return 0, ErrFramingVector
}

// expect checks that a packet is of one kind and long enough for it.
func expect(b []byte, want Kind, length int) error {
	switch kind, err := KindOf(b); {
	case err != nil:
		return err
	case kind != want:
		return ErrKind
	case len(b) < length:
		return ErrShort
	}
	return nil
}

// reachesEnd says that the flags and length at a place have the right flags, and that the layer
// which begins there ends with the datagram.
func reachesEnd(b []byte, at int) bool {
	return int(binary.BigEndian.Uint16(b[at:])) == pduFlags|len(b)-at
}

// putLength writes flags and length of a layer that goes from at to the end of b.
func putLength(b []byte, at int) { binary.BigEndian.PutUint16(b[at:], uint16(pduFlags|(len(b)-at))) }

// appendRoot begins a packet: the root layer and the framing layer's vector. The lengths are
// to be put in when all is there.
func appendRoot(dst []byte, cid CID, root, framing uint32) []byte {
	dst = binary.BigEndian.AppendUint16(dst, preambleSize)
	dst = binary.BigEndian.AppendUint16(dst, postambleSize)
	dst = append(dst, acnID...)
	dst = append(dst, 0, 0)
	dst = binary.BigEndian.AppendUint32(dst, root)
	dst = append(dst, cid[:]...)
	dst = append(dst, 0, 0)
	return binary.BigEndian.AppendUint32(dst, framing)
}
