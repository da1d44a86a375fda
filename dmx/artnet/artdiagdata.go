package artnet

import "encoding/binary"

// ArtDiagData, a line of text from a device.
const (
	diagPriorityAt = 13
	diagPortAt     = 14
	diagLengthAt   = 16
	diagTextAt     = 18
	diagMost       = 512
)

// DiagData is an ArtDiagData.
type DiagData struct {
	Priority DiagPriority
	Port     byte   // the device's port it is about; 0: the device
	Text     string // fit to be shown, see [Text]
}

// Decode reads an ArtDiagData. After an error, which is a [Malformed], d is as it was.
func (d *DiagData) Decode(b []byte) error {
	if err := expect(b, OpDiagData, diagTextAt); err != nil {
		return err
	}
	n := int(binary.BigEndian.Uint16(b[diagLengthAt:]))
	switch {
	case n > diagMost:
		return ErrText
	case len(b) < diagTextAt+n:
		return ErrIncomplete
	}
	*d = DiagData{Priority: DiagPriority(b[diagPriorityAt]), Port: b[diagPortAt], Text: Text(b[diagTextAt : diagTextAt+n])}
	return nil
}

// AppendTo appends the packet; the text ends with a zero and is cut at 511 bytes. By hand: go-artnet's marshalling
// leaves the OpCode 0 and always sends 512 bytes.
func (d *DiagData) AppendTo(dst []byte) []byte {
	text := make([]byte, min(len(d.Text)+1, diagMost))
	SetText(text, d.Text)
	dst = append(AppendHeader(dst, OpDiagData), 0, byte(d.Priority), d.Port, 0)
	dst = binary.BigEndian.AppendUint16(dst, uint16(len(text)))
	return append(dst, text...)
}
