package rdm

import "encoding/binary"

// The layout of a message on the line (ANSI E1.20, 6.2), with its start code.
const (
	startCode    = 0xcc
	subStartCode = 0x01

	messageLengthAt = 2 // from the start code to the last byte of data
	destAt          = 3
	sourceAt        = 9
	transactionAt   = 15
	portAt          = 16
	countAt         = 17
	subDeviceAt     = 18
	classAt         = 20
	pidAt           = 21
	dataLengthAt    = 23
	dataAt          = 24
	checksumLength  = 2

	// MaxData is the most data that a message carries.
	MaxData = 231
)

// Malformed is why bytes are refused. A constant: a flood of bad packets costs no memory.
type Malformed string

func (m Malformed) Error() string { return "malformed: " + string(m) }

// Why messages are refused.
const (
	ErrShort     Malformed = "shorter than it says"
	ErrStartCode Malformed = "does not begin as an RDM message"
	ErrLength    Malformed = "its two lengths contradict each other"
	ErrChecksum  Malformed = "wrong checksum"
	ErrClass     Malformed = "no such class of message"
	ErrUID       Malformed = "comes from the address of many"
	ErrData      Malformed = "its data are not those of its parameter"
	ErrVersion   Malformed = "another version of RDM"
	ErrCount     Malformed = "fewer devices than it counts"
	ErrNet       Malformed = "Net has more than 7 bits"
	ErrEncoding  Malformed = "no answer to a search"
)

// Message is one RDM message. Of a question Port is the port it leaves through, from 1; of an answer it is a [Response].
type Message struct {
	Dest, Source UID
	Transaction  byte // an answer bears its question's
	Port         byte
	Count        byte   // of an answer: how many messages wait in the device
	SubDevice    uint16 // 0 is the device itself
	Class        Class
	PID          PID
	Data         []byte // at most MaxData
}

// Response is the kind of an answer.
func (m *Message) Response() Response { return Response(m.Port) }

// AppendTo appends the message as it is on the line, start code and checksum included. More data than MaxData is a
// programmer's mistake and panics.
func (m *Message) AppendTo(dst []byte) []byte {
	if len(m.Data) > MaxData {
		panic("rdm: more data than a message carries")
	}
	start := len(dst)
	dst = append(dst, startCode, subStartCode, byte(dataAt+len(m.Data)))
	dst = append(dst, m.Dest[:]...)
	dst = append(dst, m.Source[:]...)
	dst = append(dst, m.Transaction, m.Port, m.Count)
	dst = binary.BigEndian.AppendUint16(dst, m.SubDevice)
	dst = append(dst, byte(m.Class))
	dst = binary.BigEndian.AppendUint16(dst, uint16(m.PID))
	dst = append(dst, byte(len(m.Data)))
	dst = append(dst, m.Data...)
	return binary.BigEndian.AppendUint16(dst, sum(dst[start:]))
}

// Decode reads a message as it is on the line. What follows it is not looked at. Data is part of b. After an
// error, which is a [Malformed], m is as it was.
func (m *Message) Decode(b []byte) error {
	if len(b) < dataAt+checksumLength {
		return ErrShort
	}
	if b[0] != startCode || b[1] != subStartCode {
		return ErrStartCode
	}
	length, data := int(b[messageLengthAt]), int(b[dataLengthAt])
	switch {
	case length != dataAt+data || data > MaxData:
		return ErrLength
	case len(b) < length+checksumLength:
		return ErrShort
	case binary.BigEndian.Uint16(b[length:]) != sum(b[:length]):
		return ErrChecksum
	}
	class, source := Class(b[classAt]), UID(b[sourceAt:])
	switch {
	case !class.known():
		return ErrClass
	case source.IsBroadcast():
		return ErrUID
	}
	*m = Message{
		Dest: UID(b[destAt:]), Source: source,
		Transaction: b[transactionAt], Port: b[portAt], Count: b[countAt],
		SubDevice: binary.BigEndian.Uint16(b[subDeviceAt:]),
		Class:     class,
		PID:       PID(binary.BigEndian.Uint16(b[pidAt:])),
		Data:      b[dataAt:length],
	}
	return nil
}

// sum is the checksum of a message: the sum of its bytes (ANSI E1.20, 6.2.11).
func sum(b []byte) (s uint16) {
	for _, v := range b {
		s += uint16(v)
	}
	return s
}
