package artnet

import (
	"encoding/binary"
	"fmt"
)

// Port is the standard's UDP port.
const Port = 6454

const (
	idLength      = 8
	opCodeAt      = 8
	protVerAt     = 10
	headerLength  = 12 // of every message but ArtPollReply
	protVer       = 14 // the least a receiver takes
	shortestOther = 10 // ArtPollReply goes on with an address where others have ProtVer
)

const id = "Art-Net\x00"

// OpCode says what kind of message a packet is. It goes low byte first, unlike everything else.
type OpCode uint16

// The messages of Art-Net 4.
const (
	OpPoll        OpCode = 0x2000
	OpPollReply   OpCode = 0x2100
	OpDiagData    OpCode = 0x2300
	OpCommand     OpCode = 0x2400
	OpDmx         OpCode = 0x5000
	OpNzs         OpCode = 0x5100
	OpSync        OpCode = 0x5200
	OpAddress     OpCode = 0x6000
	OpInput       OpCode = 0x7000
	OpTodRequest  OpCode = 0x8000
	OpTodData     OpCode = 0x8100
	OpTodControl  OpCode = 0x8200
	OpRdm         OpCode = 0x8300
	OpRdmSub      OpCode = 0x8400
	OpTimeCode    OpCode = 0x9700
	OpTimeSync    OpCode = 0x9800
	OpTrigger     OpCode = 0x9900
	OpIPProg      OpCode = 0xf800
	OpIPProgReply OpCode = 0xf900
)

// names are the messages' names without the "Art" in front.
var names = map[OpCode]string{
	OpPoll: "Poll", OpPollReply: "PollReply", OpDiagData: "DiagData", OpCommand: "Command", OpDmx: "Dmx", OpNzs: "Nzs",
	OpSync: "Sync", OpAddress: "Address", OpInput: "Input", OpTodRequest: "TodRequest", OpTodData: "TodData",
	OpTodControl: "TodControl", OpRdm: "Rdm", OpRdmSub: "RdmSub", OpTimeCode: "TimeCode", OpTimeSync: "TimeSync",
	OpTrigger: "Trigger", OpIPProg: "IpProg", OpIPProgReply: "IpProgReply",
}

func (op OpCode) known() bool {
	switch op {
	case OpPoll, OpPollReply, OpDiagData, OpCommand, OpDmx, OpNzs, OpSync, OpAddress, OpInput,
		OpTodRequest, OpTodData, OpTodControl, OpRdm, OpRdmSub, OpTimeCode, OpTimeSync, OpTrigger,
		OpIPProg, OpIPProgReply:
		return true
	}
	return false
}

// String is the message's name in the standard: "ArtPoll".
func (op OpCode) String() string {
	if name, ok := names[op]; ok {
		return "Art" + name
	}
	return fmt.Sprintf("OpCode %#04x", uint16(op))
}

// Malformed is why a packet is refused. A constant: a flood of bad packets costs no memory.
type Malformed string

func (m Malformed) Error() string { return "malformed packet: " + string(m) }

// Why packets are refused.
const (
	ErrShort      Malformed = "shorter than its header"
	ErrID         Malformed = `does not begin with "Art-Net" and a zero`
	ErrOpCode     Malformed = "no such OpCode"
	ErrProtVer    Malformed = "protocol version below 14"
	ErrNotDmx     Malformed = "another message than ArtDmx"
	ErrNet        Malformed = "Net has more than 7 bits"
	ErrLength     Malformed = "Length is not an even number from 2 to 512"
	ErrIncomplete Malformed = "fewer data than Length says"
	ErrKind       Malformed = "another kind of message"
	ErrNumPorts   Malformed = "NumPorts is more than 4"
	ErrText       Malformed = "Length of the text is more than 512"
	ErrTime       Malformed = "no such time of day at that frame rate"
	ErrRate       Malformed = "no such type of time code"
)

// AppendHeader appends the header that every message but ArtPollReply begins with: ID, OpCode
// and the protocol version.
func AppendHeader(dst []byte, op OpCode) []byte {
	dst = append(dst, id...)
	dst = binary.LittleEndian.AppendUint16(dst, uint16(op))
	return binary.BigEndian.AppendUint16(dst, protVer)
}

// expect checks that a packet is of one kind and long enough for it.
func expect(b []byte, want OpCode, length int) error {
	op, err := Kind(b)
	switch {
	case err != nil:
		return err
	case op != want:
		return ErrKind
	case len(b) < length:
		return ErrShort
	}
	return nil
}

// Kind checks the header of a packet and says what message it is. What
// follows the header is not looked at.
func Kind(b []byte) (OpCode, error) {
	if len(b) < shortestOther {
		return 0, ErrShort
	}
	if string(b[:idLength]) != id {
		return 0, ErrID
	}
	op := OpCode(binary.LittleEndian.Uint16(b[opCodeAt:]))
	if !op.known() {
		return 0, ErrOpCode
	}
	if op == OpPollReply {
		return op, nil
	}
	if len(b) < headerLength {
		return 0, ErrShort
	}
	// All 16 bits: some senders swap the bytes, which makes 3584 and is taken.
	if binary.BigEndian.Uint16(b[protVerAt:]) < protVer {
		return 0, ErrProtVer
	}
	return op, nil
}
