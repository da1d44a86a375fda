package rdm

import (
	"encoding/binary"
	"fmt"
)

// Reason is why a device refused (ANSI E1.20, table A-17).
type Reason uint16

// The reasons of the standard.
const (
	UnknownPID         Reason = 0x0000
	FormatError        Reason = 0x0001
	HardwareFault      Reason = 0x0002
	ProxyReject        Reason = 0x0003
	WriteProtect       Reason = 0x0004
	UnsupportedClass   Reason = 0x0005
	OutOfRange         Reason = 0x0006
	BufferFull         Reason = 0x0007
	PacketSize         Reason = 0x0008
	SubDeviceRange     Reason = 0x0009
	ProxyBufferFull    Reason = 0x000a
	reasonLength              = 2
	reasonUnknownWords        = "for reason %04x"
)

var reasonWords = map[Reason]string{
	UnknownPID:       "it does not know that parameter",
	FormatError:      "it finds the message malformed",
	HardwareFault:    "its hardware has a fault",
	ProxyReject:      "the device that speaks for it refuses",
	WriteProtect:     "it is locked against changes; unlock it at the device",
	UnsupportedClass: "that parameter cannot be asked or set in this way",
	OutOfRange:       "the value is outside of what it takes",
	BufferFull:       "it is busy; try again",
	PacketSize:       "the message is too long for it",
	SubDeviceRange:   "it has no such part",
	ProxyBufferFull:  "the device that speaks for it is busy; try again",
}

// String is the reason in words.
func (r Reason) String() string {
	if s, ok := reasonWords[r]; ok {
		return s
	}
	return fmt.Sprintf(reasonUnknownWords, uint16(r))
}

// busy says that the same question may be answered a little later.
func (r Reason) busy() bool { return r == BufferFull || r == ProxyBufferFull }

// NackError says that a device refused, and why.
type NackError struct {
	UID    UID
	Class  Class
	PID    PID
	Reason Reason
}

// Error is in words for an operator.
func (e *NackError) Error() string {
	return fmt.Sprintf("%v refuses to %v its %v: %v", e.UID, e.Class, e.PID, e.Reason)
}

// decodeReason reads the data of a refusal.
func decodeReason(data []byte) (Reason, error) {
	if len(data) != reasonLength {
		return 0, ErrData
	}
	return Reason(binary.BigEndian.Uint16(data)), nil
}
