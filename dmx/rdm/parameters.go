package rdm

import (
	"encoding/binary"

	"limn/dmx/artnet"
)

// Info is what a device says of itself in one message, DEVICE_INFO (ANSI E1.20, 10.5.1).
type Info struct {
	Model        uint16 // the maker's number of it
	Category     uint16
	Software     uint32
	Footprint    int // slots it takes in its present mode
	Mode, Modes  int // the present one and how many there are, from 1
	StartAddress int // 1..512; 0 if it has none
	SubDevices   int
	Sensors      int
}

const (
	infoLength  = 19
	infoVersion = 0x0100 // the version of RDM that it speaks

	// NoAddress is what a device without slots says (from memory).
	NoAddress = 0xffff
)

// AppendTo appends the data of DEVICE_INFO.
func (d *Info) AppendTo(dst []byte) []byte {
	address := uint16(d.StartAddress)
	if d.StartAddress == 0 {
		address = NoAddress
	}
	dst = binary.BigEndian.AppendUint16(dst, infoVersion)
	dst = binary.BigEndian.AppendUint16(dst, d.Model)
	dst = binary.BigEndian.AppendUint16(dst, d.Category)
	dst = binary.BigEndian.AppendUint32(dst, d.Software)
	dst = binary.BigEndian.AppendUint16(dst, uint16(d.Footprint))
	dst = append(dst, byte(d.Mode), byte(d.Modes))
	dst = binary.BigEndian.AppendUint16(dst, address)
	dst = binary.BigEndian.AppendUint16(dst, uint16(d.SubDevices))
	return append(dst, byte(d.Sensors))
}

// Decode reads the data of DEVICE_INFO. After an error, a [Malformed], d is as it was.
func (d *Info) Decode(data []byte) error {
	if len(data) != infoLength {
		return ErrData
	}
	address, err := DecodeAddress(data[14:16])
	if err != nil {
		return err
	}
	footprint := int(binary.BigEndian.Uint16(data[10:]))
	if footprint > lastAddress {
		return ErrData
	}
	*d = Info{
		Model:     binary.BigEndian.Uint16(data[2:]),
		Category:  binary.BigEndian.Uint16(data[4:]),
		Software:  binary.BigEndian.Uint32(data[6:]),
		Footprint: footprint,
		Mode:      int(data[12]), Modes: int(data[13]),
		StartAddress: address,
		SubDevices:   int(binary.BigEndian.Uint16(data[16:])),
		Sensors:      int(data[18]),
	}
	return nil
}

// lastAddress is the highest address and the most slots of a universe.
const lastAddress = 512

// AppendAddress appends the data of DMX_START_ADDRESS.
func AppendAddress(dst []byte, address int) []byte {
	return binary.BigEndian.AppendUint16(dst, uint16(address))
}

// DecodeAddress reads the data of DMX_START_ADDRESS: 1..512, or 0 if the device has none. Some write 0 for none themselves.
func DecodeAddress(data []byte) (int, error) {
	if len(data) != 2 {
		return 0, ErrData
	}
	a := binary.BigEndian.Uint16(data)
	switch {
	case a == NoAddress:
		return 0, nil
	case a > lastAddress:
		return 0, ErrData
	}
	return int(a), nil
}

// Mode is one way in which a device takes its slots; the standard calls it a personality.
type Mode struct {
	Number int // from 1
	Slots  int // it takes
	Name   string
}

// AppendTo appends the data of an answer to DMX_PERSONALITY_DESCRIPTION.
func (m *Mode) AppendTo(dst []byte) []byte {
	dst = append(dst, byte(m.Number))
	dst = binary.BigEndian.AppendUint16(dst, uint16(m.Slots))
	return append(dst, m.Name...)
}

// Decode reads the data of an answer to DMX_PERSONALITY_DESCRIPTION. The name is cleaned for a screen.
// After an error, a [Malformed], m is as it was.
func (m *Mode) Decode(data []byte) error {
	const head = 3
	if len(data) < head || len(data) > head+maxLabel {
		return ErrData
	}
	slots := int(binary.BigEndian.Uint16(data[1:]))
	if data[0] == 0 || slots > lastAddress {
		return ErrData
	}
	*m = Mode{Number: int(data[0]), Slots: slots, Name: artnet.Text(data[head:])}
	return nil
}

// maxLabel is the longest text of a device.
const maxLabel = 32

// DecodeLabel reads a text of a device, cleaned for a screen.
func DecodeLabel(data []byte) (string, error) {
	if len(data) > maxLabel {
		return "", ErrData
	}
	return artnet.Text(data), nil
}

// decodePersonality reads the data of an answer to DMX_PERSONALITY.
func decodePersonality(data []byte) (mode, modes int, err error) {
	if len(data) != 2 {
		return 0, 0, ErrData
	}
	return int(data[0]), int(data[1]), nil
}

// decodeSupported reads the data of SUPPORTED_PARAMETERS.
func decodeSupported(data []byte) (map[PID]bool, error) {
	if len(data)%2 != 0 {
		return nil, ErrData
	}
	has := make(map[PID]bool, len(data)/2)
	for ; len(data) > 0; data = data[2:] {
		has[PID(binary.BigEndian.Uint16(data))] = true
	}
	return has, nil
}
