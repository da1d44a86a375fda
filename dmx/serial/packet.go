package serial

import (
	"encoding/binary"
	"errors"
	"fmt"
)

// The framed widget protocol: start byte, label, length (low byte first),
// payload, end byte. Nothing is escaped: both bytes may occur in a payload, so a
// packet is found by its length.
const (
	packetStart = 0x7E
	packetEnd   = 0xE7
	packetHead  = 4
	packetTail  = 1

	// MaxPayload is the longest payload a packet may have.
	MaxPayload = 600
)

// Label says what a packet is.
type Label byte

// Labels that are used here.
const (
	LabelParameters Label = 3  // request and reply
	LabelSend       Label = 6  // start code and 24..512 slots
	LabelSerial     Label = 10 // request and reply; the request ends the widget's output
)

// minSlots is the fewest slots that a widget sends.
const minSlots = 24

// Packet is one packet of the framed protocol.
type Packet struct {
	Label   Label
	Payload []byte
}

// AppendTo appends the packet's bytes to dst. A payload longer than MaxPayload is a
// programmer's mistake and panics.
func (p Packet) AppendTo(dst []byte) []byte {
	if len(p.Payload) > MaxPayload {
		panic(fmt.Sprintf("serial: a payload of %d bytes; at most %d fit", len(p.Payload), MaxPayload))
	}
	dst = append(dst, packetStart, byte(p.Label))
	dst = binary.LittleEndian.AppendUint16(dst, uint16(len(p.Payload)))
	dst = append(dst, p.Payload...)
	return append(dst, packetEnd)
}

// errPartial says that the bytes may begin a packet that is not all there yet.
var errPartial = errors.New("serial: the packet goes on")

// decodePacket takes a packet from the start of b. n is its length; the payload
// is part of b. errPartial means that more bytes may help, another error that no
// packet starts at this byte.
func decodePacket(b []byte) (p Packet, n int, err error) {
	if len(b) == 0 {
		return Packet{}, 0, errPartial
	}
	if b[0] != packetStart {
		return Packet{}, 0, fmt.Errorf("serial: a packet starts with %#02x, not %#02x", packetStart, b[0])
	}
	if len(b) < packetHead {
		return Packet{}, 0, errPartial
	}
	size := int(binary.LittleEndian.Uint16(b[2:]))
	if size > MaxPayload {
		return Packet{}, 0, fmt.Errorf("serial: a payload of %d bytes; at most %d are allowed", size, MaxPayload)
	}
	n = packetHead + size + packetTail
	if len(b) < n {
		return Packet{}, 0, errPartial
	}
	if b[n-1] != packetEnd {
		return Packet{}, 0, fmt.Errorf("serial: a packet ends with %#02x, not %#02x", packetEnd, b[n-1])
	}
	p = Packet{Label: Label(b[1]), Payload: b[packetHead : packetHead+size]}
	if p.Label == LabelSend && (size < 1+minSlots || size > lineBytes) {
		return Packet{}, 0, fmt.Errorf("serial: %d bytes to send; a start code and %d to %d slots are wanted", size, minSlots, lineBytes-1)
	}
	return p, n, nil
}

// DecodePacket reads a packet that is all of b. The payload is part of b.
func DecodePacket(b []byte) (Packet, error) {
	p, n, err := decodePacket(b)
	if err != nil {
		return Packet{}, err
	}
	if n != len(b) {
		return Packet{}, fmt.Errorf("serial: %d bytes follow the packet", len(b)-n)
	}
	return p, nil
}

// Scanner finds packets in a stream of bytes. What is no packet is passed over
// byte by byte and counted; it holds one packet's bytes at the most.
type Scanner struct {
	buf     []byte
	Refused int // bytes passed over
}

// Write takes bytes of the stream and calls found for each packet; the payload is
// valid until found returns.
func (s *Scanner) Write(b []byte, found func(Packet)) {
	for len(b) > 0 {
		room := packetHead + MaxPayload + packetTail - len(s.buf)
		n := min(room, len(b))
		s.buf = append(s.buf, b[:n]...)
		b = b[n:]
		s.scan(found)
	}
}

func (s *Scanner) scan(found func(Packet)) {
	rest := s.buf
	for len(rest) > 0 {
		p, n, err := decodePacket(rest)
		switch {
		case errors.Is(err, errPartial):
			s.buf = s.buf[:copy(s.buf, rest)]
			return
		case err != nil:
			s.Refused++
			rest = rest[1:]
		default:
			found(p)
			rest = rest[n:]
		}
	}
	s.buf = s.buf[:0]
}
