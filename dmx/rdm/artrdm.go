package rdm

import "limn/dmx/artnet"

// ArtRdm carries one message to a device on the line of a Port-Address, or back.
const artRdmHead = 24

// Carried is an ArtRdm.
type Carried struct {
	PortAddress uint16
	Message     Message
}

// AppendTo appends the packet. The start code is left out on Art-Net, and still counts in the checksum.
func (c *Carried) AppendTo(dst []byte) []byte {
	start := len(dst)
	dst = grown(dst, artnet.OpRdm, artRdmHead)
	b := dst[start:]
	b[rdmVerAt] = rdmVersion
	b[netAt], b[addressAt] = byte(c.PortAddress>>8)&netBits, byte(c.PortAddress)
	var room [dataAt + MaxData + checksumLength]byte
	return append(dst, c.Message.AppendTo(room[:0])[1:]...)
}

// Decode reads the packet; it takes bytes that follow the message, which some nodes send. The message's data are a copy.
// After an error c is as it was.
func (c *Carried) Decode(b []byte) error {
	if err := expect(b, artnet.OpRdm, artRdmHead); err != nil {
		return err
	}
	switch {
	case b[rdmVerAt] != rdmVersion:
		return ErrVersion
	case b[commandAt] != 0: // there is only one
		return ErrData
	}
	line := make([]byte, 1, dataAt+MaxData+checksumLength)
	line[0] = startCode
	body := b[artRdmHead:]
	line = append(line, body[:min(len(body), cap(line)-1)]...)
	var m Message
	if err := m.Decode(line); err != nil {
		return err
	}
	*c = Carried{PortAddress: portAddress(b), Message: m}
	return nil
}
