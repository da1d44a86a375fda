package artnet

import "encoding/binary"

// ArtPoll, the question who is there. Present senders write 22 bytes, older ones 14.
const (
	pollFlagsAt        = 12
	pollDiagPriorityAt = 13
	pollTopAt          = 14
	pollBottomAt       = 16
	pollEstaAt         = 18
	pollOemAt          = 20
	pollShort          = 14
	pollLong           = 22
)

// PollFlags is the Flags field of ArtPoll.
type PollFlags byte

// What a poll asks for.
const (
	PollOnChange    PollFlags = 1 << 1 // an ArtPollReply also whenever something changes
	PollDiagnostics PollFlags = 1 << 2 // diagnostics
	PollDiagUnicast PollFlags = 1 << 3 // diagnostics to the poller alone
	PollNoVLC       PollFlags = 1 << 4 // no data by visible light
	PollTargeted    PollFlags = 1 << 5 // answers of those with a Port-Address from TargetBottom to TargetTop only
)

// DiagPriority is how urgent a message of diagnostics is, and the least that a poller asks for.
type DiagPriority byte

// The priorities of the standard.
const (
	DiagLow      DiagPriority = 0x10
	DiagMedium   DiagPriority = 0x40
	DiagHigh     DiagPriority = 0x80
	DiagCritical DiagPriority = 0xe0
	DiagVolatile DiagPriority = 0xf0 // shown on one line that is overwritten
)

// PollPacket is an ArtPoll.
type PollPacket struct {
	Flags                   PollFlags
	DiagPriority            DiagPriority
	TargetTop, TargetBottom uint16 // Port-Addresses, with PollTargeted
	Esta, Oem               uint16 // who made the sender; 0 if it does not say
}

// Decode reads an ArtPoll of any length the revisions of the standard have had; what a short one leaves
// out is 0. After an error, which is a [Malformed], p is as it was.
func (p *PollPacket) Decode(b []byte) error {
	if err := expect(b, OpPoll, headerLength); err != nil {
		return err
	}
	// go-artnet's decoder refuses 12 and 13 bytes and does not know what follows the 14th.
	var full [pollLong]byte
	copy(full[:], b)
	*p = PollPacket{
		Flags:        PollFlags(full[pollFlagsAt]),
		DiagPriority: DiagPriority(full[pollDiagPriorityAt]),
		TargetTop:    binary.BigEndian.Uint16(full[pollTopAt:]),
		TargetBottom: binary.BigEndian.Uint16(full[pollBottomAt:]),
		Esta:         binary.BigEndian.Uint16(full[pollEstaAt:]),
		Oem:          binary.BigEndian.Uint16(full[pollOemAt:]),
	}
	return nil
}

// AppendTo appends the packet: 14 bytes, which every device takes, as long as they say it all; else 22.
func (p *PollPacket) AppendTo(dst []byte) []byte {
	dst = AppendHeader(dst, OpPoll)
	dst = append(dst, byte(p.Flags), byte(p.DiagPriority))
	if p.Flags&PollTargeted == 0 && p.Esta == 0 && p.Oem == 0 {
		return dst
	}
	dst = binary.BigEndian.AppendUint16(dst, p.TargetTop)
	dst = binary.BigEndian.AppendUint16(dst, p.TargetBottom)
	dst = binary.BigEndian.AppendUint16(dst, p.Esta)
	return binary.BigEndian.AppendUint16(dst, p.Oem)
}

// Asks says that whoever has these Port-Addresses is to answer. A poll that is not targeted asks everybody.
func (p *PollPacket) Asks(addresses ...uint16) bool {
	if p.Flags&PollTargeted == 0 {
		return true
	}
	for _, a := range addresses {
		if a >= p.TargetBottom && a <= p.TargetTop {
			return true
		}
	}
	return false
}
