package serial

import (
	"fmt"
	"slices"
	"time"

	"limn/dmx"
)

// replyWithin is how long a widget may take to tell its parameters. Some never
// do, and send all the same.
const replyWithin = 500 * time.Millisecond

// readSlice is how long a read may take before it looks whether it is still wanted.
const readSlice = 50 * time.Millisecond

// breakUnit is the unit in which a widget counts break and mark (from memory of
// the protocol's text, as are the bounds below).
const breakUnit = 10670 * time.Nanosecond

// Parameters are what a widget says of itself.
type Parameters struct {
	Firmware uint16        // high byte: major
	Break    time.Duration // that it makes on the line
	Mark     time.Duration // after the break
	Rate     int           // packets a second on the line; 0 = as fast as it can
}

// parametersBytes is the shortest reply; what follows belongs to the user.
const parametersBytes = 5

// DecodeParameters reads the payload of a widget's reply.
func DecodeParameters(payload []byte) (Parameters, error) {
	if len(payload) < parametersBytes {
		return Parameters{}, fmt.Errorf("serial: %d bytes of parameters; at least %d are wanted", len(payload), parametersBytes)
	}
	return Parameters{
		Firmware: uint16(payload[0]) | uint16(payload[1])<<8,
		Break:    time.Duration(payload[2]) * breakUnit,
		Mark:     time.Duration(payload[3]) * breakUnit,
		Rate:     int(payload[4]),
	}, nil
}

// serialBytes is the length of a widget's serial number: two decimal digits a byte, the last ones first.
const serialBytes = 4

// DecodeSerial reads the payload of a widget's serial number and writes it as its eight digits.
func DecodeSerial(payload []byte) (string, error) {
	if len(payload) != serialBytes {
		return "", fmt.Errorf("serial: %d bytes of serial number; %d are wanted", len(payload), serialBytes)
	}
	digits := make([]byte, 0, 2*serialBytes)
	for _, b := range slices.Backward(payload) {
		if b>>4 > 9 || b&15 > 9 {
			return "", fmt.Errorf("serial: byte %#02x of a serial number is no two decimal digits", b)
		}
		digits = append(digits, '0'+b>>4, '0'+b&15)
	}
	return string(digits), nil
}

// widget sends packets to an adapter that times the line by itself and goes on
// repeating the last one.
type widget struct {
	port   port
	packet []byte // label 6, full length, only the slots change
}

func newWidget(p port) *widget {
	return &widget{port: p, packet: Packet{LabelSend, make([]byte, lineBytes)}.AppendTo(nil)}
}

func (w *widget) send(f *dmx.Frame) error {
	w.packet[packetHead] = startCode
	copy(w.packet[packetHead+1:], f[:])
	return writeAll(w.port, w.packet)
}

// ask requests the widget's parameters, which does not stop its output.
func (w *widget) ask() error {
	const noUserData = "\x00\x00"
	return writeAll(w.port, Packet{LabelParameters, []byte(noUserData)}.AppendTo(nil))
}

// answer waits for the parameters. ok is false when they do not come in time, or when
// stop is closed before.
func (w *widget) answer(stop <-chan struct{}, within time.Duration) (got Parameters, ok bool, err error) {
	ok, err = w.await(LabelParameters, stop, within, func(payload []byte) bool {
		var wrong error
		got, wrong = DecodeParameters(payload)
		return wrong == nil
	})
	return got, ok, err
}

// number asks for the serial number, which ends the widget's output, and waits for it. It is empty when
// the widget does not tell.
func (w *widget) number() (got string, err error) {
	if err := writeAll(w.port, Packet{Label: LabelSerial}.AppendTo(nil)); err != nil {
		return "", err
	}
	_, err = w.await(LabelSerial, nil, replyWithin, func(payload []byte) bool {
		var wrong error
		got, wrong = DecodeSerial(payload)
		return wrong == nil
	})
	return got, err
}

// await reads until a packet of a label comes that take can use. Whatever else comes is passed over; what
// is held of it is bounded, and so is the time. Its error is the port's.
func (w *widget) await(label Label, stop <-chan struct{}, within time.Duration, take func(payload []byte) bool) (ok bool, err error) {
	if err := w.port.SetReadTimeout(readSlice); err != nil {
		return false, err
	}
	var s Scanner
	buf := make([]byte, 64)
	for deadline := time.Now().Add(within); !ok && time.Now().Before(deadline); {
		select {
		case <-stop:
			return false, nil
		default:
		}
		n, err := w.port.Read(buf)
		if err != nil {
			return false, err
		}
		s.Write(buf[:n], func(p Packet) { ok = ok || p.Label == label && take(p.Payload) })
	}
	return ok, nil
}
