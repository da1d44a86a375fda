package dmxtest

import (
	"encoding/binary"
	"fmt"
	"io"
	"net/netip"
	"time"
)

// Constants of the capture file format (pcap 2.4, IETF draft-ietf-opsawg-pcap) and of IPv4 and UDP (RFC 791, RFC 768).
const (
	pcapMagic    = 0xa1b2c3d4 // timestamps in microseconds
	pcapSnapLen  = 65535
	linkTypeRaw  = 101 // packets begin with their IP header
	ipHeaderLen  = 20
	udpHeaderLen = 8
	protocolUDP  = 17
)

// Pcap writes UDP datagrams into a capture file, each in the IPv4 and UDP headers it
// would have had on a wire, so that a dissector can be asked about them.
type Pcap struct{ w io.Writer }

// NewPcap begins a capture file.
func NewPcap(w io.Writer) (*Pcap, error) {
	h := binary.LittleEndian.AppendUint32(nil, pcapMagic)
	h = binary.LittleEndian.AppendUint16(h, 2)
	h = binary.LittleEndian.AppendUint16(h, 4)
	h = binary.LittleEndian.AppendUint64(h, 0) // time zone and accuracy, both unused
	h = binary.LittleEndian.AppendUint32(h, pcapSnapLen)
	h = binary.LittleEndian.AppendUint32(h, linkTypeRaw)
	_, err := w.Write(h)
	return &Pcap{w: w}, err
}

// Datagram adds one datagram between two IPv4 addresses.
func (p *Pcap) Datagram(at time.Time, from, to netip.AddrPort, payload []byte) error {
	if !from.Addr().Unmap().Is4() || !to.Addr().Unmap().Is4() {
		return fmt.Errorf("a datagram from %v to %v is not IPv4", from, to)
	}
	length := ipHeaderLen + udpHeaderLen + len(payload)
	if length > pcapSnapLen {
		return fmt.Errorf("a datagram of %d bytes does not fit into an IPv4 packet", len(payload))
	}
	src, dst := from.Addr().Unmap().As4(), to.Addr().Unmap().As4()

	ip := []byte{0x45, 0} // version 4, five words of header
	ip = binary.BigEndian.AppendUint16(ip, uint16(length))
	ip = append(ip, 0, 0, 0x40, 0, 64, protocolUDP, 0, 0) // do not fragment; 64 hops; checksum below
	ip = append(append(ip, src[:]...), dst[:]...)
	binary.BigEndian.PutUint16(ip[10:], checksum(ip))

	udp := binary.BigEndian.AppendUint16(nil, from.Port())
	udp = binary.BigEndian.AppendUint16(udp, to.Port())
	udp = binary.BigEndian.AppendUint16(udp, uint16(udpHeaderLen+len(payload)))
	udp = append(append(udp, 0, 0), payload...)
	pseudo := append(append([]byte{}, src[:]...), dst[:]...)
	pseudo = binary.BigEndian.AppendUint16(append(pseudo, 0, protocolUDP), uint16(len(udp)))
	sum := checksum(append(pseudo, udp...))
	if sum == 0 {
		sum = 0xffff // 0 means that there is none (RFC 768)
	}
	binary.BigEndian.PutUint16(udp[6:], sum)

	rec := binary.LittleEndian.AppendUint32(nil, uint32(at.Unix()))
	rec = binary.LittleEndian.AppendUint32(rec, uint32(at.Nanosecond()/1000))
	rec = binary.LittleEndian.AppendUint32(rec, uint32(length))
	rec = binary.LittleEndian.AppendUint32(rec, uint32(length))
	_, err := p.w.Write(append(append(rec, ip...), udp...))
	return err
}

// checksum is the Internet checksum of RFC 1071.
func checksum(b []byte) uint16 {
	var sum uint32
	for ; len(b) >= 2; b = b[2:] {
		sum += uint32(b[0])<<8 | uint32(b[1])
	}
	if len(b) == 1 {
		sum += uint32(b[0]) << 8
	}
	for sum>>16 != 0 {
		sum = sum&0xffff + sum>>16
	}
	return ^uint16(sum)
}
