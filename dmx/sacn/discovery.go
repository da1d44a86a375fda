package sacn

import (
	"encoding/binary"
	"fmt"
)

// The universe discovery packet (ANSI E1.31-2018, table 4-3).
const (
	listAt    = 112 // after the name and four reserved bytes
	listVec   = 114
	pageAt    = 118
	lastAt    = 119
	entriesAt = 120 // where the list begins

	vectorList = 1 // VECTOR_UNIVERSE_DISCOVERY_UNIVERSE_LIST
)

// DiscoveryUniverse is the group that universe discovery is sent to (ANSI E1.31-2018, appendix A).
const DiscoveryUniverse = 64214

// PageSize is how many universes a discovery packet lists at most (ANSI E1.31-2018, 8).
const PageSize = 512

// maxPages is how many pages a list may have, as they are numbered in a byte.
const maxPages = 256

// DiscoveryPage is one universe discovery packet: a part of the list of what a sender sends.
type DiscoveryPage struct {
	CID       CID
	Name      []byte // as sent, up to its zero; see [CleanName]
	Page      byte   // from 0
	Last      byte   // the number of the last page
	Universes []uint16
}

// Decode reads a universe discovery packet; Name is a part of b, and the room of Universes is used again. After an
// error, which is a [Malformed], p is as it was.
func (p *DiscoveryPage) Decode(b []byte) error {
	if err := expect(b, KindDiscovery, entriesAt); err != nil {
		return err
	}
	name, ok := nameOf(b[nameAt:priorityAt])
	list := b[entriesAt:]
	switch {
	case !ok:
		return ErrName
	case !reachesEnd(b, listAt) || len(list)%2 != 0 || len(list) > 2*PageSize:
		return ErrListLength
	case binary.BigEndian.Uint32(b[listVec:]) != vectorList:
		return ErrListVector
	case b[pageAt] > b[lastAt]:
		return ErrPage
	}
	for i, before := 0, uint16(0); i < len(list); i += 2 {
		u := binary.BigEndian.Uint16(list[i:])
		if u <= before {
			return ErrListOrder
		}
		if u > MaxUniverse {
			return ErrUniverse
		}
		before = u
	}
	copy(p.CID[:], b[cidAt:])
	p.Name = name
	p.Page, p.Last = b[pageAt], b[lastAt]
	p.Universes = p.Universes[:0]
	for i := 0; i < len(list); i += 2 {
		p.Universes = append(p.Universes, binary.BigEndian.Uint16(list[i:]))
	}
	return nil
}

// Append appends the packet. Its error says what is out of range; nothing is appended then.
func (p *DiscoveryPage) Append(dst []byte) ([]byte, error) {
	switch {
	case p.CID == (CID{}):
		return dst, ErrNoCID
	case p.Page > p.Last:
		return dst, fmt.Errorf("page %d lies beyond the last, %d", p.Page, p.Last)
	case len(p.Universes) > PageSize:
		return dst, fmt.Errorf("%d universes are too many for a page; it has %d", len(p.Universes), PageSize)
	}
	for i, u := range p.Universes {
		if u == 0 || u > MaxUniverse || i > 0 && u <= p.Universes[i-1] {
			return dst, fmt.Errorf("universe %d in a list is out of range or out of order; it goes up from 1 to %d", u, MaxUniverse)
		}
	}
	at := len(dst)
	dst = appendRoot(dst, p.CID, vectorExtended, vectorDiscovery)
	dst = appendName(dst, string(p.Name))
	dst = append(dst, 0, 0, 0, 0) // reserved
	dst = append(dst, 0, 0)       // length of the list
	dst = binary.BigEndian.AppendUint32(dst, vectorList)
	dst = append(dst, p.Page, p.Last)
	for _, u := range p.Universes {
		dst = binary.BigEndian.AppendUint16(dst, u)
	}
	for _, layer := range [...]int{rootLengthAt, framingAt, listAt} {
		putLength(dst[at:], layer)
	}
	return dst, nil
}

// pages cuts an ascending list into packets; an empty list is one page.
func pages(cid CID, name string, list []uint16) ([][]byte, error) {
	n := max((len(list)+PageSize-1)/PageSize, 1)
	if n > maxPages {
		return nil, fmt.Errorf("%d universes are too many to list", len(list))
	}
	var out [][]byte
	for i := range n {
		p := DiscoveryPage{
			CID: cid, Name: []byte(name), Page: byte(i), Last: byte(n - 1),
			Universes: list[i*PageSize : min((i+1)*PageSize, len(list))],
		}
		b, err := p.Append(nil)
		if err != nil {
			return nil, err
		}
		out = append(out, b)
	}
	return out, nil
}
