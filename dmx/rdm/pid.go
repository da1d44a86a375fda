package rdm

import "fmt"

// Class says whether a message asks, tells, or answers (ANSI E1.20, table A-1).
type Class byte

// The classes of messages; an answer's is that of its question plus 1.
const (
	Discovery         Class = 0x10
	DiscoveryResponse Class = 0x11
	Get               Class = 0x20
	GetResponse       Class = 0x21
	Set               Class = 0x30
	SetResponse       Class = 0x31
)

func (c Class) known() bool { return c&^0x31 == 0 && c >= Discovery }

// response says that it is the class of an answer.
func (c Class) response() bool { return c&1 == 1 }

// String is the class in a word.
func (c Class) String() string {
	switch c {
	case Discovery, DiscoveryResponse:
		return "discovery"
	case Get, GetResponse:
		return "get"
	case Set, SetResponse:
		return "set"
	}
	return fmt.Sprintf("class %#02x", byte(c))
}

// Response is the kind of an answer (ANSI E1.20, table A-2).
type Response byte

// The kinds of answers.
const (
	Ack         Response = 0
	AckTimer    Response = 1 // the answer takes a while, in units of 100 ms
	Nack        Response = 2 // refused, for a reason
	AckOverflow Response = 3 // there is more: ask again
)

// PID names a parameter of a device (ANSI E1.20, table A-3).
type PID uint16

// The parameters that are used here.
const (
	DiscUniqueBranch          PID = 0x0001
	DiscMute                  PID = 0x0002
	DiscUnMute                PID = 0x0003
	QueuedMessage             PID = 0x0020
	StatusMessages            PID = 0x0030
	SupportedParameters       PID = 0x0050
	DeviceInfo                PID = 0x0060
	DeviceModelDescription    PID = 0x0080
	ManufacturerLabel         PID = 0x0081
	DeviceLabel               PID = 0x0082
	DmxPersonality            PID = 0x00e0
	DmxPersonalityDescription PID = 0x00e1
	DmxStartAddress           PID = 0x00f0
	IdentifyDevice            PID = 0x1000
)

var pidNames = map[PID]string{
	DiscUniqueBranch: "discovery", DiscMute: "mute", DiscUnMute: "un-mute", QueuedMessage: "queued messages", StatusMessages: "status messages",
	SupportedParameters: "supported parameters", DeviceInfo: "device info", DeviceModelDescription: "model", ManufacturerLabel: "manufacturer",
	DeviceLabel: "label", DmxPersonality: "mode", DmxPersonalityDescription: "description of a mode", DmxStartAddress: "start address",
	IdentifyDevice: "identify",
}

// String is the parameter in words.
func (p PID) String() string {
	if s, ok := pidNames[p]; ok {
		return s
	}
	return fmt.Sprintf("parameter %04x", uint16(p))
}
