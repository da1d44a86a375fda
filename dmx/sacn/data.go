package sacn

import (
	"encoding/binary"
	"fmt"

	"limn/dmx"
)

// Limits of ANSI E1.31-2018.
const (
	MaxPriority     = 200 // 6.2.3
	DefaultPriority = 100 // 6.2.3, E131_DEFAULT_PRIORITY
	MaxUniverse     = 63999
)

// The data packet (ANSI E1.31-2018, table 4-1).
const (
	nameAt      = afterVector
	priorityAt  = 108
	syncAt      = 109
	sequenceAt  = 111
	optionsAt   = 112
	universeAt  = 113
	dmpAt       = 115
	dmpHeadAt   = 117
	countAt     = 123
	startCodeAt = 125
	slotsAt     = 126

	// vector 2 (set property), type 0xa1, first address 0, increment 1: 7.2 to 7.5.
	dmpHead = "\x02\xa1\x00\x00\x00\x01"
)

// Options are the flags of a data packet (ANSI E1.31-2018, 6.2.6); the other bits mean nothing.
type Options byte

// The flags.
const (
	Preview          Options = 0x80 // for a visualizer, never for live light
	StreamTerminated Options = 0x40 // the sender ends this universe; the levels mean nothing
	ForceSync        Options = 0x20 // when synchronization is lost, show data as they come
	knownOptions             = Preview | StreamTerminated | ForceSync
)

// Data is one data packet.
type Data struct {
	CID       CID
	Name      []byte // source name as sent, up to its zero; see [CleanName]
	Priority  byte   // 0..200
	Sync      uint16 // the address of its synchronization packets; 0: none
	Sequence  byte
	Options   Options
	Universe  uint16 // 1..63999
	StartCode byte   // 0: levels
	Slots     []byte // from slot 1 on, 0..512 of them
}

// Decode reads a data packet. Name and Slots are parts of b. After an error, which is a [Malformed],
// d is as it was.
func (d *Data) Decode(b []byte) error {
	if err := expect(b, KindData, slotsAt-1); err != nil {
		return err
	}
	name, ok := nameOf(b[nameAt:priorityAt])
	universe := binary.BigEndian.Uint16(b[universeAt:])
	sync := binary.BigEndian.Uint16(b[syncAt:])
	count := int(binary.BigEndian.Uint16(b[countAt:]))
	switch {
	case !ok:
		return ErrName
	case b[priorityAt] > MaxPriority:
		return ErrPriority
	case sync > MaxUniverse:
		return ErrSyncAddress
	case universe == 0 || universe > MaxUniverse:
		return ErrUniverse
	case !reachesEnd(b, dmpAt):
		return ErrDMPLength
	case string(b[dmpHeadAt:countAt]) != dmpHead:
		return ErrDMPHeader
	case count < 1 || count > dmx.Slots+1 || startCodeAt+count != len(b):
		return ErrCount
	}
	copy(d.CID[:], b[cidAt:])
	d.Name = name
	d.Priority = b[priorityAt]
	d.Sync = sync
	d.Sequence = b[sequenceAt]
	d.Options = Options(b[optionsAt]) & knownOptions
	d.Universe = universe
	d.StartCode = b[startCodeAt]
	d.Slots = b[slotsAt:len(b):len(b)]
	return nil
}

// check says what is wrong with what is to be encoded.
func (d *Data) check() error {
	switch {
	case d.CID == (CID{}):
		return ErrNoCID
	case d.Priority > MaxPriority:
		return fmt.Errorf("priority %d is out of range; E1.31 has 0..%d", d.Priority, MaxPriority)
	case d.Sync > MaxUniverse:
		return fmt.Errorf("synchronization address %d is out of range; E1.31 has 1..%d, or 0 for none", d.Sync, MaxUniverse)
	case d.Universe == 0 || d.Universe > MaxUniverse:
		return fmt.Errorf("universe %d is out of range; E1.31 has 1..%d", d.Universe, MaxUniverse)
	case len(d.Slots) > dmx.Slots:
		return fmt.Errorf("%d slots are too many; DMX512-A has %d", len(d.Slots), dmx.Slots)
	}
	return nil
}

// Append appends the packet. Its error says which field is out of range; nothing is appended then.
func (d *Data) Append(dst []byte) ([]byte, error) {
	if err := d.check(); err != nil {
		return dst, err
	}
	at := len(dst)
	dst = appendRoot(dst, d.CID, vectorData, vectorFramingData)
	dst = appendName(dst, string(d.Name))
	dst = append(dst, d.Priority)
	dst = binary.BigEndian.AppendUint16(dst, d.Sync)
	dst = append(dst, d.Sequence, byte(d.Options&knownOptions))
	dst = binary.BigEndian.AppendUint16(dst, d.Universe)
	dst = append(dst, 0, 0)
	dst = append(dst, dmpHead...)
	dst = binary.BigEndian.AppendUint16(dst, uint16(len(d.Slots)+1))
	dst = append(dst, d.StartCode)
	dst = append(dst, d.Slots...)
	for _, layer := range [...]int{rootLengthAt, framingAt, dmpAt} {
		putLength(dst[at:], layer)
	}
	return dst, nil
}

// Encoder is a data packet of 512 slots, laid out once and filled for each frame.
type Encoder struct{ packet []byte }

// NewEncoder lays the packet out with everything that d says but its sequence and slots.
func NewEncoder(d Data) (*Encoder, error) {
	d.Slots = make([]byte, dmx.Slots)
	b, err := d.Append(nil)
	if err != nil {
		return nil, err
	}
	return &Encoder{packet: b}, nil
}

// Encode fills in a sequence number and the slots and gives the packet, which is the
// encoder's own and valid until the next call.
func (e *Encoder) Encode(sequence byte, slots *dmx.Frame) []byte {
	e.packet[sequenceAt] = sequence
	copy(e.packet[slotsAt:], slots[:])
	return e.packet
}
