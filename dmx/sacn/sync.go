package sacn

import (
	"encoding/binary"
	"fmt"
)

// The synchronization packet (ANSI E1.31-2018, table 4-2).
const (
	syncSequenceAt = 44
	syncAddressAt  = 45
	syncLength     = 49
)

// Sync is one synchronization packet: what was sent for its address is to be shown now.
type Sync struct {
	CID      CID
	Sequence byte   // counts the synchronization packets of one address
	Address  uint16 // 1..63999
}

// Decode reads a synchronization packet. After an error, which is a [Malformed], s is as it was.
func (s *Sync) Decode(b []byte) error {
	if err := expect(b, KindSync, syncLength); err != nil {
		return err
	}
	address := binary.BigEndian.Uint16(b[syncAddressAt:])
	switch {
	case len(b) != syncLength:
		return ErrFramingLength
	case address == 0 || address > MaxUniverse:
		return ErrSyncAddress
	}
	copy(s.CID[:], b[cidAt:])
	s.Sequence = b[syncSequenceAt]
	s.Address = address
	return nil
}

// Append appends the packet. Its error says which field is out of range; nothing is appended then.
func (s *Sync) Append(dst []byte) ([]byte, error) {
	switch {
	case s.CID == (CID{}):
		return dst, ErrNoCID
	case s.Address == 0 || s.Address > MaxUniverse:
		return dst, fmt.Errorf("synchronization address %d is out of range; E1.31 has 1..%d", s.Address, MaxUniverse)
	}
	at := len(dst)
	dst = appendRoot(dst, s.CID, vectorExtended, vectorSync)
	dst = append(dst, s.Sequence)
	dst = binary.BigEndian.AppendUint16(dst, s.Address)
	dst = append(dst, 0, 0) // reserved
	putLength(dst[at:], rootLengthAt)
	putLength(dst[at:], framingAt)
	return dst, nil
}
